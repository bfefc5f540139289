// Asks the calculations in the worker. Where they cannot be loaded, every answer is null: values are kept all the same, and the server asks and calculates.

let worker = null;
let broken = false;
const open = new Map();
let last = 0;

function call(act, ...args) {
  if (!worker || broken) return Promise.resolve(null);
  return new Promise((resolve) => {
    last += 1;
    open.set(last, resolve);
    worker.postMessage({ id: last, act, args });
  });
}

function start() {
  if (!worker) {
    worker = new Worker(new URL('./engine.js', import.meta.url), { type: 'module' });
    worker.onmessage = ({ data }) => {
      open.get(data.id)?.(data.fault === undefined ? data.answer ?? null : null);
      open.delete(data.id);
    };
    worker.onerror = () => {
      broken = true;
      for (const resolve of open.values()) resolve(null);
      open.clear();
    };
  }
}

/** Starts the calculations for a run. @param {string} taken canonical text of the run. */
export function take(taken) {
  start();
  return call('Take', taken);
}

/** Works out a form of the site pack: {lines, faults}; null where nobody can say. @param {string} feet canonical text of the machine's feet. */
export async function reckon(kind, feet, typed) {
  start();
  return JSON.parse(await call('Reckon', kind, feet, JSON.stringify(typed)) ?? 'null');
}

/** Begins a run behind those that wait here: {faults, refused?, taken?, with}; null where nobody can say. @param {string} survey canonical text of the survey taken along. @param {string} day yyyy-mm-dd */
export async function begin(survey, before, typed, day) {
  start();
  return JSON.parse(await call('Begin', survey, JSON.stringify(before), JSON.stringify(typed), day) ?? 'null');
}

/** What a value is met with before it is kept: {fault?, question?}; null where nobody can say. */
export const meet = async (kept, typed) => JSON.parse(await call('Meet', JSON.stringify(kept), JSON.stringify(typed)) ?? 'null');

/** The results as if the run were finished; null where nobody can say. */
export const calculate = async (kept) => JSON.parse(await call('Calculate', JSON.stringify(kept)) ?? 'null');
