// Runs that are begun on this tablet without network: an id of their own until the server has begun them, then the record's (docs/decisions/0038-begun-without-network.md).
import { asked, within } from './store.js';

const SHEETS = 'buildtrack-sheets';

/** Whether an id is one that this tablet gave. */
export const isLocal = (run) => typeof run === 'string';

/** The id under which the entries of a run are kept now. @param {IDBObjectStore} moved */
export const idNow = async (moved, run) => (isLocal(run) ? (await asked(moved.get(run)))?.run ?? run : run);

/** The sheet on which a run is measured: the server's, or while it waits to be begun this tablet's. */
export const sheetOf = (entry) => (isLocal(entry.run) ? `${entry.sheet}?run=${entry.run}` : `/machines/${encodeURIComponent(entry.serial)}/runs/${entry.run}/station`);

/** The address of a run's sheet on the server; null while the server has not begun it. */
export async function serverSheetOf(serial, local) {
  const run = await within(['moved'], 'readonly', (moved) => idNow(moved, local));
  return isLocal(run) ? null : sheetOf({ serial, run });
}

/** Keeps a begin together with what its sheet is made from. */
export const keepBegin = (entry, taken) => within(['entries', 'runs'], 'readwrite', async (entries, runs) => {
  runs.put(taken);
  await asked(entries.add(entry));
});

/** The record has begun the run, or takes its values in another one: everything kept of it is that run's from now on, once, in one transaction. */
export const move = (begin, run) => within(['entries', 'runs', 'moved'], 'readwrite', async (entries, runs, moved) => {
  const local = begin.run;
  if (await asked(moved.get(local))) return;
  for (const e of await asked(entries.index('run').getAll(local))) {
    if (e.begin) entries.delete(e.n);
    else entries.put({ ...e, run });
  }
  const taken = await asked(runs.get(local));
  if (taken) {
    runs.delete(local);
    runs.put({ ...taken, run });
  }
  moved.put({ local, run, serial: begin.serial });
});

/** Everything kept of a run that was begun here is given up. */
export const setAside = (local) => within(['entries', 'runs'], 'readwrite', async (entries, runs) => {
  for (const e of await asked(entries.index('run').getAll(local))) entries.delete(e.n);
  runs.delete(local);
});

/** A sheet that was taken along knows the runs that the record has by now, so that the next one can be begun behind them. */
export async function renew(sheet) {
  const cache = await caches.open(SHEETS);
  if (!sheet || !await cache.match(sheet)) return;
  const fresh = await fetch(sheet);
  if (fresh.ok && !fresh.redirected) await cache.put(sheet, fresh);
}

/** What the server says of the survey now: this person's own open run of it, if any, and whether the values of a begin may be put into it. */
export async function standsNow(begin) {
  const answer = await fetch(begin.sheet, { signal: AbortSignal.timeout(15_000) }).catch(() => null);
  const sheet = answer?.ok && !answer.redirected ? new DOMParser().parseFromString(await answer.text(), 'text/html').querySelector('[data-begin-alone]') : null;
  if (!sheet) return null;
  const { open, openNo, openReadings, openDirection, openArrow, openInstruments, online } = sheet.dataset;
  const same = (a, b) => (a ?? '').toLowerCase() === (b ?? '').toLowerCase();
  const [mine, theirs] = [[...begin.begin.instruments].sort().join(' '), (openInstruments ?? '').split(' ').filter(Boolean).sort().join(' ')];
  return { online, run: Number(open), no: openNo, readings: openReadings, fits: Boolean(open) && same(openDirection, begin.begin.direction) && same(openArrow, begin.begin.arrow) && mine === theirs };
}
