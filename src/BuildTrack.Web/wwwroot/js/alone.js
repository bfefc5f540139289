// The measuring sheet without network: the places that were taken along, filled from what was recorded before and what is kept here.
import { standing, waits, HERE, SENT, CONFIRMED, newKey } from './kept.js';
import { refusedBegin } from './settling.js';

/** A run that was taken along, ready to be shown. @param {{html: string}} pack as the server wrote it. */
export function read(pack) {
  const sheet = new DOMParser().parseFromString(pack.html, 'text/html');
  const taken = sheet.querySelector('[data-taken-run]').textContent;
  return { ...pack, taken, record: JSON.parse(taken), places: [...sheet.querySelectorAll('template[data-place]')] };
}

/** Every value that stands: of the record as it was taken along, then of this device, in the order in which they came. */
export function values(pack, entries) {
  const { readings } = pack.record.run;
  const gone = new Set(readings.map((r) => r.supersedes).filter((id) => id !== undefined));
  const known = new Set(readings.map((r) => r.id));
  const keyOf = (p) => (p.kind === 'whole' ? 'whole' : p.kind === 'between' ? `${p.from}→${p.to}` : p.from);
  return [
    ...readings.filter((r) => !gone.has(r.id) && r.route !== 'takenBack').map((r) => ({ place: keyOf(r.place), column: r.column, typed: r.value.typed, unit: r.value.unit, id: r.id })),
    ...standing(entries).filter((e) => !(e.ids ?? []).some((id) => known.has(id))).flatMap((e) => e.values.map((v) => ({ ...v, n: e.n, unit: unitOf(pack, v.column) }))),
  ];
}

/** What is only on this device, for the calculations. */
export const kept = (pack, entries) => values(pack, entries).filter((v) => v.n).map(({ place, column, typed }) => ({ place, column, typed }));

const unitOf = (pack, column) => pack.record.columns.find((c) => c.id === column && c.kind === 'number')?.unit;

const isFilled = (place, all) => place.dataset.columns.split(' ').every((c) => all.some((v) => v.place === place.dataset.place && v.column === c));

/** Index of the place to fill next: the first empty one after the last that was filled, else the first empty one; −1 where none is. */
export function nextPlace(pack, all) {
  const empty = pack.places.map((p, i) => (isFilled(p, all) ? -1 : i)).filter((i) => i >= 0);
  const last = all.at(-1);
  const after = last ? pack.places.findIndex((p) => p.dataset.place === last.place && p.dataset.columns.split(' ').includes(last.column)) : -1;
  return empty.find((i) => i > after) ?? empty[0] ?? -1;
}

const make = (name, attributes = {}, ...children) => {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children.filter((c) => c !== null));
  return element;
};

/** Whether the run is finished as soon as all of it is sent. */
const ends = (entries) => entries.some((e) => e.finish && waits(e));

/** "3 on this device, 1 sent, 14 confirmed". */
export function stateWords(entries) {
  const count = (state) => standing(entries).filter((e) => e.state === state).length;
  const [here, sent, confirmed] = [count(HERE), count(SENT), count(CONFIRMED)];
  const end = ends(entries) && 'the end of the run on this device';
  const begin = entries.some((e) => e.begin) && 'the begin of the run on this device';
  return here + sent === 0 && !end && !begin ? (confirmed > 0 ? `${confirmed} recorded here, all confirmed` : '')
    : [begin, here > 0 && `${here} on this device`, sent > 0 && `${sent} sent`, confirmed > 0 && `${confirmed} confirmed`, end].filter(Boolean).join(', ');
}

/** Shows the next place, or that every place is done. @param {string} [begunOn] the sheet on which a run was begun on this device */
export function show(measuring, pack, entries, since, begunOn) {
  const all = values(pack, entries);
  const at = pack.places.length > 0 ? nextPlace(pack, all) : -1;
  const parts = [];
  const note = measuring.parentElement.querySelector('.alone') ?? make('p', { class: 'told alone', role: 'status' });
  const here = standing(entries).filter(waits).length;
  note.replaceChildren(make('b', {}, begunOn ? 'Begun on this device. ' : `Without network since ${since}. `), here === 0 ? 'Readings are kept on this device meanwhile.' : `${here} reading${here === 1 ? ' is' : 's are'} on this device, sent when ${begunOn ? 'the network' : 'it'} is back.`, ends(entries) ? ' Then the run is finished.' : '');
  measuring.before(note);
  if (at >= 0) parts.push(...placeOf(pack, all, at));
  else if (pack.places.length === 0) parts.push(...nextPair(measuring, all));
  else parts.push(finished(pack, ends(entries), begunOn));
  parts.push(soFar(pack, all, entries));
  measuring.replaceChildren(...parts);
}

function placeOf(pack, all, at) {
  const part = pack.places[at].content.cloneNode(true);
  const others = pack.places.map((_, i) => (at + 1 + i) % pack.places.length).filter((i) => i !== at && !isFilled(pack.places[i], all));
  const count = part.querySelector('.count');
  count?.replaceChildren(make('b', {}, `${at + 1} of ${pack.places.length}`), others.length > 0 ? `, next: ${pack.places[others[0]].dataset.words}` : ', the last');
  part.querySelector('[name="Key"]').value = newKey();
  const feet = new Set(all.flatMap((v) => v.place.split('→')));
  for (const balloon of part.querySelectorAll('.balloon:not(.now, .not-asked)')) {
    const done = feet.has(balloon.dataset.station);
    balloon.classList.toggle('done', done);
    balloon.classList.toggle('to-come', !done);
  }
  return [...part.children];
}

// Any two stations may be joined: the next pair carries on from the last one.
function nextPair(measuring, all) {
  const { From: from, To: to, Key: key } = measuring.querySelector('.reading').elements;
  key.value = newKey();
  const [, last] = all.at(-1)?.place.split('→') ?? [];
  if (last) {
    from.value = last;
    to.selectedIndex = Math.min(from.selectedIndex + 1, to.length - 1);
  }
  return measuring.querySelectorAll('.station, .reading');
}

function soFar(pack, all, entries) {
  const last = all.slice(-3);
  const rows = last.map((v) => make('tr', {}, make('th', { scope: 'row' }, v.place === 'whole' ? v.column : v.place.replace('→', ' → ')),
    make('td', { class: 'n' }, `${v.typed.replace('-', '−')} ${v.unit ?? ''}`.trimEnd())));
  const own = standing(entries).at(-1);
  return make('section', { class: 'so-far', 'aria-label': 'What was read' },
    rows.length === 0 ? null : make('table', { class: 'readings' }, make('thead', {}, make('tr', {}, make('th', { scope: 'col' }, 'Last'), make('th', { scope: 'col', class: 'n' }, 'Read'))), make('tbody', {}, ...rows)),
    own && !ends(entries) ? make('p', { class: 'take-back' }, make('button', { class: 'act', type: 'button', 'data-take-back': '' }, `Take back ${own.values[0].place.replace('→', ' → ')}: ${own.values.map((v) => v.typed).join(', ')}`)) : null,
    make('p', { class: 'visually-hidden', 'data-said': '' }, last.length > 0 ? `On this device: ${last.at(-1).typed}.` : ''));
}

function finished(pack, ending, begunOn) {
  return make('section', { class: 'finish' }, make('h1', {}, `All ${pack.places.length} places are read`),
    make('p', {}, ending ? 'The run is finished and calculated for the record as soon as all of it is sent. ' : 'They are calculated for the record once all are confirmed and the run is finished. ', 'Releasing and accepting wait for the network.'),
    make('p', { class: 'finishing' }, make('button', { class: ending ? 'act' : 'act act--next', type: 'button', 'data-finish': ending ? 'no' : 'yes' }, ending ? 'Do not finish yet' : 'Finish when all is sent'), ending && begunOn ? make('a', { class: 'act act--next', href: begunOn }, 'Begin the next run') : null),
    make('div', { 'data-provisional': '', 'aria-live': 'polite' }, make('p', {}, 'Calculating on this device …')));
}

/** Fills in what the values on this device come to. @param {object[] | null} results null: nobody could calculate. */
export function showResults(measuring, results) {
  const place = measuring.querySelector('[data-provisional]');
  if (!place) return;
  if (!results) {
    place.replaceChildren(make('p', {}, 'This device cannot calculate them; the server will.'));
    return;
  }
  const rows = results.filter((r) => r.value !== undefined || r.word !== 'not measured').map((r) => make('tr', {}, make('th', { scope: 'row' }, `${r.line} ${r.title}`),
    make('td', { class: 'n' }, r.value ?? '–'), make('td', { class: 'n' }, r.reach ? `+${r.reach}` : '–'), make('td', { class: 'n' }, r.limit ?? '–'), make('td', {}, r.word)));
  place.replaceChildren(rows.length === 0 ? make('p', {}, 'Nothing can be calculated from these places alone.') : make('div', { class: 'wide', role: 'region', tabindex: '0', 'aria-label': 'Provisional results' }, make('table', { class: 'provisional' },
    make('caption', {}, make('b', {}, 'Provisional. '), 'Calculated on this device; the record decides.'),
    make('thead', {}, make('tr', {}, ...['Check', 'Found', 'Reach above', 'Limit', 'Would be'].map((t, i) => make('th', i > 0 && i < 4 ? { scope: 'col', class: 'n' } : { scope: 'col' }, t)))), make('tbody', {}, ...rows))));
}

/** The server could not take a value; it stands in its field again. */
export const notRecorded = () => make('p', { class: 'told told--refused', role: 'alert' }, 'Not recorded. Record it once more.');

/** A value that is none: what was found and what was expected. */
export const refusal = (entry, faults) => make('p', { class: 'told told--refused', role: 'alert' },
  `Not kept. Found ${entry.values.map((v) => `“${v.typed}”`).join(', ')}; expected ${faults.map((f) => f.fault).join('; ')}.`);

/** What the person is asked about a doubtful value; the form keeps it all the same. */
export function asked(entry, questions) {
  const hidden = { Key: newKey(), Confirmed: 'true', Gauge: String(entry.gauge), TypedUs: String(entry.typedUs), SentUs: '' };
  for (const v of entry.values) hidden[`v:${v.place}:${v.column}`] = v.typed;
  return make('form', { class: 'asked', role: 'alert', 'data-stay': '', 'data-question': '' },
    ...Object.entries(hidden).map(([name, value]) => make('input', { type: 'hidden', name, value })),
    make('p', {}, ...questions.map((q) => make('span', { class: 'line' }, `${q}.`)), make('b', {}, 'Record it all the same?'), ' Or type it anew.'),
    make('button', { class: 'act act--next' }, 'Record it all the same'));
}

/** Shows what the person has to settle first, and takes away what is settled; what is shown already stays, as a hand may be on its way to it. A run that is not begun is measured on all the same. */
export function showTrouble(measuring, entries, name) {
  const trouble = entries.find((e) => e.trouble);
  const [sheet, what] = [measuring.parentElement, trouble ? `${trouble.n} ${trouble.key} ${entries.length}` : ''];
  const [shown, note] = [sheet.querySelector('[data-trouble]'), sheet.querySelector('.alone')];
  if (trouble && note) note.textContent = trouble.begin ? 'Begun on this device, and not in the record.' : `${entries.filter(waits).length} reading(s) are on this device: one has to be settled first.`;
  if (shown?.dataset.trouble === what) return;
  shown?.remove();
  if (!trouble) return;
  const block = troubleOf(trouble, name, entries);
  block.dataset.trouble = what;
  if (trouble.begin) (note ?? measuring).before(block);
  else measuring.prepend(block);
}

/** What the person has to settle before the rest of the run is sent. @param {object[]} entries all that is kept of the run */
export function troubleOf(entry, name, entries) {
  if (entry.begin) return refusedBegin(entry, entries);
  const words = entry.values ? entry.values.map((v) => `${v.place.replace('→', ' → ')}: ${v.typed}`).join('; ') : entry.finish ? 'The end of the run' : 'a value taken back';
  const button = (act, text, next) => make('button', { class: next ? 'act act--next' : 'act', type: 'button', 'data-settle': act, 'data-n': String(entry.n) }, text);
  const { questions, there, refused, faults } = entry.trouble;
  const lines = (texts) => texts.map((t) => make('span', { class: 'line' }, `${t}.`));
  const body = questions ? [make('p', {}, ...lines(questions), make('b', {}, 'Record it all the same?'), ' Or measure it anew.'), button('confirm', 'Record it all the same', true), button('drop', 'Measure it anew')]
    : there ? [make('p', {}, `${there.map((t) => `${t.place.replace('→', ' → ')}: this device has ${entry.values.find((v) => v.place === t.place && v.column === t.column)?.typed}, and ${t.typed} was recorded from elsewhere meanwhile`).join('; ')}. `, make('b', {}, 'Which one is right?')),
      button('mine', `What this device has: ${entry.values.map((v) => v.typed).join(', ')}`, false), button('drop', `What is recorded: ${there.map((t) => t.typed).join(', ')}`, false)]
      : [make('p', {}, make('b', {}, 'Not recorded. '), `${words}. ${refused} ${faults.map((f) => `${f.where}: found ${f.found}, expected ${f.expected}.`).join(' ')}`), button('again', 'Send it once more', true), button('drop', 'Leave it out')];
  return make('div', { class: 'asked', role: 'alert', 'data-trouble': '', 'aria-label': name ?? '' }, ...body);
}
