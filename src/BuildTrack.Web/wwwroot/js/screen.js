// What this browser keeps about its screen: which sheet, for which hands, how many px a millimetre has. Read before the first line is drawn:
// a classic script in the head, for a module would wait and the sheet would change colour before everybody's eyes.
(() => {
  const STORE = 'buildtrack.screen';
  const SHEETS = ['light', 'dark', 'bright'];
  // ISO/IEC 7810, size ID-1: the edges of a bank card.
  const CARD_MM = { long: 85.60, short: 53.98 };
  const root = document.documentElement;
  let unkept = {};

  function kept() {
    try {
      return JSON.parse(localStorage.getItem(STORE)) ?? unkept;
    } catch {
      return unkept;
    }
  }

  function keep(change) {
    unkept = { ...kept(), ...change };
    try {
      localStorage.setItem(STORE, JSON.stringify(unkept));
      return true;
    } catch {
      return false;
    } finally {
      apply();
    }
  }

  // A browser zoomed to twice the size shows half as many px to the millimetre.
  function pxPerMm() {
    const { pxPerMm: found, pixelRatio } = kept();
    const now = (found * pixelRatio) / devicePixelRatio;
    return now > 1 && now < 40 ? now : null;
  }

  function apply() {
    const { sheet, gloves } = kept();
    if (SHEETS.includes(sheet)) root.dataset.sheet = sheet;
    else delete root.dataset.sheet;
    if (gloves === true) root.dataset.gloves = 'on';
    else delete root.dataset.gloves;
    const mm = pxPerMm();
    if (mm) root.style.setProperty('--mm', `${mm}px`);
    else root.style.removeProperty('--mm');
  }

  apply();
  window.addEventListener('storage', apply);
  window.addEventListener('resize', apply);
  document.addEventListener('DOMContentLoaded', () => {
    const form = document.querySelector('[data-this-screen]');
    if (form) open(form);
  });

  // The sheet "This screen".
  function open(form) {
    const { bar, edge, sheet, hands } = form.elements;
    const drawn = form.querySelector('.card-bar');
    const said = form.querySelector('[role=status]');
    const size = form.querySelector('[data-size]');

    const tell = (done) => { said.textContent = done ? 'Kept in this browser.' : 'This browser keeps nothing: it holds until the sheet is left.'; };
    const room = () => Math.floor(drawn.parentElement.clientWidth);

    function draw() {
      bar.max = room();
      drawn.style.setProperty('--bar', `${bar.value}px`);
      const mm = pxPerMm();
      size.textContent = mm
        ? `1 mm is ${mm.toFixed(2)} px here; the window is ${Math.round(innerWidth / mm)} mm wide.`
        : 'Not set: 1 mm is taken as 6.3 px, as on most tablets.';
    }

    function guess() {
      bar.max = room();
      bar.value = String(Math.round(CARD_MM[edge.value] * (pxPerMm() ?? 6.3)));
      draw();
    }

    form.hidden = false;
    sheet.value = root.dataset.sheet ?? 'device';
    hands.value = root.dataset.gloves ? 'gloves' : 'bare';
    edge.value = CARD_MM.long * (pxPerMm() ?? 6.3) > room() ? 'short' : 'long';
    guess();

    form.addEventListener('input', (event) => {
      if (event.target.name === 'sheet') tell(keep({ sheet: sheet.value }));
      if (event.target.name === 'hands') tell(keep({ gloves: hands.value === 'gloves' }));
      if (event.target.name === 'edge') guess();
      draw();
    });
    form.addEventListener('click', (event) => {
      const step = event.target.closest('[data-step]')?.dataset.step;
      if (step) bar.value = String(Number(bar.value) + Number(step));
      if (event.target.closest('[data-forget]')) tell(keep({ pxPerMm: null, pixelRatio: null }));
      draw();
    });
    form.addEventListener('submit', (event) => {
      event.preventDefault();
      tell(keep({ pxPerMm: Number(bar.value) / CARD_MM[edge.value], pixelRatio: devicePixelRatio }));
      draw();
    });
    window.addEventListener('resize', draw);
  }
})();
