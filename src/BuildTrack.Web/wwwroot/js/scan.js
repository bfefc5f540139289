// A keyboard-type scanner types what it read, and Enter or Tab: anywhere on a sheet, outside a field that is typed in, that leads to what the code names.
// On the measuring sheet, where everything typed belongs to the value, only a burst with the prefix of our codes is taken; the rest is never touched.

const FASTEST_FINGER_MS = 25;
const SHORTEST = 4;
// A code whose prefix came is waited for; a scanner with a slow radio link, or a tablet that has much to do, pauses within it.
const LONGEST_PAUSE_MS = 1500;
// The letter that may begin a code stands in no number: a value loses nothing by waiting for the next character.
const PREFIX_PAUSE_MS = 400;
// "BT" and a mark: the colon, or what another layout makes of its key.
const PREFIX = /^bt[^0-9a-ln-z]/i;
const DIRECT = 'input, textarea, select, [contenteditable]';

const measuring = () => document.querySelector('[data-sheet-of-run]');
const valueField = (element) => element?.closest?.('[data-value]');

let burst = '';
let times = [];
let before = 0;
let ended = true;
let slow = 0;

// Characters held back from the field while they may still be the prefix of a code.
let field = null;

// Stands on the sheet only while there is something to tell.
let said = null;

function tell(text) {
  said?.remove();
  said = null;
  if (!text) return;
  said = document.createElement('p');
  said.className = 'told told--scan';
  said.setAttribute('role', 'alert');
  said.textContent = text;
  document.body.append(said);
}

function forget() {
  clearTimeout(slow);
  burst = '';
  times = [];
  field = null;
}

// It was no code: what was held back goes into the field where it was typed.
function giveBack() {
  if (field && burst) {
    field.setRangeText(burst, field.selectionStart, field.selectionEnd, 'end');
    field.dispatchEvent(new Event('input', { bubbles: true }));
  }
  forget();
}

function waitAWhile(held) {
  clearTimeout(slow);
  slow = setTimeout(() => {
    if (PREFIX.test(burst)) {
      tell('A code was not read to its end. Scan it again.');
      forget();
    } else if (held) {
      giveBack();
    } else {
      forget();
    }
  }, PREFIX.test(burst) ? LONGEST_PAUSE_MS : held ? PREFIX_PAUSE_MS : LONGEST_PAUSE_MS);
}

const here = () => location.pathname + location.search;
const kindOf = (text) => (PREFIX.test(text) ? text[3]?.toUpperCase() : null);

function go(text) {
  tell('');
  const asked = document.querySelector('[data-scan]');
  const letter = asked?.dataset.scan[0].toUpperCase();
  const empty = [...document.querySelectorAll('[data-scan]')].find((f) => !f.value);
  if (kindOf(text) === 'B') {
    badge(text);
  } else if (empty && (kindOf(text) === letter || kindOf(text) === null)) {
    empty.value = text;
    (empty.form.querySelector('input:invalid') ?? empty.form.querySelector('button')).focus();
  } else {
    const query = new URLSearchParams({ code: text, from: here() });
    if (asked && kindOf(text) !== null) query.set('asks', asked.dataset.scan);
    location.assign(`/scan?${query}`);
  }
}

// A badge is a secret: it goes in the body of the form of the next person, never into an address.
async function badge(text) {
  const own = document.querySelector('form[data-badge]');
  if (own) {
    own.elements.Badge.value = text;
    own.requestSubmit();
    return;
  }
  try {
    const answer = await fetch(`/sign-in?${new URLSearchParams({ back: here() })}`);
    const form = new DOMParser().parseFromString(await answer.text(), 'text/html').querySelector('form[data-badge]');
    if (!form) {
      tell('A badge was scanned, but this tablet is not enrolled: only the password changes the person here.');
      return;
    }
    form.action = '/sign-in?handler=Badge';
    form.hidden = true;
    form.elements.Badge.value = text;
    document.body.append(document.adoptNode(form));
    form.submit();
  } catch {
    tell('A badge was scanned, but there is no connection. The person has not changed.');
  }
}

// True where the whole burst came faster than a finger types.
const quick = () => times.length >= SHORTEST && (times.at(-1) - times[0]) / (times.length - 1) < FASTEST_FINGER_MS;

function take(event) {
  event.preventDefault();
  event.stopImmediatePropagation();
}

function onMeasuringSheet(event) {
  const character = event.key.length === 1;
  if (!burst) {
    // Within a text nothing is held: only what begins a burst may be a code. No number has a B in it.
    const into = valueField(event.target);
    if (character && /b/i.test(event.key) && (ended || into?.inputMode !== 'text' || event.timeStamp - before > FASTEST_FINGER_MS)) {
      field = into;
      burst = event.key;
      take(event);
      waitAWhile(true);
    }
    return;
  }
  if (!character) {
    if (PREFIX.test(burst) && (event.key === 'Enter' || event.key === 'Tab')) {
      take(event);
      const text = burst;
      forget();
      const typed = [...document.querySelectorAll('[data-value]')].find((f) => f.value.trim());
      if (typed) tell('A code was scanned while a value was typed and not recorded. Record it or rub it out, then scan again.');
      else go(text);
    } else {
      giveBack();
    }
    return;
  }
  const next = burst + event.key;
  if (PREFIX.test(next) || next.toLowerCase() === 'bt') {
    burst = next;
    take(event);
    waitAWhile(true);
  } else {
    giveBack();
  }
}

function onOtherSheets(event) {
  if (event.target.closest?.(DIRECT)) {
    forget();
    return;
  }
  if (event.key.length === 1) {
    // What may still become the prefix is waited for, too.
    if (!PREFIX.test(burst) && !/^bt?$/i.test(burst) && times.length > 0 && event.timeStamp - times.at(-1) > 2 * FASTEST_FINGER_MS) forget();
    burst += event.key;
    times.push(event.timeStamp);
    // A space of a code would press the button that has the focus.
    if (event.key === ' ' && burst.length > 1) event.preventDefault();
    waitAWhile(false);
  } else if (event.key === 'Enter' || event.key === 'Tab') {
    const text = burst;
    const scanned = text.length >= SHORTEST && (PREFIX.test(text) || quick());
    forget();
    if (scanned) {
      take(event);
      go(text);
    }
  }
}

// Before every other listener, so that a code never reaches the value.
window.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  // What is held back is there to be rubbed out.
  if (event.key === 'Backspace' && field) giveBack();
  if (event.key.length > 1 && event.key !== 'Enter' && event.key !== 'Tab') return;
  // What was told has been read when the next value ends.
  if (event.key === 'Enter' && !burst) tell('');
  if (measuring()) onMeasuringSheet(event);
  else onOtherSheets(event);
  before = event.timeStamp;
  ended = event.key.length > 1;
}, true);
