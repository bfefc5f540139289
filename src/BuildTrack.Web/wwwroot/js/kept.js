// What was typed on this tablet: kept in the browser's own database from the moment it is recorded here until the server has confirmed it, and sent in
// its order as often as that takes. Values and ids only: no password, no token (docs/decisions/0026-without-network.md).
import { asked, within } from './store.js';
import { idNow, isLocal, move, renew } from './begun.js';

export const HERE = 'here', SENT = 'sent', CONFIRMED = 'confirmed';

/** Keeps an entry; of a run that was begun here and is in the record meanwhile, as an entry of that. */
export const keep = (entry) => within(['entries', 'moved'], 'readwrite', async (entries, moved) => {
  const kept = { ...entry, run: await idNow(moved, entry.run) };
  return { ...kept, n: await asked(entries.add(kept)) };
});
export const drop = (n) => within(['entries'], 'readwrite', (entries) => asked(entries.delete(n)));
export const ofRun = (run) => within(['entries', 'moved'], 'readonly', async (entries, moved) => asked(entries.index('run').getAll(await idNow(moved, run))));
export const all = () => within(['entries'], 'readonly', (entries) => asked(entries.getAll()));
export const keepRun = (taken) => within(['runs'], 'readwrite', (runs) => asked(runs.put(taken)));
export const takenRun = (run) => within(['runs', 'moved'], 'readonly', async (runs, moved) => asked(runs.get(await idNow(moved, run))));

export const change = (n, changes) => within(['entries'], 'readwrite', async (entries) => {
  const entry = await asked(entries.get(n));
  if (entry) await asked(entries.put({ ...entry, ...changes }));
});

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

/** Keeps that the last entry of a run on this device is taken back. */
export async function takeBackLast(about) {
  const own = standing(await ofRun(about.run)).at(-1);
  if (own) await keep({ ...about, key: newKey(), back: own.n, state: HERE });
}

/** Not yet confirmed: the begin of a run, values, what takes one back, or its end. */
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
 * Sends what waits, each run in its order; an entry that needs a person holds up the rest of its run, and every run of the machine that was begun here after it.
 * @returns {Promise<'done' | 'lost' | 'signed-out' | 'another' | 'busy'>} why it stopped.
 */
export async function sendKept(told = () => {}) {
  if (!navigator.locks) return 'busy';
  return navigator.locks.request('buildtrack-kept', { ifAvailable: true }, async (lock) => {
    if (!lock) return 'busy';
    const [held, machines] = [new Set(), new Set()];
    let stopped = 'done';
    for (const { n } of (await all()).filter(waits)) {
      const entries = await all();
      const entry = entries.find((e) => e.n === n);
      if (!entry || held.has(entry.run)) continue;
      const how = entry.trouble || (isLocal(entry.run) && (!entry.begin || machines.has(entry.serial))) ? 'trouble' : await sendOne(entry, entries, told);
      if (how === 'trouble' || how === 'another') {
        held.add(entry.run);
        machines.add(entry.serial);
      }
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
    if (entry.begin) {
      answer = await post(`${machine}/runs/begun`, entry.key, { begin: entry.begin, by: entry.by, begunUs: entry.typedUs, sentUs: nowUs() });
    } else if (entry.back) {
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
  if (answer.ok && entry.begin) {
    await move(entry, said.run);
    told();
    return 'done';
  }
  if (answer.ok) {
    const [first] = said.spot ? [] : said.results ?? [];
    const leadsTo = `/machines/${encodeURIComponent(entry.serial)}/${first ? `results/${encodeURIComponent(first.line)}` : `runs/${entry.run}`}`;
    if (entry.finish) renew(entry.sheet).catch(() => {});
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
  // A begin that acted already, and whose answer was lost, is another person's too.
  if (['R-READ-02', 'R-RUN-05'].includes(said.rule) || status === 403 || (entry.begin && status === 422)) return 'another';
  if (said.questions) return { questions: said.questions };
  if (status === 400 && entry.values) {
    // The place may be filled by what came from elsewhere: both are shown, and a person chooses.
    const now = await fetch(`${machine}/runs/${entry.run}`).then((a) => (a.ok ? a.json() : null)).catch(() => null);
    const there = now?.readings.filter((r) => entry.values.some((v) => v.place === r.place && v.column === r.column)) ?? [];
    if (there.length > 0) return { there };
  }
  return { rule: said.rule, refused: said.detail ?? said.title ?? `answer ${status}`, faults: said.errors ?? [] };
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
