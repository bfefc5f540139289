// The measuring sheet, enhanced: the keypad, gauges that type, and no value lost between one place and the next, with or without network. It works without this file.
import { keep, drop, change, entryOf, ofRun, keepRun, takenRun, nowUs, takeBackLast, sendKept, finishWhenSent, waits, waitingOf, HERE, CONFIRMED } from './kept.js';
import { serverSheetOf } from './begun.js';
import { decide } from './settling.js';
import { strip } from './told.js';
import { press, takesOne } from './keypad.js';
import * as ahead from './ahead.js';
import * as alone from './alone.js';
import * as provisional from './provisional.js';

const work = document.querySelector('#work');

let onItsWay = false;

// How often a value went out: a sheet that was fetched before the last of them is out of date.
let sends = 0;
let byHand = false;

const said = document.createElement('p');
said.className = 'visually-hidden';
said.setAttribute('role', 'status');
document.body.append(said);

// The run of this sheet; what was taken along of it; and since when there is no network, where there is none.
const { sheetOfRun, serial, name: runName, begunOn } = work.querySelector('[data-sheet-of-run]')?.dataset ?? {};
// A run that was begun on this device goes by the id it has here, and this sheet is left for the server's as soon as all of it is there.
const run = begunOn ? sheetOfRun : Number(sheetOfRun);
const about = { run, serial, name: runName, ...(begunOn && { sheet: begunOn }) };
let [pack, since] = [null, null];

const [tell, tellAsleep] = [strip(), strip()];

const recordForm = () => work.querySelector('form[data-record]');
const fields = () => [...work.querySelectorAll('form[data-record] [data-value]')];
const question = () => work.querySelector('[data-question]');
const stopped = () => question() || work.querySelector('.told--refused, [data-trouble]:not(.asked--begin)');
const measuring = () => work.querySelector('.measuring');
const armed = () => fields().find((f) => f === document.activeElement) ?? fields().find((f) => !f.value) ?? fields()[0];

function arm() {
  const [stop, button] = [stopped(), question()?.querySelector('button')];
  const field = stop ? fields()[0] : armed();
  (button ?? field)?.focus({ preventScroll: true });
  if (!button && stop) field?.select();
  stop?.scrollIntoView({ block: 'nearest' });
}

// A value typed anew takes the place of the one that was asked about.
function typeAnew() {
  if (!question()) return;
  question().remove();
  work.querySelector('[data-record-key]')?.classList.add('key--next');
  for (const field of fields()) field.value = '';
}

// Enter, Tab or the record key ends a value: on to the next field, from the last one to the next place.
function end(field, gauge) {
  if (!field || !field.value.trim()) return;
  if (onItsWay) {
    ahead.push(field.value, gauge);
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

function bodyOf(form, button) {
  const { Gauge: gauge, TypedUs: typedUs, SentUs: sentUs } = form.elements;
  if (form.matches('[data-record]')) [gauge.value, typedUs.value] = [String(!byHand), String(nowUs())];
  if (sentUs) sentUs.value = String(nowUs());
  return new FormData(form, button);
}

async function send(form, button) {
  onItsWay = true;
  sends += 1;
  tell('');
  const records = form.matches('[data-record], [data-question]');
  const body = bodyOf(form, button);
  const address = button?.formAction || form.action;
  const typed = fields().map((f) => [f.name, f.value]);
  for (const field of fields()) field.value = '';
  byHand = false;
  fields()[0]?.focus({ preventScroll: true });
  if (since) {
    await recordAlone(entryOf(about, body), typed);
    return;
  }

  const entry = records ? await keep(entryOf(about, body)).catch(() => null) : null;
  const answer = await answered(address, body, entry);
  if (answer) await settle(answer, entry, typed);
}

// The same request with its key as often as it takes: it acts once. Null: there is no network, and the sheet goes on without.
async function answered(address, body, entry) {
  for (;;) {
    try {
      const answer = await fetch(address, { method: 'POST', body, signal: AbortSignal.timeout(15_000) });
      if (![429, 502, 503, 504].includes(answer.status)) return answer;
    } catch {
      // No answer: whether the request arrived is not known, and its key lets it act only once.
    }
    if (entry && await goAlone()) {
      await change(entry.n, { state: HERE });
      await showAlone();
      return null;
    }
    tell('No connection. What was typed last is kept here and sent again until it is recorded; leave this sheet open.');
    await new Promise((resolve) => { setTimeout(resolve, 1500); });
  }
}

// Until the sheet stands that the answer brought, nothing is sent from the one before it.
async function settle(answer, entry, typed) {
  const { pathname } = new URL(answer.url);
  const sheet = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const noted = (how) => how.catch(() => null);
  if (sheet.querySelector('[data-sheet-of-run]')) {
    const recorded = answer.ok && !sheet.querySelector('[data-question], .told--refused');
    const ids = [...sheet.querySelectorAll('.take-back [name="Reading"]')].map((i) => Number(i.value));
    if (entry) await noted(recorded ? change(entry.n, { state: CONFIRMED, ids }) : drop(entry.n));
    tell('');
    show(sheet);
  } else if (pathname.startsWith('/sign-in')) {
    if (entry) await noted(change(entry.n, { state: HERE }));
    onItsWay = false;
    tell('Nobody is signed in any more. What was typed last is kept on this device; sign in by “Next person” below, and it is sent.');
  } else if (answer.status >= 400) {
    if (entry) await noted(drop(entry.n));
    ahead.cut(armed()?.value);
    onItsWay = false;
    for (const [name, value] of typed) fields().find((f) => f.name === name).value = value;
    measuring()?.before(alone.notRecorded());
    arm();
  } else {
    location.assign(answer.url);
  }
}

async function goAlone() {
  pack ??= await takenRun(run).then((kept) => kept && alone.read(kept)).catch(() => null);
  if (pack) since ??= new Date().toTimeString().slice(0, 5);
  return pack !== null;
}

// Without network a value is met as the server would meet it: understood, or refused; asked about where it is doubtful.
async function recordAlone(entry, typed) {
  const there = alone.kept(pack, await ofRun(run));
  const met = entry.confirmed ? [] : (await Promise.all(entry.values.map((v) => provisional.meet(there, v)))).filter(Boolean);
  const faults = met.filter((m) => m.fault);
  const questions = met.filter((m) => m.question).map((m) => m.question);
  if (faults.length > 0 || questions.length > 0) {
    ahead.cut(armed()?.value);
    for (const [name, value] of typed) fields().find((f) => f.name === name).value = value;
    work.querySelector('.told--refused, [data-question]')?.remove();
    if (faults.length > 0) measuring().before(alone.refusal(entry, faults));
    else measuring().prepend(alone.asked(entry, questions));
    onItsWay = false;
    arm();
    feed();
    return;
  }
  await keep({ ...entry, state: HERE });
  await showAlone();
}

async function showAlone() {
  const last = sends;
  const entries = await ofRun(run);
  if (sends !== last) return;
  ahead.cut(armed()?.value);
  work.querySelector('.told--refused')?.remove();
  alone.show(measuring(), pack, entries, since, begunOn);
  onItsWay = false;
  said.textContent = work.querySelector('[data-said]')?.textContent ?? '';
  const stated = state(entries);
  arm();
  feed();
  await stated;
  if (work.querySelector('[data-provisional]')) alone.showResults(measuring(), await provisional.calculate(alone.kept(pack, entries)));
}

// Where the entries of this run stand: on this device, sent, confirmed; and what a person has to settle first.
async function state(entries) {
  entries ??= await ofRun(run);
  const line = work.querySelector('.kept-line') ?? Object.assign(document.createElement('p'), { className: 'kept-line' });
  line.textContent = alone.stateWords(entries);
  work.querySelector('.so-far')?.append(line);
  if (measuring()) alone.showTrouble(measuring(), entries, runName);
}

// Sends what waits, and comes back to the server's sheet when all of it is confirmed.
let syncing = false;
async function sync() {
  if (syncing || onItsWay) return;
  syncing = true;
  try {
    const before = (await waitingOf(run)).length;
    if (onItsWay || (before === 0 && !since)) return;
    const how = await sendKept(() => { state(); });
    const left = await waitingOf(run);
    if (how === 'signed-out') tell(`Nobody is signed in. ${left.length} value(s) are kept on this device; sign in by “Next person” below, and they are sent.`);
    else if (how === 'another') tell(`${left.length} value(s) on this device wait until the person who began this run is signed in.`);
    else if (how === 'done' && left.length === 0) await comeBack();
    await state();
  } finally {
    syncing = false;
  }
}

async function comeBack(held = false) {
  const last = sends;
  // With the place that was chosen out of turn, while it is not read.
  const address = begunOn ? await serverSheetOf(serial, run) : location.pathname + location.search;
  const answer = address && await fetch(address).catch(() => null);
  const sheet = answer?.ok ? new DOMParser().parseFromString(await answer.text(), 'text/html') : null;
  // What was sent last may have been the end of the run: its result is shown instead.
  const end = (await ofRun(run)).find((e) => e.finish && !waits(e));
  if (end) location.assign(end.leadsTo);
  // A value that went out meanwhile brings the sheet itself.
  if (!sheet?.querySelector('[data-sheet-of-run]') || (onItsWay && !held) || sends !== last) return;
  since = null;
  tell('');
  if (begunOn) {
    onItsWay = false;
    location.replace(address);
  } else {
    show(sheet);
  }
}

async function settleTrouble(button) {
  const entry = (await ofRun(run)).find((e) => e.n === Number(button.dataset.n));
  try {
    if (await decide(button.dataset.settle, entry)) {
      location.replace(begunOn);
      return;
    }
  } catch (e) {
    tell(`Not settled: ${e.message}`);
  }
  if (since) await showAlone();
  await state();
  await sync();
}

function show(sheet) {
  ahead.cut(armed()?.value);
  work.replaceChildren(...sheet.querySelector('#work').childNodes);
  onItsWay = false;
  document.querySelector('.title-block dl').replaceWith(sheet.querySelector('.title-block dl'));
  document.title = sheet.title;
  said.textContent = work.querySelector('[data-said]')?.textContent ?? '';
  state();
  arm();
  feed();
}

// What came meanwhile goes to the places that follow, in its order; not while something has to be put right first.
function feed() {
  while (!onItsWay && ahead.length() > 0 && !stopped() && armed()) {
    const { value, gauge } = ahead.shift();
    const field = armed();
    field.value = value;
    end(field, gauge);
  }
  // A value half typed goes on in the field, even while one before it is on its way: its last characters are still to come.
  if (!stopped() && armed()) armed().value += ahead.half();
  if (!onItsWay && ahead.length() > 0) tell(ahead.told(stopped()));
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
    byHand ||= !ahead.cameByGauge();
  }
  send(form, event.submitter);
}, true);

document.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (stopped() && ahead.takes(event)) {
    tell(ahead.told(true));
    return;
  }
  const field = event.target.closest?.('[data-value]');
  if (field) {
    if (event.key === 'Enter' || (event.key === 'Tab' && !event.shiftKey && field.value.trim())) {
      event.preventDefault();
      end(field, ahead.cameByGauge());
    } else if (event.key.length === 1) {
      if (question()) typeAnew();
      ahead.stroke(event, !field.value);
    }
    return;
  }
  // One armed field: what a gauge or a hand types anywhere else on the sheet goes there, too.
  if (/^[0-9+\-−.,]$/.test(event.key) && armed() && !event.target.closest('input, select, textarea')) {
    typeAnew();
    ahead.stroke(event, true);
    armed().focus();
  }
});

// A touch on a key leaves the field armed.
document.addEventListener('pointerdown', (event) => {
  ahead.touched();
  if (event.target.closest('.keypad .key')) event.preventDefault();
});

document.addEventListener('click', (event) => {
  const settles = event.target.closest('[data-settle]');
  if (settles) settleTrouble(settles);
  if (event.target.closest('[data-take-back]')) takeBackLast(about).then(showAlone);
  // The second of two quick touches would meet the button that takes the first one back.
  const ends = event.detail < 2 && event.target.closest('[data-finish]');
  if (ends) finishWhenSent(about, ends.dataset.finish === 'yes').then(showAlone);
  const key = event.target.closest('[data-key]')?.dataset.key;
  if (!key) return;
  typeAnew();
  byHand = true;
  press(armed(), key, Boolean(stopped()));
});

document.addEventListener('paste', (event) => takesOne(event, tell));

window.addEventListener('blur', () => { if (!document.hasFocus()) tellAsleep('This sheet does not listen: touch it before you measure on.'); });
window.addEventListener('focus', () => { tellAsleep(''); arm(); });
window.addEventListener('beforeunload', (event) => { if (onItsWay || ahead.length() > 0) event.preventDefault(); });

// Everything that is needed without network is fetched while there is one: every place, and what calculates.
async function takeAlong() {
  try {
    // What was begun on this device was taken along before.
    const answer = begunOn ? null : await fetch(`${location.pathname}?handler=TakeAlong`, { signal: AbortSignal.timeout(15_000) });
    if (answer?.ok) {
      const taken = { ...about, html: await answer.text(), at: Date.now() };
      pack = alone.read(taken);
      await keepRun(taken);
      const newest = Math.max(0, ...pack.record.run.readings.map((r) => r.id));
      for (const e of (await ofRun(run)).filter((e) => !waits(e) && (e.ids ?? []).every((id) => id <= newest))) await drop(e.n);
    }
  } catch {
    if (!since && await goAlone()) await showAlone();
  }
  if (pack && navigator.serviceWorker) {
    await navigator.serviceWorker.ready;
    provisional.take(pack.taken);
  }
}

// What this device holds of the run stands before what the server shows: until it is sent, the server's sheet would ask for the same places again. So would a sheet that was
// drawn while the one before it was still sending: what was confirmed meanwhile is not on it.
async function sendFirst() {
  if (!begunOn && (await ofRun(run)).length === 0) return;
  if ((await waitingOf(run)).length > 0) tell('What is kept on this device is sent first.');
  await sendKept();
  tell('');
  if ((await waitingOf(run)).length === 0) await comeBack(true);
  if ((begunOn || (await waitingOf(run)).length > 0) && await goAlone()) await showAlone();
}

async function begin() {
  onItsWay = true;
  await sendFirst().catch(() => tell('This browser keeps nothing on this device: each value goes straight to the server.'));
  onItsWay = false;
  feed();
  await takeAlong();
  await state();
  window.addEventListener('online', sync);
  setInterval(sync, 4000);
}

arm();
if (run) begin();
