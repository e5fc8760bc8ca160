// What a person does on a phone is kept on the phone first, shown then, and sent until the server has it.
// Each thing has a name of its own (uuid): sent twice, it is one. Kept are names, numbers and typed notes, never what
// the server knows of a client. What one person did is sent only while that person is signed in;
// what a phone did by its link, only while the phone has that link.
const DATABASE = "billowbook";
const POST = "post"; // what is to be sent: {uuid, at, address, person, op} or {…, photo}
const KNOWN = "known"; // the latest answer of each address
const PAGES = "billowbook-pages";
const READS = "/phone/reads/"; // as in phone_worker.js
const NOBODY = "nobody";
const PHONE_KEY = "billowbook.phone";
const TAKE_OVER = "take over"; // as in phone_worker.js
const SOONEST_MS = 2000;
const LATEST_MS = 30000;
const PATIENCE_MS = 20000;
const AT_ONCE = 200;

// A person by number, or "phone-12": a phone that was given one event by a link.
const given = document.body.dataset.person || "0";
export const person = given.startsWith("phone-") ? given : Number(given);
const BY_LINK = typeof person === "string";
const SIGNED_IN = BY_LINK ? `/phone/signed-in?phone=${person.slice("phone-".length)}` : "/phone/signed-in";
const SIGNED_OUT = BY_LINK
  ? "The link of this phone has ended. Ask the office for a new one to send."
  : "You are signed out. Sign in to send.";
const listeners = new Set();
const neighbours = "BroadcastChannel" in window ? new BroadcastChannel("billowbook-outbox") : null;
let opening = null;
let sending = null;
let again = false;
let timer = 0;
let wait = SOONEST_MS;
let latest = 0;
let answered = 0; // how often an answer to what was sent has come, here or on another page of this phone

export const state = { closed: "", trouble: false, sending: false };

// ---- Names and times ----

export function newName() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16)); // randomUUID is missing on plain http
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

export function phone() {
  let name = localStorage.getItem(PHONE_KEY);
  if (!name) localStorage.setItem(PHONE_KEY, (name = newName()));
  return name;
}

// No two things of a phone bear the same moment.
function moment() {
  latest = Math.max(Date.now(), latest + 1);
  return latest;
}

// ---- The phone's own store ----

function open() {
  opening ||= new Promise((resolve, reject) => {
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(POST, { keyPath: "uuid" });
      asked.result.createObjectStore(KNOWN);
    };
    asked.onsuccess = () => {
      asked.result.onclose = asked.result.onversionchange = () => {
        asked.result.close();
        opening = null;
      };
      resolve(asked.result);
    };
    asked.onerror = () => {
      opening = null;
      reject(asked.error);
    };
  });
  return opening;
}

// Resolves once the transaction is complete: only then is what was written safe from a dying phone.
async function within(store, mode, deed) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const transaction = database.transaction(store, mode, mode === "readwrite" ? { durability: "strict" } : undefined);
    const asked = deed(transaction.objectStore(store));
    transaction.oncomplete = () => resolve(asked?.result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error || new Error("not kept"));
  });
}

export async function put(address, thing) {
  const at = moment();
  const uuid = newName();
  const made_at = new Date(at).toISOString();
  const entry = { uuid, at, address, person };
  if (thing.photo) Object.assign(entry, { photo: thing.photo, made_at });
  else entry.op = { ...thing, uuid, made_at, phone: phone() };
  await within(POST, "readwrite", (store) => store.add(entry));
  await tell();
  send();
  return uuid;
}

export async function waiting(address) {
  const all = await within(POST, "readonly", (store) => store.getAll());
  return all.filter((entry) => !address || entry.address === address).sort((one, other) => one.at - other.at);
}

export async function setAside(uuids) {
  if (!uuids.length) return;
  await within(POST, "readwrite", (store) => {
    for (const uuid of uuids) store.delete(uuid);
  });
  await tell();
}

async function refuse(refusals) {
  await within(POST, "readwrite", (store) => {
    for (const { uuid, why } of refusals) {
      const found = store.get(uuid);
      found.onsuccess = () => found.result && store.put({ ...found.result, refused: why });
    }
  });
}

export async function known(address) {
  await forgotten;
  return within(KNOWN, "readonly", (store) => store.get(address));
}

export function remember(address, answer) {
  return within(KNOWN, "readwrite", (store) => store.put(answer, address));
}

// ---- Whoever wants to know ----

export function onChange(listener) {
  listeners.add(listener);
}

async function tell(answers = {}, { here = false } = {}) {
  if (!here) neighbours?.postMessage(answers);
  for (const listener of listeners) await listener(answers);
}

neighbours?.addEventListener("message", (event) => {
  if (Object.keys(event.data).length) answered += 1;
  tell(event.data, { here: true });
});

// ---- Sending ----

class Closed extends Error {}

export async function send() {
  if (sending) {
    again = true;
    return sending;
  }
  clearTimeout(timer);
  sending = round();
  try {
    await sending;
  } finally {
    sending = null;
    state.sending = false;
    const left = (await waiting().catch(() => [])).some((entry) => !entry.refused && entry.person === person);
    await tell();
    if (again) {
      again = false;
      send();
    } else if (left) timer = setTimeout(send, wait);
  }
}

async function round() {
  const mine = (await waiting()).filter((entry) => !entry.refused && entry.person === person);
  if (!mine.length) return;
  state.sending = true;
  await tell();
  try {
    const token = await whoIsSignedIn();
    for (const address of new Set(mine.map((entry) => entry.address))) {
      const entries = mine.filter((entry) => entry.address === address);
      const ops = entries.filter((entry) => entry.op);
      for (let from = 0; from < ops.length; from += AT_ONCE) {
        await sendOps(address, ops.slice(from, from + AT_ONCE), token);
      }
      for (const entry of entries) if (entry.photo) await sendPhoto(entry, token);
    }
    state.closed = "";
    state.trouble = false;
    wait = SOONEST_MS;
  } catch (fault) {
    state.closed = fault instanceof Closed ? fault.message : "";
    state.trouble = !state.closed;
    wait = Math.min(wait * 2, LATEST_MS);
  }
}

// A page that the phone kept may be older than the sign-in: what is sent goes with the token of now.
async function whoIsSignedIn() {
  const answer = await (await ask(SIGNED_IN)).json();
  if (answer.person === person) return answer.csrf;
  if (!answer.person) throw new Closed(SIGNED_OUT);
  throw new Closed(`Somebody else is signed in now. ${BY_LINK ? "Sign out" : "Sign in as yourself"} to send.`);
}

async function ask(address, options = {}) {
  const response = await fetch(address, {
    ...options,
    redirect: "manual",
    credentials: "same-origin",
    cache: "no-store",
    signal: AbortSignal.timeout?.(PATIENCE_MS),
  });
  if (response.type === "opaqueredirect" || [401, 410].includes(response.status)) throw new Closed(SIGNED_OUT);
  if (response.status === 403) throw new Closed("This list is not open to you any more. Ask the office.");
  if (response.status === 429 || response.status >= 500) throw new Error(String(response.status));
  return response;
}

async function sendOps(address, entries, token) {
  const response = await ask(address, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": token },
    body: JSON.stringify({ ops: entries.map((entry) => entry.op) }),
  });
  if (!response.ok) {
    await refuse(entries.map(({ uuid }) => ({ uuid, why: gone(response.status) })));
    return;
  }
  const answer = await response.json();
  answered += 1;
  await setAside(answer.kept);
  await refuse(answer.refused);
  await remember(address, answer);
  await tell({ [address]: answer });
}

async function sendPhoto(entry, token) {
  const body = new FormData();
  body.set("by", "script");
  body.set("uuid", entry.uuid);
  body.set("made_at", entry.made_at);
  body.set("phone", phone());
  body.set("photo", entry.photo, "photo.jpg");
  const response = await ask(entry.address, { method: "POST", headers: { "X-CSRFToken": token }, body });
  if (response.ok) await setAside([entry.uuid]);
  else {
    const told = await response.json().catch(() => ({}));
    await refuse([{ uuid: entry.uuid, why: told.error || gone(response.status) }]);
  }
}

function gone(status) {
  if (status === 413) return "This is too large to send.";
  return status === 404 ? "The office took this event away." : "The server did not understand this.";
}

// How an address stands now: kept as known, told to whoever listens. What was asked before something sent was answered
// may not know of that yet: it is dropped, and the answer to what was sent holds.
export async function look(address) {
  const before = answered;
  try {
    const response = await ask(address);
    if (!response.ok) throw new Error(String(response.status));
    const answer = await response.json();
    const isOvertaken = answered !== before;
    if (!isOvertaken) await remember(address, answer);
    state.closed = "";
    state.trouble = false;
    await tell(isOvertaken ? {} : { [address]: answer });
  } catch (fault) {
    state.closed = fault instanceof Closed ? fault.message : "";
    state.trouble = !state.closed;
    await tell();
  }
}

// ---- Every page: what waits is sent, the worker is there, and nobody signs out unawares ----

// The worker is asked for, and this page kept, until both are so: the first try may fall into a hole of the network,
// and a worker that is new takes the page over a moment later.
async function keepThisPage() {
  for (let pause = SOONEST_MS; ; pause = Math.min(pause * 2, LATEST_MS)) {
    try {
      const { active } = await navigator.serviceWorker.register("/phone-worker.js", { scope: "/" });
      // A page that was on its way while the worker took over the others was missed by it.
      if (!navigator.serviceWorker.controller) active?.postMessage(TAKE_OVER);
      if (!document.querySelector("meta[name=billowbook-keep]") || (await thisPageIsKept())) return;
    } catch {
      // no signal, or half an answer: once more below
    }
    await takenOver(pause);
  }
}

// Resolves as soon as a worker takes this page over, after so many milliseconds at the latest.
function takenOver(patience) {
  return new Promise((resolve) => {
    const done = () => {
      clearTimeout(late);
      navigator.serviceWorker.removeEventListener("controllerchange", done);
      resolve();
    };
    const late = setTimeout(done, patience);
    navigator.serviceWorker.addEventListener("controllerchange", done);
  });
}

async function thisPageIsKept() {
  const pages = await caches.open(PAGES);
  const mine = (await (await pages.match(READS))?.text()) === given;
  if (!mine) await keepFor(given);
  if (!mine || !(await pages.match(location.pathname))) {
    const answer = await fetch(location.pathname, { credentials: "same-origin", redirect: "manual" });
    if (answer.ok) await pages.put(location.pathname, answer);
  }
  const files = await caches.open("billowbook-files");
  for (const { name } of performance.getEntriesByType("resource")) {
    if (/\.[0-9a-f]{12}\.\w+$/.test(name) && !(await files.match(name))) await files.add(name);
  }
  return Boolean(navigator.serviceWorker.controller && (await pages.match(location.pathname)));
}

// The pages of the studios go, whoever's they were; the one that says that there is no signal stays. From now on pages
// are kept for this reader.
async function keepFor(reader) {
  const pages = await caches.open(PAGES);
  for (const request of await pages.keys()) {
    if (new URL(request.url).pathname.startsWith("/s/")) await pages.delete(request);
  }
  await pages.put(READS, new Response(reader));
}

// What lists answered to somebody else on this phone is not for this reader.
async function forgetLists() {
  if ((await within(KNOWN, "readonly", (store) => store.get(READS)).catch(() => "")) === given) return;
  await within(KNOWN, "readwrite", (store) => {
    store.clear();
    return store.put(given, READS);
  }).catch(() => undefined);
}

async function signOut(event) {
  const form = event.target;
  if (!form.action?.endsWith("/account/logout/") || form.dataset.asked) return;
  event.preventDefault();
  const mine = await waiting().catch(() => []);
  const things = mine.length === 1 ? "1 thing on this phone is" : `${mine.length} things on this phone are`;
  const stays = "They stay here and go when you sign in on this phone again.";
  const warning = `${things} not sent yet. ${stays} Sign out all the same?`;
  if (mine.length && !confirm(warning)) return;
  if ("caches" in window) await keepFor(NOBODY);
  await within(KNOWN, "readwrite", (store) => store.clear()).catch(() => undefined);
  form.dataset.asked = "yes";
  form.requestSubmit(event.submitter);
}

const forgotten = person ? forgetLists() : Promise.resolve();
if (person) {
  document.addEventListener("submit", signOut);
  window.addEventListener("online", send);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  if ("serviceWorker" in navigator) keepThisPage();
  send();
}
