// Opens a page in a world of its own, with the clock, the network and the phone's store in the test's hands, and loads
// script modules into it as the browser would: each page has modules of its own.
import { webcrypto } from "node:crypto";
import { readFileSync, readdirSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import vm from "node:vm";

import { Details, Document, Event, Target } from "./dom.mjs";
import { Disk } from "./indexed_db.mjs";

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const ROOMS = ["studio", "stock", "events", "quoting"];
const SITE = "https://billowbook.example";
const TURNS = 80; // so many turns of the event loop let every promise and transaction of a page come to its end

export const settle = async () => {
  for (let turn = 0; turn < TURNS; turn += 1) await new Promise((resolve) => setImmediate(resolve));
};

// Objects of another world as objects of the test's, so that they can be compared.
export const plain = (value) => JSON.parse(JSON.stringify(value));

export function answer(body = {}, { status = 200, headers = {}, type = undefined } = {}) {
  const content = typeof body === "string" ? body : JSON.stringify(body);
  const response = new Response([204, 304].includes(status) ? null : content, { status, headers });
  if (type) Object.defineProperty(response, "type", { value: type });
  return response;
}

// ---- Time ----

class Clock {
  #timers = new Map();

  #last = 0;

  now = Date.UTC(2027, 4, 1, 12);

  setTimeout = (deed, pause = 0, ...values) => {
    this.#last += 1;
    this.#timers.set(this.#last, { at: this.now + pause, deed: () => deed(...values) });
    return this.#last;
  };

  clearTimeout = (timer) => this.#timers.delete(timer);

  // Lets so many milliseconds go by, with everything that is due in them.
  async pass(milliseconds) {
    const end = this.now + milliseconds;
    await settle();
    for (;;) {
      const due = [...this.#timers].filter(([, { at }]) => at <= end);
      const [next] = due.sort(([, one], [, other]) => one.at - other.at);
      if (!next) break;
      this.#timers.delete(next[0]);
      this.now = Math.max(this.now, next[1].at);
      next[1].deed();
      await settle();
    }
    this.now = end;
  }
}

// ---- What outlives a page: the store, the caches, other pages of the same phone ----

const pathOf = (request) => new URL(request.url ?? request, SITE).pathname;

class Cache {
  kept = new Map();

  constructor(fetch) {
    this.fetch = fetch;
  }

  match = async (request) => this.kept.get(pathOf(request))?.clone();

  put = async (request, response) => void this.kept.set(pathOf(request), response);

  delete = async (request) => this.kept.delete(pathOf(request));

  keys = async () => [...this.kept.keys()].map((path) => ({ url: SITE + path }));

  add = async (request) => {
    const response = await this.fetch(request);
    if (!response.ok) throw new TypeError("not cached");
    await this.put(request, response);
  };

  addAll = async (requests) => {
    for (const request of requests) await this.add(request);
  };
}

class Caches {
  stores = new Map();

  constructor(fetch) {
    this.fetch = fetch;
  }

  open = async (name) => {
    if (!this.stores.has(name)) this.stores.set(name, new Cache(this.fetch));
    return this.stores.get(name);
  };
}

class Storage {
  values = new Map();

  full = false;

  getItem = (name) => this.values.get(name) ?? null;

  setItem = (name, value) => {
    if (this.full) throw new Error("QuotaExceededError");
    this.values.set(name, String(value));
  };

  removeItem = (name) => void this.values.delete(name);

  get length() {
    return this.values.size;
  }

  key = (place) => [...this.values.keys()][place] ?? null;
}

export class Phone {
  disk = new Disk();

  storage = new Storage();

  channels = new Set();

  asked = []; // every request, as {address, ...options}

  // What the network answers; a test puts its own in place. Throwing means that there is no signal.
  network = () => {
    throw new TypeError("no signal");
  };

  fetch = async (request, options = {}) => {
    const address = String(request.url ?? request);
    this.asked.push({ address, ...options });
    return this.network(address.replace(SITE, ""), options);
  };

  caches = new Caches(this.fetch);

  requests = (address) => this.asked.filter((each) => each.address === address);
}

function channelsOf(phone) {
  return class extends Target {
    constructor() {
      super();
      phone.channels.add(this);
    }

    postMessage(data) {
      for (const other of phone.channels) if (other !== this) other.dispatchEvent(new Event("message", { data }));
    }
  };
}

// ---- A page ----

export class Page {
  constructor(html, { phone = new Phone(), path = "/s/wickerlark/", globals = {} } = {}) {
    this.phone = phone;
    this.clock = new Clock();
    this.heard = new Target();
    const document = new Document(html, this.heard);
    document.Event = this.Event = this.#events();
    this.document = document;
    this.navigator = { onLine: true };
    this.window = vm.createContext({
      document, Event: this.Event, HTMLDetailsElement: Details,
      navigator: this.navigator, location: new URL(path, SITE), localStorage: phone.storage,
      indexedDB: { open: () => phone.disk.open() }, BroadcastChannel: channelsOf(phone),
      fetch: phone.fetch, caches: phone.caches, crypto: webcrypto,
      setTimeout: this.clock.setTimeout, clearTimeout: this.clock.clearTimeout,
      FormData, AbortSignal: {}, performance: { getEntriesByType: () => [] }, CSS: { escape: (text) => text },
      DOMParser: class {
        parseFromString = (text) => new Document(text);
      },
      addEventListener: (...given) => this.heard.addEventListener(...given), URL, Response, ...globals,
    });
    this.window.window = this.window.self = this.window;
    vm.runInContext("Date", this.window).now = () => this.clock.now;
  }

  #events() {
    const clock = this.clock;
    return class extends Event {
      constructor(type, facts) {
        super(type, { timeStamp: clock.now, ...facts });
      }
    };
  }

  find = (selector) => this.document.querySelector(selector);

  all = (selector) => this.document.querySelectorAll(selector);

  text = (selector) => this.find(selector).textContent;

  // Fires an event that goes up; whether the browser still does what it would do by itself.
  fire(target, type, facts = {}) {
    const at = typeof target === "string" ? this.find(target) : target;
    return at.dispatchEvent(new this.Event(type, { bubbles: true, ...facts }));
  }

  // A click with all that follows from it.
  async press(target) {
    this.fire(target, "click");
    await settle();
  }

  type(target, value, { key = null } = {}) {
    const field = typeof target === "string" ? this.find(target) : target;
    field.focus();
    field.value = value;
    return key ? this.fire(field, "keydown", { key }) : this.fire(field, "input");
  }

  pass = (milliseconds) => this.clock.pass(milliseconds);

  // The module of that static address ("events/load_out.js") with what it imports.
  async load(address) {
    const module = this.#module(address, new Map());
    await module.link((specifier, from) => this.#module(join(dirname(from.address), specifier), from.known));
    await module.evaluate();
    await settle();
    return module.namespace;
  }

  #module(address, known) {
    if (!known.has(address)) {
      const file = staticFile(address);
      const module = new vm.SourceTextModule(readFileSync(file, "utf8"), {
        context: this.window, identifier: pathToFileURL(file).href,
      });
      known.set(address, Object.assign(module, { address, known }));
    }
    return known.get(address);
  }
}

function staticFile(address) {
  const files = ROOMS.map((room) => join(ROOT, room, "static", address));
  return files.find((file) => statSync(file, { throwIfNoEntry: false })) ?? files[0];
}

// The one file of that name among the templates, wherever its feature keeps it.
export function templateNamed(name) {
  const found = readdirSync(join(ROOT, "templates"), { recursive: true }).filter((path) => path.endsWith(name));
  if (found.length !== 1) throw new Error(`${found.length} templates are called ${name}`);
  return readFileSync(join(ROOT, "templates", found[0]), "utf8");
}
