// Whoever signs out with readings that only this device has is told so first; the readings stay. The sheets that were kept go with whoever signed out (sw.js).
// A script of its own, in the head of its sheet: there before the sheet can be pressed on, where what is fetched afterwards may come after the finger.
import { all, waits } from './kept.js';
import { words } from './settling.js';

const signOut = document.querySelector('form[data-sign-out]');
let asking = false;
signOut?.addEventListener('submit', async (event) => {
  if (signOut.dataset.told) return;
  event.preventDefault();
  if (asking) return;
  asking = true;
  // A device that cannot look has kept nothing: signing out goes on.
  const left = (await all().catch(() => [])).filter(waits);
  delete signOut.dataset.sent;
  if (left.length > 0) {
    const told = document.createElement('p');
    told.className = 'told told--refused';
    told.setAttribute('role', 'alert');
    told.textContent = `Only on this device: ${words(left)}. It stays here and is sent when the same person signs in again on it. Press once more to sign out all the same.`;
    signOut.before(told);
  }
  signOut.dataset.told = 'yes';
  if (left.length === 0) signOut.requestSubmit();
});
