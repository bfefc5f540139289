// Begins a run where there is no network: kept on this device with what it begins with, and measured on this sheet from the places that were taken along.
import { all, newKey, nowUs, standing, takenRun, waits, HERE } from './kept.js';
import { isLocal, keepBegin, serverSheetOf, sheetOf } from './begun.js';
import { words } from './settling.js';
import * as provisional from './provisional.js';

const sheet = document.querySelector('[data-begin-alone]');
const { beginAlone: serial, name, survey, feature, by, at, days, open, openNo } = sheet.dataset;
const form = sheet.querySelector('[data-begin]');
const here = location.pathname;

/** Runs of this sheet that wait on this device, and the one that the record has open, in the order in which they were begun: each with its entries. */
async function waiting() {
  const runs = new Map();
  for (const e of (await all()).filter((e) => e.sheet === here || (open && e.run === Number(open)))) runs.set(e.run, [...runs.get(e.run) ?? [], e]);
  return [...runs].filter(([run, entries]) => entries.some(waits) || run === Number(open)).map(([run, entries]) => ({ run, entries }));
}

const ended = ({ entries }) => entries.some((e) => e.finish);

/** The text of the places and of what calculates, with the words and units of the instruments that were chosen. */
function placesOf(choice, taken, instruments) {
  const host = document.createElement('div');
  host.append(document.querySelector(`template[data-variant="${choice}"]`).content.cloneNode(true));
  const units = new Map(JSON.parse(taken).columns.map((c) => [c.id, c.unit === '1' ? '' : c.unit]));
  for (const { content } of host.querySelectorAll('template')) {
    content.querySelector('[data-run-no]').textContent = 'Begun here';
    for (const text of instruments) content.querySelector('.station-head').append(Object.assign(document.createElement('p'), { textContent: text }));
    for (const unit of content.querySelectorAll('[data-unit-of]')) unit.textContent = units.get(unit.dataset.unitOf) ?? '';
  }
  const text = Object.assign(document.createElement('script'), { type: 'application/json', textContent: taken.replaceAll('<', '\\u003c') });
  text.dataset.takenRun = '';
  host.append(text);
  return host.innerHTML;
}

/** What was typed, as the server reads it. */
function typedOf(body) {
  const one = (field) => body.get(`Begin.${field}`) || undefined;
  const lower = (text) => text && text[0].toLowerCase() + text.slice(1);
  const many = (field) => body.getAll(`Begin.${field}`);
  return {
    survey, feature: feature || undefined, direction: lower(one('Direction')), arrow: lower(one('Arrow')), instruments: many('Instruments'), checks: many('Checks'),
    top: many('Top'), bottom: many('Bottom'), air: one('Air'), note: one('Note'), anyway: one('Anyway'), helpers: many('Helpers'),
  };
}

function refuse(...sentences) {
  form.querySelector('[data-refused]').replaceChildren(...sentences.map((s) => Object.assign(document.createElement('p'), { className: 'told told--refused', textContent: s })));
  form.querySelector('.act--next').disabled = false;
}

async function begin() {
  const before = await waiting();
  const still = before.find((r) => !ended(r)) ?? (open && before.every((r) => r.run !== Number(open)) ? { run: Number(open) } : null);
  if (still) {
    refuse('Not begun. A run of this survey is not finished: one at a time.');
    return;
  }
  if (nowUs() - Number(at) > Number(days) * 86_400_000_000) {
    refuse(`Not begun. This sheet was taken along more than ${days} days ago: limits, instruments and rights may have changed. Open it once with network.`);
    return;
  }
  const body = new FormData(form);
  const typed = typedOf(body);
  const now = new Date();
  const day = [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, '0')).join('-');
  const behind = before.map(({ run, entries }) => ({
    run: isLocal(run) ? undefined : run, begin: entries.find((e) => e.begin)?.begin,
    values: standing(entries).flatMap((e) => e.values.map(({ place, column, typed: value }) => ({ place, column, typed: value }))),
  }));
  const answer = await provisional.begin(document.querySelector('[data-taken-survey]').textContent, behind, typed, day);
  if (!answer) {
    refuse('Not begun. What calculates is not on this device: carry the site pack once with network, and begin again.');
    return;
  }
  if (!answer.taken) {
    refuse(...(answer.faults.length > 0 ? answer.faults.map((f) => `Not begun: ${f}.`) : [`Not begun. ${answer.refused.sentence} Rule ${answer.refused.id}.`]));
    return;
  }
  const run = `here-${newKey()}`;
  const choice = [body.get('Begin.Direction'), body.get('Begin.Arrow')].filter(Boolean).join(' ');
  await keepBegin(
    { run, serial, name, sheet: here, key: newKey(), begin: typed, by, typedUs: nowUs(), state: HERE },
    { run, serial, name, html: placesOf(choice, answer.taken, answer.with), at: Date.now() });
  await navigator.storage?.persist?.();
  history.replaceState(null, '', `${here}?run=${run}`);
  await measure(run);
}

/** The measuring sheet of a run that was begun here. @returns {Promise<boolean>} false: nothing of it is on this device */
async function measure(run) {
  const taken = await takenRun(run);
  if (!taken) return false;
  const measuring = Object.assign(document.createElement('div'), { className: 'measuring' });
  Object.assign(measuring.dataset, { sheetOfRun: run, serial, name, begunOn: here });
  const places = new DOMParser().parseFromString(taken.html, 'text/html');
  measuring.append(places.querySelector('template[data-free]')?.content.cloneNode(true) ?? '');
  sheet.replaceWith(measuring);
  await import('./station.js');
  return true;
}

async function list() {
  const runs = await waiting();
  const lines = runs.filter((r) => r.entries.some(waits)).map(({ run, entries }) => {
    const since = entries.find((e) => e.begin)?.typedUs;
    const line = Object.assign(document.createElement('p'), { className: 'told' });
    line.append(Object.assign(document.createElement('a'), {
      className: 'row-link', href: sheetOf({ serial, run, sheet: here }),
      textContent: since ? `Run begun here on ${new Date(since / 1000).toLocaleDateString('en-GB', { day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' })}` : `Run ${run === Number(open) ? openNo : run}`,
    }), ` On this device: ${words(entries.filter(waits))}.`);
    return line;
  });
  if (open && runs.every((r) => r.run !== Number(open) || !ended(r))) {
    lines.push(Object.assign(document.createElement('p'), { className: 'lead', textContent: `Run ${openNo} of this survey is open in the record. It is finished first, with or without network.` }));
  }
  sheet.querySelector('[data-own]').replaceChildren(...lines);
  if (form) form.hidden = runs.some((r) => !ended(r)) || Boolean(open && runs.every((r) => r.run !== Number(open)));
}

form?.addEventListener('submit', (event) => {
  event.preventDefault();
  const button = form.querySelector('.act--next');
  if (button.disabled) return;
  button.disabled = true;
  begin().catch((lost) => refuse(`Not begun: this device keeps nothing (${lost.message ?? lost}).`));
});

const asked = new URLSearchParams(location.search).get('run');
if (!asked || !await measure(asked)) {
  // The run has its place in the record by now, and nothing of it is here any more.
  const there = asked && await serverSheetOf(serial, asked);
  if (there && navigator.onLine) location.replace(there);
  await list();
}
