// The measuring sheet, enhanced: the keypad, gauges that type, and no value lost between one place and the next. It works without this file.

const work = document.querySelector('#work');

// Values that came while the one before was on its way, each with how it came; and letters of one that is not ended yet.
const waiting = [];
let begun = '';
let onItsWay = false;

// How the present value came in: a gauge types faster than a person.
const FASTEST_FINGER_MS = 25;
let strokes = [];
let byHand = false;

const said = document.createElement('p');
said.className = 'visually-hidden';
said.setAttribute('role', 'status');
document.body.append(said);

function strip() {
  const told = document.createElement('p');
  told.className = 'told told--here';
  told.hidden = true;
  told.setAttribute('role', 'alert');
  document.body.append(told);
  return (text) => {
    told.textContent = text;
    told.hidden = !text;
  };
}
const tell = strip();
const tellAsleep = strip();

const recordForm = () => work.querySelector('form[data-record]');
const fields = () => [...work.querySelectorAll('form[data-record] [data-value]')];
const question = () => work.querySelector('[data-question]');
const stopped = () => question() || work.querySelector('.told--refused');
const armed = () => fields().find((f) => f === document.activeElement) ?? fields().find((f) => !f.value) ?? fields()[0];

function arm() {
  const button = question()?.querySelector('button');
  const field = stopped() ? fields()[0] : armed();
  (button ?? field)?.focus({ preventScroll: true });
  if (!button && stopped()) field?.select();
}

// A value typed anew takes the place of the one that was asked about.
function typeAnew() {
  if (!question()) return;
  question().remove();
  work.querySelector('[data-record-key]')?.classList.add('key--next');
  for (const field of fields()) field.value = '';
}

function cameByGauge() {
  const quick = strokes.length >= 4 && (strokes.at(-1) - strokes[0]) / (strokes.length - 1) < FASTEST_FINGER_MS;
  strokes = [];
  return quick;
}

// Enter, Tab or the record key ends a value: on to the next field, from the last one to the next place.
function end(field, gauge) {
  if (!field || !field.value.trim()) return;
  if (onItsWay) {
    waiting.push({ value: field.value, gauge });
    field.value = '';
    return;
  }
  byHand ||= !gauge;
  const next = fields()[fields().indexOf(field) + 1];
  if (next) {
    next.focus();
    next.select();
  } else {
    send(recordForm(), work.querySelector('[data-record-key]'));
  }
}

async function send(form, button) {
  onItsWay = true;
  tell('');
  if (form.matches('[data-record]')) form.elements.Gauge.value = String(!byHand);
  const body = new FormData(form, button);
  const address = button?.formAction || form.action;
  const entries = fields().map((f) => [f.name, f.value]);
  for (const field of fields()) field.value = '';
  byHand = false;
  fields()[0]?.focus({ preventScroll: true });

  // The same request with its key as often as it takes: it acts once.
  let answer;
  while (!answer) {
    try {
      answer = await fetch(address, { method: 'POST', body });
    } catch {
      tell('No connection. What was typed last is kept here and sent again until it is recorded; leave this sheet open.');
      await new Promise((resolve) => { setTimeout(resolve, 1500); });
    }
  }
  const { pathname } = new URL(answer.url);
  const sheet = new DOMParser().parseFromString(await answer.text(), 'text/html');
  onItsWay = false;
  if (sheet.querySelector('[data-sheet-of-run]')) {
    tell('');
    show(sheet);
  } else if (pathname.startsWith('/sign-in') || answer.status >= 400) {
    for (const [name, value] of entries) fields().find((f) => f.name === name).value = value;
    tell(answer.status >= 400 ? 'Not recorded. Record it once more.' : 'Nobody is signed in any more, and the value is not recorded. Sign in by “Next person” below, and type it again.');
    arm();
  } else {
    location.assign(answer.url);
  }
}

function show(sheet) {
  begun += armed()?.value ?? '';
  work.replaceChildren(...sheet.querySelector('#work').childNodes);
  document.querySelector('.title-block dl').replaceWith(sheet.querySelector('.title-block dl'));
  document.title = sheet.title;
  said.textContent = work.querySelector('[data-said]')?.textContent ?? '';
  arm();
  feed();
}

// What came meanwhile goes to the places that follow, in its order; not while something has to be put right first.
function feed() {
  while (!onItsWay && waiting.length > 0 && !stopped() && armed()) {
    const { value, gauge } = waiting.shift();
    const field = armed();
    field.value = value;
    end(field, gauge);
  }
  // A value half typed goes on in the field, even while one before it is on its way: its last characters are still to come.
  if (begun && !stopped() && armed()) {
    armed().value = begun;
    begun = '';
  }
  if (!onItsWay && waiting.length > 0) {
    tell(stopped() ? `${waiting.length} more value(s) wait until this one is settled.`
      : `${waiting.length} value(s) came after the last place and are recorded nowhere: ${waiting.map((w) => w.value).join('; ')}`);
  }
}

document.addEventListener('submit', (event) => {
  const form = event.target.closest('form[data-stay]');
  if (!form) return;
  event.preventDefault();
  if (onItsWay) return;
  if (form.matches('[data-record]') && fields().length > 0) {
    const empty = fields().find((f) => !f.value.trim());
    if (empty) {
      empty.focus();
      return;
    }
    byHand ||= !cameByGauge();
  }
  send(form, event.submitter);
}, true);

document.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const field = event.target.closest?.('[data-value]');
  if (field) {
    if (event.key === 'Enter' || (event.key === 'Tab' && !event.shiftKey && field.value.trim())) {
      event.preventDefault();
      end(field, cameByGauge());
    } else if (event.key.length === 1) {
      if (question()) typeAnew();
      if (!field.value) strokes = [];
      strokes.push(event.timeStamp);
    }
    return;
  }
  // One armed field: what a gauge or a hand types anywhere else on the sheet goes there, too.
  if (/^[0-9+\-−.,]$/.test(event.key) && armed() && !event.target.closest('input, select, textarea')) {
    typeAnew();
    strokes = [event.timeStamp];
    armed().focus();
  }
});

// A touch on a key leaves the field armed.
document.addEventListener('pointerdown', (event) => {
  if (event.target.closest('.keypad .key')) event.preventDefault();
});

document.addEventListener('click', (event) => {
  const key = event.target.closest('[data-key]')?.dataset.key;
  if (!key) return;
  typeAnew();
  const field = armed();
  byHand = true;
  if (field.selectionEnd - field.selectionStart === field.value.length) {
    // A value that was refused stands there marked, and is written over.
    if (key !== '+' && key !== '−' && stopped()) field.value = '';
  }
  if (key === 'rub') field.value = field.value.slice(0, -1);
  else if (key === '+' || key === '−') field.value = key + field.value.replace(/^[+−-]/, '');
  else field.value += key;
  field.focus({ preventScroll: true });
  field.setSelectionRange(field.value.length, field.value.length);
});

window.addEventListener('blur', () => { if (!document.hasFocus()) tellAsleep('This sheet does not listen: touch it before you measure on.'); });
window.addEventListener('focus', () => { tellAsleep(''); arm(); });
window.addEventListener('beforeunload', (event) => { if (onItsWay || waiting.length > 0) event.preventDefault(); });

arm();
