// What is typed faster than the sheet moves on: whole values in their order, and the beginning of one that is not ended yet.

// A gauge types faster than a person.
const FASTEST_FINGER_MS = 25;

const waiting = [];
let begun = '';
let strokes = [];

// Since something has to be put right, a person has touched the sheet.
let person = false;

export const length = () => waiting.length;
export const push = (value, gauge) => { waiting.push({ value, gauge }); };
export const shift = () => waiting.shift();

/** The sheet is about to be replaced while a value is half typed. @param {string | undefined} value what stands in the field */
export function cut(value) {
  begun += value ?? '';
  person = false;
}

/** What was half typed when the sheet was replaced; it is handed over once. */
export function half() {
  const value = begun;
  begun = '';
  return value;
}

export function touched() {
  person = true;
}

/**
 * While something has to be put right: keys of a gauge that goes on typing belong behind what waits already. Until a person touches the sheet, only keys on an empty queue are a person's.
 * @param {KeyboardEvent} event @returns {boolean} it is taken and goes nowhere else
 */
export function takes(event) {
  if (person || (begun === '' && waiting.length === 0)) return false;
  const ends = event.key === 'Enter' || event.key === 'Tab';
  if (event.key.length === 1) begun += event.key;
  else if (ends && begun !== '') push(half(), true);
  else {
    // No gauge ends a value that it has not begun.
    person = ends;
    return false;
  }
  event.preventDefault();
  return true;
}

/** @param {boolean} stopped something has to be put right first. */
export const told = (stopped) => (stopped ? `${waiting.length} more value(s) wait until this one is settled. Touch the sheet to type it anew.`
  : `${waiting.length} value(s) came after the last place and are recorded nowhere: ${waiting.map((w) => w.value).join('; ')}`);

/** @param {KeyboardEvent} event a character into a field. @param {boolean} first the field was empty. */
export function stroke(event, first) {
  if (first) strokes = [];
  strokes.push(event.timeStamp);
}

/** Whether the value that ends now was typed by a gauge. */
export function cameByGauge() {
  const quick = strokes.length >= 4 && (strokes.at(-1) - strokes[0]) / (strokes.length - 1) < FASTEST_FINGER_MS;
  strokes = [];
  return quick;
}
