// What was typed without network and is not confirmed yet, told and sent from whatever sheet is open; the measuring sheet does so itself.
import { all, waits, sendKept } from './kept.js';
import { sheetOf } from './begun.js';
import { words } from './settling.js';

const strip = document.createElement('p');
strip.className = 'told waiting-strip';
strip.setAttribute('role', 'status');

async function send() {
  // The measuring sheet of a run that was begun on this device comes up on the sheet that begins it.
  if (document.querySelector('[data-sheet-of-run]')) {
    strip.remove();
    return;
  }
  const before = (await all()).filter(waits);
  if (before.length === 0) {
    strip.remove();
    return;
  }
  const how = await sendKept();
  const left = (await all()).filter(waits);
  const runs = [...new Map(left.map((e) => [e.run, e])).values()];
  const why = how === 'signed-out' ? 'sign in, and it is sent' : how === 'another' ? 'it is sent when the person who read it is signed in'
    : left.find((e) => e.begin && e.trouble) ? `the server did not begin a run: ${left.find((e) => e.begin && e.trouble).trouble.refused} It is settled on its measuring sheet`
    : left.some((e) => e.trouble) ? 'something has to be settled on its measuring sheet' : how === 'busy' ? 'it is sent in a moment' : 'it is sent when the network is back';
  strip.replaceChildren(left.length === 0 ? `What was kept on this device is in the record now: ${words(before)}.` : `Only on this device: ${words(left)}; ${why}. `);
  for (const e of runs) strip.append(Object.assign(document.createElement('a'), { href: sheetOf(e), textContent: `${e.serial}, ${e.name}` }), ' ');
  // Below everything else, so that nothing moves away from a finger that is on its way.
  document.querySelector('#work')?.append(strip);
}

if (!document.querySelector('[data-sheet-of-run]')) {
  send();
  window.addEventListener('online', send);
  setInterval(send, 10_000);
}
