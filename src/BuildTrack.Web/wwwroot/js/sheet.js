// Enhancements only: every sheet works without this file.

// A measured value and Enter lead to the next place; the last one leads to its button.
for (const form of document.querySelectorAll('.stations-form')) {
  const fields = [...form.querySelectorAll('input[inputmode="decimal"]')];
  form.addEventListener('keydown', (event) => {
    const at = fields.indexOf(event.target);
    if (event.key !== 'Enter' || at < 0) return;
    event.preventDefault();
    (fields[at + 1] ?? form.querySelector('button')).focus();
  });
  // Leaving with values that were typed and not recorded is asked about.
  let typed = false;
  form.addEventListener('input', () => { typed = true; });
  form.addEventListener('submit', () => { typed = false; });
  window.addEventListener('beforeunload', (event) => { if (typed) event.preventDefault(); });
}

// A region that scrolls is a stop of the Tab key only while something is cut off.
function stopsOfRegions() {
  for (const region of document.querySelectorAll('.wide')) {
    const { dataset } = region;
    dataset.name ??= region.getAttribute('aria-label');
    const attributes = { role: 'region', tabindex: '0', 'aria-label': dataset.name };
    const scrolls = region.scrollWidth > region.clientWidth || region === document.activeElement;
    for (const [name, value] of Object.entries(attributes)) {
      if (scrolls) region.setAttribute(name, value);
      else region.removeAttribute(name);
    }
  }
}
stopsOfRegions();
window.addEventListener('resize', stopsOfRegions);
document.addEventListener('toggle', stopsOfRegions, true);

// A form that is on its way is not sent twice by an impatient finger.
for (const form of document.querySelectorAll('form[method="post"]')) {
  form.addEventListener('submit', (event) => {
    if (form.dataset.sent) { event.preventDefault(); return; }
    form.dataset.sent = 'yes';
  });
}
window.addEventListener('pageshow', () => {
  for (const form of document.querySelectorAll('form[data-sent]')) delete form.dataset.sent;
});

// The arrow keys with Alt leaf as the two arrows in the title block do.
window.addEventListener('keydown', (event) => {
  if (!event.altKey || !event.shiftKey) return;
  const rel = event.key === 'ArrowLeft' ? 'prev' : event.key === 'ArrowRight' ? 'next' : null;
  if (rel) document.querySelector(`.tb-sheets a[rel="${rel}"]`)?.click();
});

// Sheets and readings are on this device when the network goes; what waits is sent from whatever sheet is open.
if (navigator.serviceWorker) {
  navigator.serviceWorker.register('/sw.js');
  import('./waiting.js');
}
