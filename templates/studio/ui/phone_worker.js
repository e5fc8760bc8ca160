// The phone's worker: pages that the server lets phones keep open again without signal, drawn as they should be.
// What is not of this kind goes to the network as if there were no worker; nothing that changes something passes here.
const SHELL = {{ shell|safe }};
const KEEP = {{ keep_header|safe }};
const READER = {{ reader_header|safe }};
const STATIC = {{ static|safe }};
const PAGES = "billowbook-pages";
const FILES = "billowbook-files";
const WITHOUT_SIGNAL = "/phone/without-signal/";
const READS = "/phone/reads/"; // as in outbox.js: under this address lies who was seen last on this phone
const TAKE_OVER = "take over"; // as in outbox.js
const PATIENCE_MS = 200; // so long a kept page waits for a fresher one
const MOST_FILES = 120;
const HASHED = /\.[0-9a-f]{12}\.\w+$/; // a file whose name says its content never changes

self.addEventListener("install", (event) => event.waitUntil(prepare()));
self.addEventListener("activate", (event) => event.waitUntil(takeOver()));
self.addEventListener("message", (event) => event.data === TAKE_OVER && event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(event, url));
  else if (url.pathname.startsWith(STATIC) && HASHED.test(url.pathname)) event.respondWith(file(request));
});

async function prepare() {
  const files = await caches.open(FILES);
  const missing = [];
  for (const address of SHELL) if (HASHED.test(address) && !(await files.match(address))) missing.push(address);
  await files.addAll(missing);
  const pages = await caches.open(PAGES);
  await pages.add(WITHOUT_SIGNAL);
  await self.skipWaiting();
}

async function takeOver() {
  const files = await caches.open(FILES);
  const kept = await files.keys();
  const old = kept.filter((request) => !SHELL.includes(new URL(request.url).pathname));
  for (const request of old.slice(0, Math.max(0, kept.length - MOST_FILES))) await files.delete(request);
  await self.clients.claim();
}

async function file(request) {
  const files = await caches.open(FILES);
  const kept = await files.match(request.url);
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.ok) await files.put(request.url, answer.clone());
  return answer;
}

async function page(event, url) {
  const pages = await caches.open(PAGES);
  const kept = await keptFor(await readerOf(pages), pages, url);
  const fresh = fetch(event.request).then((answer) => noted(pages, url, answer));
  if (!kept) return fresh.catch(() => pages.match(WITHOUT_SIGNAL).then((found) => found || Response.error()));
  event.waitUntil(fresh.catch(() => undefined));
  const soon = fresh.then((answer) => (answer.status >= 500 ? kept : answer)).catch(() => kept);
  return Promise.race([soon, new Promise((resolve) => setTimeout(resolve, PATIENCE_MS, kept))]);
}

// Kept pages are shown to nobody but whom they were kept for; the address names the studio.
async function keptFor(reader, pages, url) {
  const kept = await pages.match(url.pathname);
  return kept && reader && kept.headers.get(KEEP) === reader ? kept : undefined;
}

async function readerOf(pages) {
  return (await pages.match(READS))?.text();
}

// Where somebody else reads now, or nobody is signed in any more, what was kept before goes.
async function seen(reader, pages) {
  if ((await readerOf(pages)) === reader) return;
  for (const request of await pages.keys()) {
    if (new URL(request.url).pathname !== WITHOUT_SIGNAL) await pages.delete(request);
  }
  await pages.put(READS, new Response(reader));
}

// Whoever may not see the page any more doesn't keep it either.
async function noted(pages, url, answer) {
  if (answer.headers.has(READER)) await seen(answer.headers.get(READER), pages);
  const closed = answer.type === "opaqueredirect" || [403, 404, 410].includes(answer.status);
  if (answer.ok && answer.headers.has(KEEP)) await pages.put(url.pathname, answer.clone());
  else if (closed) await pages.delete(url.pathname);
  return answer;
}
