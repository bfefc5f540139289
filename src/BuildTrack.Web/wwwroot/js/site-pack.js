// The site pack: carried on this device on request, and its forms worked out here, so that they answer without network too.
import { keepRun } from './kept.js';
import { reckon } from './provisional.js';

const SHEETS = 'buildtrack-sheets';
const DAYS = 10;
const sheet = document.querySelector('[data-site-pack]');
const carried = sheet.querySelector('[data-carried]');
const button = sheet.querySelector('[data-carry]');
const day = (at) => new Date(at).toLocaleDateString('en-GB', { day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' });

const begins = [...sheet.querySelectorAll('[data-begin-sheet]')].map((a) => new URL(a.href).pathname);

async function tell() {
  const cache = await caches.open(SHEETS);
  const kept = await cache.match(location.pathname);
  button.hidden = false;
  if (!kept) return;
  // As old as the oldest of what begins a run.
  const along = (await Promise.all(begins.map((b) => cache.match(b)))).filter(Boolean);
  const at = Math.min(...[kept, ...along].map((k) => Date.parse(k.headers.get('Date'))));
  carried.textContent = `On this device since ${day(at)}, good until ${day(at + DAYS * 86_400_000)}. Opened on line, it is packed anew.`;
  button.textContent = 'Carry it anew';
  button.classList.remove('act--next');
}

async function take(cache, address) {
  const answer = await fetch(address);
  if (!answer.ok || answer.redirected) throw new Error(`${address}: ${answer.redirected ? 'sign in first' : answer.status}`);
  await cache.put(new URL(address, location.href).pathname, answer.clone());
  return answer;
}

/** A sheet with its styles and scripts, which the worker keeps as they are fetched. */
async function takeWhole(cache, address) {
  const taken = new DOMParser().parseFromString(await (await take(cache, address)).text(), 'text/html');
  for (const part of taken.querySelectorAll('link[rel=stylesheet], link[rel=modulepreload], script[src]')) await fetch(part.getAttribute('href') ?? part.getAttribute('src'));
}

async function takeRun(cache, link) {
  const address = new URL(link.href).pathname;
  await takeWhole(cache, address);
  const answer = await fetch(`${address}?handler=TakeAlong`);
  if (!answer.ok || answer.redirected) throw new Error(`${address}: ${answer.redirected ? 'sign in first' : answer.status}`);
  await keepRun({ run: Number(link.dataset.run), serial: sheet.dataset.sitePack, name: link.dataset.name, html: await answer.text(), at: Date.now() });
}

async function carry() {
  button.disabled = true;
  await navigator.serviceWorker.ready;
  const cache = await caches.open(SHEETS);
  const photos = [...new Set([...sheet.querySelectorAll('[data-photo]')].map((p) => p.src))];
  const work = [
    ...[...sheet.querySelectorAll('[data-along]')].map((a) => () => take(cache, a.href)),
    ...photos.map((p) => () => take(cache, p)),
    ...[...sheet.querySelectorAll('[data-run]')].map((a) => () => takeRun(cache, a)),
    ...begins.map((b) => () => takeWhole(cache, b)),
    // The calculations are loaded once, and with that they are on this device.
    () => reckon('dew-point', '{"feet":[],"smallestUm":0,"stepUm":1}', [{ name: 'Air', typed: '20' }, { name: 'Humidity', typed: '50' }]),
    // The sheet itself last: where it is, everything is.
    () => take(cache, location.pathname),
  ];
  try {
    for (const [n, one] of work.entries()) {
      carried.textContent = `Packing: ${n} of ${work.length} …`;
      await one();
    }
    await navigator.storage?.persist?.();
    await tell();
  } catch (lost) {
    carried.textContent = `Not packed whole: ${lost.message}. What was here before stays as it was.`;
  }
  button.disabled = false;
}

/** Opened on line, what begins a run is packed anew with the rest. */
async function renewAll() {
  const cache = await caches.open(SHEETS);
  if (!navigator.onLine || !await cache.match(location.pathname)) return;
  for (const b of begins) await takeWhole(cache, b);
  await tell();
}

if (navigator.serviceWorker && globalThis.caches) {
  button.addEventListener('click', carry);
  // Where the network is away after all, what is here stays as it was.
  tell().then(renewAll).catch(() => {});
}

for (const form of sheet.querySelectorAll('[data-reckon]')) {
  form.addEventListener('submit', async (event) => {
    if (form.dataset.plain) return;
    event.preventDefault();
    const fields = [...new FormData(form)].filter(([name]) => name !== 'Reckon').map(([name, typed]) => ({ name, typed }));
    const answer = await reckon(form.dataset.reckon, sheet.querySelector('[data-feet]').textContent, fields);
    if (!answer) {
      // This device cannot calculate: the server does.
      form.dataset.plain = 'yes';
      form.requestSubmit();
      return;
    }
    const paragraph = (text, name) => Object.assign(document.createElement('p'), { textContent: text, className: name });
    form.querySelector('[data-answer]').replaceChildren(...answer.faults.map((f) => paragraph(`${f}.`, 'told told--refused')), ...answer.lines.map((l) => paragraph(l, '')));
  });
}
