// The service worker: the pages, for a reload without the network. With the network
// everything is fetched anew, so that a page always fits its leader.

const store = 'steadfoot';
const patience = 4000; // ms that a weak network may take before the copy is shown
const pages = [
  '/', '/page.css', '/walker.js', '/view.js', '/adjust.js', '/words.js', '/link.js', '/clock.js', '/beats.js', '/sound.js',
  '/clicks.js', '/cues.js', '/output.js', '/listen.js', '/ear.js', '/detector.js', '/taptest.js', '/keep.js', '/strip.js', '/pulse.js', '/ticks.js',
  '/icon.svg', '/site.webmanifest',
];

self.addEventListener('install', (e) => {
  self.skipWaiting();
  e.waitUntil(caches.open(store).then((c) => c.addAll(pages)));
});

self.addEventListener('activate', (e) => e.waitUntil(self.clients.claim()));

self.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || url.origin !== location.origin) return;
  e.respondWith(answer(e.request, url.pathname));
});

async function answer(request, path) {
  const cache = await caches.open(store);
  const fetched = fetch(request).then((got) => {
    if (got.ok) cache.put(path, got.clone());
    return got;
  });
  const kept = await cache.match(path);
  if (!kept) return fetched;
  const late = new Promise((done) => setTimeout(() => done(kept), patience));
  return Promise.race([fetched.catch(() => kept), late]);
}
