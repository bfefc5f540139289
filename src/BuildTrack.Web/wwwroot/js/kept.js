// What was typed on this tablet: kept in the browser's own database from the moment it is recorded here until the server has confirmed it, and sent in
// its order as often as that takes. Values and ids only: no name, no password, no token (docs/decisions/0026-without-network.md).

export const HERE = 'here', SENT = 'sent', CONFIRMED = 'confirmed';

// A later edition of this file opens a higher version and takes the entries over; it never drops one.
const VERSION = 1;

function opened() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open('buildtrack', VERSION);
    request.onupgradeneeded = () => {
      const db = request.result;
      if (!db.objectStoreNames.contains('entries')) db.createObjectStore('entries', { keyPath: 'n', autoIncrement: true }).createIndex('run', 'run');
      if (!db.objectStoreNames.contains('runs')) db.createObjectStore('runs', { keyPath: 'run' });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}
let database;

/** One transaction; done when the browser says that it is on its disk. */
async function inStore(name, mode, act) {
  database ??= opened();
  const db = await database;
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(name, mode, { durability: 'strict' });
    const request = act(transaction.objectStore(name));
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
  });
}

export const keep = async (entry) => ({ ...entry, n: await inStore('entries', 'readwrite', (s) => s.add(entry)) });
export const drop = (n) => inStore('entries', 'readwrite', (s) => s.delete(n));
export const ofRun = (run) => inStore('entries', 'readonly', (s) => s.index('run').getAll(run));
export const all = () => inStore('entries', 'readonly', (s) => s.getAll());
export const keepRun = (taken) => inStore('runs', 'readwrite', (s) => s.put(taken));
export const takenRun = (run) => inStore('runs', 'readonly', (s) => s.get(run));
export const dropRun = (run) => inStore('runs', 'readwrite', (s) => s.delete(run));

export async function change(n, changes) {
  const entry = await inStore('entries', 'readonly', (s) => s.get(n));
  if (entry) await inStore('entries', 'readwrite', (s) => s.put({ ...entry, ...changes }));
}

export const newKey = () => crypto.randomUUID().replaceAll('-', '');
export const nowUs = () => Date.now() * 1000;

/** What a form of the measuring sheet holds, as it is kept until the server has confirmed it. @param {{run, serial, name}} about the run. @param {FormData} body */
export function entryOf(about, body) {
  const values = [...body].filter(([n, v]) => n.startsWith('v:') && v.trim()).map(([n, v]) => {
    const [, place, column] = n.split(':');
    return { place: place || `${body.get('From')}→${body.get('To')}`, column, typed: v.trim() };
  });
  return { ...about, key: body.get('Key') || newKey(), values, gauge: body.get('Gauge') === 'true', confirmed: body.get('Confirmed') === 'true', typedUs: Number(body.get('TypedUs')), state: SENT };
}

let finishing = false;

/** Keeps that a run is finished when all of it is sent, or takes that back; of two touches at once the second does nothing. */
export async function finishWhenSent(about, wanted) {
  if (finishing) return;
  finishing = true;
  try {
    const waiting = (await ofRun(about.run)).find((e) => e.finish);
    if (wanted && !waiting) await keep({ ...about, key: newKey(), finish: true, state: HERE });
    if (!wanted && waiting) await drop(waiting.n);
  } finally {
    finishing = false;
  }
}

/** Not yet confirmed: values, what takes one back, or the end of the run. */
export const waits = (entry) => entry.state !== CONFIRMED;
export const waitingOf = async (run) => (await ofRun(run)).filter(waits);

/** The entries of a run that stand: each with values that no later one takes back. */
export function standing(entries) {
  const back = new Set(entries.map((e) => e.back).filter(Boolean));
  return entries.filter((e) => e.values && !back.has(e.n));
}

const post = (address, key, body) => fetch(address, {
  method: 'POST', headers: { 'Content-Type': 'application/json', 'Idempotency-Key': key }, body: JSON.stringify(body), signal: AbortSignal.timeout(15_000),
});

/**
 * Sends what waits, each run in its order; an entry that needs a person holds up the rest of its run.
 * @returns {Promise<'done' | 'lost' | 'signed-out' | 'another' | 'busy'>} why it stopped.
 */
export async function sendKept(told = () => {}) {
  if (!navigator.locks) return 'busy';
  return navigator.locks.request('buildtrack-kept', { ifAvailable: true }, async (lock) => {
    if (!lock) return 'busy';
    const held = new Set();
    let stopped = 'done';
    for (const { n } of (await all()).filter(waits)) {
      const entries = await all();
      const entry = entries.find((e) => e.n === n);
      if (!entry || held.has(entry.run)) continue;
      const how = entry.trouble ? 'trouble' : await sendOne(entry, entries, told);
      if (how === 'trouble' || how === 'another') held.add(entry.run);
      if (how === 'another') stopped = how;
      if (how === 'lost' || how === 'signed-out' || how === 'busy') return how;
    }
    return stopped;
  });
}

async function sendOne(entry, entries, told) {
  const machine = `/api/v1/machines/${encodeURIComponent(entry.serial)}`;
  await change(entry.n, { state: SENT });
  told();
  let answer;
  try {
    if (entry.back) {
      const [reading] = entries.find((e) => e.n === entry.back)?.ids ?? [];
      answer = await post(`${machine}/readings/${reading}/take-back`, entry.key, {});
    } else if (entry.finish) {
      answer = await post(`${machine}/runs/${entry.run}/finish`, entry.key, {});
    } else {
      answer = await post(`${machine}/runs/${entry.run}/readings`, entry.key, {
        readings: entry.values.map((v) => ({ ...v, unit: null })), confirmed: entry.confirmed, gauge: entry.gauge, typedUs: entry.typedUs, sentUs: nowUs(),
      });
    }
  } catch {
    await change(entry.n, { state: HERE });
    told();
    return 'lost';
  }
  const said = await answer.json().catch(() => ({}));
  if (answer.ok) {
    const [first] = said.spot ? [] : said.results ?? [];
    const leadsTo = `/machines/${encodeURIComponent(entry.serial)}/${first ? `results/${encodeURIComponent(first.line)}` : `runs/${entry.run}`}`;
    await change(entry.n, entry.finish ? { state: CONFIRMED, leadsTo } : { state: CONFIRMED, ids: said.ids ?? [] });
    told();
    return 'done';
  }
  const trouble = await troubleOf(answer.status, said, entry, machine);
  await change(entry.n, { state: HERE, trouble: typeof trouble === 'string' ? null : trouble });
  told();
  return typeof trouble === 'string' ? trouble : 'trouble';
}

async function troubleOf(status, said, entry, machine) {
  if (status === 401) return 'signed-out';
  if (status === 429 || status >= 500) return 'busy';
  if (said.rule === 'R-READ-02' || status === 403) return 'another';
  if (said.questions) return { questions: said.questions };
  if (status === 400 && entry.values) {
    // The place may be filled by what came from elsewhere: both are shown, and a person chooses.
    const now = await fetch(`${machine}/runs/${entry.run}`).then((a) => (a.ok ? a.json() : null)).catch(() => null);
    const there = now?.readings.filter((r) => entry.values.some((v) => v.place === r.place && v.column === r.column)) ?? [];
    if (there.length > 0) return { there };
  }
  return { refused: said.detail ?? said.title ?? `answer ${status}`, faults: said.errors ?? [] };
}

/** Settles a place that was filled from elsewhere with what was read here: a further reading that supersedes the other and says why. */
export async function correctThere(entry) {
  for (const there of entry.trouble.there) {
    const mine = entry.values.find((v) => v.place === there.place && v.column === there.column);
    const answer = await post(`/api/v1/machines/${encodeURIComponent(entry.serial)}/readings/${there.id}/correction`, `${entry.key}-${there.id}`, {
      typed: mine.typed, unit: null, reason: `read on a tablet without network, where ${there.typed} had been recorded from elsewhere; the person chose between the two`,
    });
    if (!answer.ok) throw new Error((await answer.json().catch(() => ({}))).detail ?? `answer ${answer.status}`);
  }
  await change(entry.n, { state: CONFIRMED, trouble: null });
}
