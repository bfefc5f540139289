// A long work, looked on as it goes: how far it is, and the sheet anew when it has ended. Without this file a link looks again.
const shown = document.querySelector('[data-long-work]');

async function look() {
  const answer = await fetch(shown.dataset.longWork, { signal: AbortSignal.timeout(15_000) }).catch(() => null);
  if (!answer?.ok) return;
  const { state, words, progress } = await answer.json();
  if (state !== 'waiting' && state !== 'underWay') {
    location.replace(location.pathname);
    return;
  }
  const bar = shown.querySelector('progress');
  [bar.max, bar.value] = [Math.max(1, progress.total), progress.done];
  shown.querySelector('[data-words]').textContent = words;
}

if (shown) {
  shown.querySelector('[data-look-again]').remove();
  setInterval(look, 1000);
}
