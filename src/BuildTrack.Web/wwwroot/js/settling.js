// What a person settles before the rest of a run is sent.
import { change, correctThere, drop, newKey, standing, waits } from './kept.js';
import { move, setAside, standsNow } from './begun.js';

/** Does what a button says. @param {string} act @param {object} entry @returns {Promise<boolean>} the run is no longer on this device */
export async function decide(act, entry) {
  switch (act) {
    case 'confirm': await change(entry.n, { confirmed: true, key: newKey(), trouble: null }); break;
    case 'again': await change(entry.n, { trouble: null }); break;
    case 'mine': await correctThere(entry); break;
    case 'put': {
      const now = await standsNow(entry);
      if (!now?.fits) throw new Error('no run of this survey that was begun with the same instruments, direction and arrow is open any more');
      await move(entry, now.run);
      break;
    }
    case 'aside':
      await setAside(entry.run);
      return true;
    default: await drop(entry.n);
  }
  return false;
}

/** What waits of a run, in words: "the begin of a run, 7 reading(s), the end of a run". */
export function words(entries) {
  const readings = standing(entries).length;
  return [entries.some((e) => e.begin) && 'the begin of a run', readings > 0 && `${readings} reading(s)`, entries.some((e) => e.back) && 'what takes one back', entries.some((e) => e.finish) && 'the end of a run'].filter(Boolean).join(', ');
}

const make = (name, attributes, ...children) => {
  const element = Object.assign(document.createElement(name), attributes);
  element.append(...children);
  return element;
};

/** A begin that the server refused: why, what is on this device, and what can be done with it. @param {object[]} entries all that is kept of the run */
export function refusedBegin(entry, entries) {
  const { rule, refused, faults } = entry.trouble;
  const button = (act, text) => {
    const made = make('button', { type: 'button', className: 'act', textContent: text });
    [made.dataset.settle, made.dataset.n] = [act, String(entry.n)];
    return made;
  };
  const here = words(entries.filter((e) => waits(e) && !e.begin));
  const there = make('p', { hidden: true });
  const aside = make('details', { className: 'other-place' }, make('summary', { textContent: 'Set it aside' }), button('aside', here ? `Set aside: ${here} are lost` : 'Set aside: nothing was read, nothing is lost'));
  const block = make('div', { className: 'asked asked--begin' },
    make('p', {}, make('b', { textContent: 'The server did not begin this run. ' }), `${refused} ${faults.map((f) => `${f.where}: found ${f.found}, expected ${f.expected}.`).join(' ')}${rule ? ` Rule ${rule}.` : ''}`),
    make('p', { textContent: here ? `On this device stay ${here}; nothing of it is lost, and nothing was put into another run.` : 'Nothing was read in it yet.' }), there, button('again', 'Send it once more'), aside);
  block.setAttribute('role', 'alert');
  block.dataset.trouble = '';
  // The record's own run is told beside it as soon as the server says which; the person chooses.
  standsNow(entry).then((now) => {
    if (!now) return;
    there.hidden = false;
    // What was read before work on the bed goes into no run that came after it.
    const fits = now.fits && rule !== 'R-RUN-07';
    const link = (href, text) => make('a', { className: 'row-link', href, textContent: text });
    if (now.run) {
      there.append(`In the record, run ${now.no} of this survey is open with ${now.readings} reading(s). `, fits ? '' : 'What is here cannot be put into it: it was begun with other instruments, another direction or arrow, or after work on the bed. ',
        link(`/machines/${encodeURIComponent(entry.serial)}/runs/${now.run}`, `Run ${now.no}`));
    } else {
      there.append('Begun on line with the same instruments, direction and arrow, a run takes what is here: ', link(now.online, 'begin on line'));
    }
    if (fits && here) aside.before(button('put', `Put ${here} into run ${now.no}`));
  }).catch(() => {});
  return block;
}
