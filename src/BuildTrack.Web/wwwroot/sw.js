// Without network: the measuring sheets and the sheets of a machine that was taken along are shown from this device; nothing else is, and nothing is signed.
// No background sync: what is kept is sent by the pages themselves (js/kept.js).

const ASSETS = 'buildtrack-assets';
const SHEETS = 'buildtrack-sheets';
const DAYS_GOOD = 10;
const POLICY = "default-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'";

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== self.location.origin) return;
  if (request.method === 'GET' && /^\/(css|js|_framework)\/|^\/icon\.svg$/.test(pathname)) event.respondWith(asset(request));
  else if (request.method === 'GET' && request.destination === 'image' && /^\/machines\/[^/]+\/files\//.test(pathname)) event.respondWith(photo(request, pathname));
  else if (request.mode === 'navigate') event.respondWith(request.method === 'GET' ? sheet(request, pathname) : act(request, pathname));
});

// What has its version in its address never changes.
const isVersioned = (url) => /[?&]v=|_framework\/.+\.[a-z0-9]{10}\.[a-z]+$/.test(url);

async function asset(request) {
  const cache = await caches.open(ASSETS);
  const kept = await cache.match(request);
  if (kept && isVersioned(request.url)) return kept;
  try {
    const fresh = await fetch(request);
    if (fresh.ok) {
      // Earlier editions of the same file have had their time.
      const others = isVersioned(request.url) ? await cache.keys(request, { ignoreSearch: true }) : [];
      await Promise.all(others.filter((k) => k.url !== request.url).map((k) => cache.delete(k)));
      await cache.put(request, fresh.clone());
    }
    return fresh;
  } catch (lost) {
    // A page of an earlier edition may ask for what only a later one kept: the same file is better than none.
    const other = kept ?? await cache.match(request, { ignoreSearch: true });
    if (other) return other;
    throw lost;
  }
}

// What lies at the address of a photo never changes.
const photo = async (request, pathname) => (await (await caches.open(SHEETS)).match(pathname)) ?? fetch(request);

// Sheets that begin a run without network, and on which it is measured until the server has begun it: how old they may be to begin, they say themselves.
const isBegin = (pathname) => /^\/machines\/[^/]+\/without-network\/[^?]+$/.test(pathname);

const isPack = (pathname) => /^\/machines\/[^/]+\/site-(pack|protocol)$/.test(pathname);

async function sheet(request, pathname) {
  const cache = await caches.open(SHEETS);
  try {
    const fresh = await fetch(request);
    const isTaken = /^\/machines\/[^/]+\/runs\/\d+\/station$/.test(pathname) || isBegin(pathname) || (isPack(pathname) && !new URL(request.url).search && await cache.match(pathname));
    if (fresh.ok && isTaken) await cache.put(pathname, fresh.clone());
    return fresh;
  } catch {
    const kept = await cache.match(pathname);
    if (kept && isPack(pathname) && Date.now() - Date.parse(kept.headers.get('Date')) > DAYS_GOOD * 86_400_000) {
      return told('Site pack too old', `It was opened on line more than ${DAYS_GOOD} days ago. Limits, instruments and rights may have changed: open it once with network.`, await list(cache));
    }
    return kept ?? told('No connection', 'This sheet was not taken along.', await list(cache));
  }
}

// A form that was sent while the network was away: it did nothing, and says so.
async function act(request, pathname) {
  try {
    const answer = await fetch(request);
    // Sheets are of who looked at them: they go when that person has really signed out, and not before.
    if (pathname === '/sign-out' && (answer.ok || answer.type === 'opaqueredirect')) await caches.delete(SHEETS);
    return answer;
  } catch {
    const signs = /\/release\/|\/witness|\/certificates|\/nonconformances|\/punch-list|\/checklists|\/people|\/delegations/.test(pathname);
    return told('Not done: no connection', signs
      ? 'Nothing was signed. A release, an acceptance or an approval is given on line only: the server has to see who signs and that nothing has changed since this sheet was read.'
      : 'Nothing was recorded. Only readings on a measuring sheet are kept on this device until the network is back.', '<p>Go back with the arrow of the browser: what was typed there is still there.</p>');
  }
}

async function list(cache) {
  const links = (await cache.keys()).map((k) => new URL(k.url).pathname).filter((p) => !p.includes('/files/')).map((p) => `<li><a class="row-link" href="${p}">${p.slice(1).replaceAll('/', ' / ')}</a></li>`);
  return links.length > 0 ? `<p>On this device are:</p><ul class="plain">${links.join('')}</ul>` : '<p>No sheet is on this device yet.</p>';
}

function told(title, sentence, more) {
  const styles = ['/css/sheet.css', '/css/pages.css'].map((c) => `<link rel="stylesheet" href="${c}">`).join('');
  return new Response(`<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${title} · BuildTrack</title>${styles}</head>
<body class="shop-floor"><main class="work" id="work"><h1>${title}</h1><p class="told told--refused" role="alert">${sentence}</p>${more}</main></body></html>`,
  { status: 503, headers: { 'Content-Type': 'text/html; charset=utf-8', 'Content-Security-Policy': POLICY, 'Cache-Control': 'no-store' } });
}
