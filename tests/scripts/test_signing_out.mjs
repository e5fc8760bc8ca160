import assert from "node:assert/strict";
import test from "node:test";

import { Page, Phone, answer, plain, settle } from "./browser.mjs";

const TICKS = "/s/wickerlark/events/3/load-out/ticks";
const PAGES = "billowbook-pages";
const FILES = "billowbook-files";
const READS = "/phone/reads/";
const BODY = `<body data-person="7">
  <form action="/account/logout/"><button name="out">Sign out</button></form>
  <form action="/s/wickerlark/search/"><button name="search">Search</button></form></body>`;

async function open({ unsent = 0, agrees = true, body = BODY, globals = {} } = {}) {
  const questions = [];
  const confirm = (question) => questions.push(question) && agrees;
  const phone = new Phone();
  const page = new Page(body, { phone, path: "/s/wickerlark/week/", globals: { confirm, ...globals } });
  const outbox = await page.load("studio/js/outbox.js");
  for (let count = 1; count <= unsent; count += 1) await outbox.put(TICKS, { line: 5, count });
  await settle();
  const submitted = [];
  page.heard.addEventListener("submit", (event) => event.defaultPrevented || submitted.push(event.submitter?.name));
  return { page, phone, outbox, questions, submitted };
}

async function signOut(page) {
  page.fire("form", "submit", { submitter: page.find("[name=out]") });
  await settle();
}

test("who has sent everything signs out without a question", async () => {
  const { page, questions, submitted } = await open();
  await signOut(page);
  assert.deepEqual(questions, []);
  assert.deepEqual(submitted, ["out"]);
});

test("what is not sent yet is counted in a warning, and stays when one signs out all the same", async () => {
  for (const [unsent, words] of [
    [1, "1 thing on this phone is not sent yet."],
    [3, "3 things on this phone are not sent yet."],
  ]) {
    const { page, outbox, questions, submitted } = await open({ unsent });
    await signOut(page);
    assert.ok(questions[0].startsWith(words), questions[0]);
    assert.deepEqual(submitted, ["out"]);
    assert.equal((await outbox.waiting()).length, unsent);
  }
});

test("who does not agree to the warning stays signed in", async () => {
  const { page, phone, questions, submitted } = await open({ unsent: 1, agrees: false });
  await phone.caches.open(PAGES).then((pages) => pages.put("/s/wickerlark/week/", answer("week")));
  await signOut(page);
  assert.equal(questions.length, 1);
  assert.deepEqual(submitted, []);
  assert.ok(await (await phone.caches.open(PAGES)).match("/s/wickerlark/week/"));
});

test("the studio's pages and what was known of its lists leave the phone, the page without signal stays", async () => {
  const { page, phone, outbox } = await open();
  const pages = await phone.caches.open(PAGES);
  for (const path of ["/s/wickerlark/week/", "/s/federkorn/week/", "/phone/without-signal/"]) {
    await pages.put(path, answer("page"));
  }
  await outbox.remember(TICKS, { stage: "agreed" });
  await signOut(page);
  assert.deepEqual([...pages.kept.keys()], ["/phone/without-signal/", READS]);
  assert.equal(await (await pages.match(READS)).text(), "nobody");
  assert.equal(await outbox.known(TICKS), undefined);
});

test("any other form is none of its business", async () => {
  const { page, questions, submitted } = await open({ unsent: 1 });
  page.fire(page.all("form")[1], "submit", { submitter: page.find("[name=search]") });
  await settle();
  assert.deepEqual(questions, []);
  assert.deepEqual(submitted, ["search"]);
});

// ---- Keeping the page for the time without signal ----

class Worker {
  tries = 0;

  fails = 0;

  listeners = [];

  posted = [];

  serviceWorker = {
    controller: null,
    register: async (address, { scope }) => {
      this.tries += 1;
      if (this.tries <= this.fails) throw new TypeError("no signal");
      this.asked = [address, scope];
      return { active: { postMessage: (words) => this.posted.push(words) } };
    },
    addEventListener: (_, listener) => this.listeners.push(listener),
    removeEventListener: (_, listener) => (this.listeners = this.listeners.filter((each) => each !== listener)),
  };

  takeOver() {
    this.serviceWorker.controller = {};
    for (const listener of [...this.listeners]) listener();
  }
}

const KEPT_BODY = '<html><head><meta name="billowbook-keep" content="yes"></head><body data-person="7"></body></html>';
const LOADED = ["/static/studio/css/look.0123456789ab.css", "/static/studio/css/look.css"];

async function openKept(worker, { body = KEPT_BODY } = {}) {
  const phone = new Phone();
  phone.network = (address) => answer(address.startsWith("/phone/") ? { person: 7 } : `content of ${address}`);
  const page = new Page(body, {
    phone,
    path: "/s/wickerlark/events/3/load-out/",
    globals: { performance: { getEntriesByType: () => LOADED.map((name) => ({ name })) } },
  });
  page.navigator.serviceWorker = worker.serviceWorker;
  await page.load("studio/js/outbox.js");
  return { page, phone };
}

test("a page for phones is kept with its files, and the worker is asked to take it over until it has", async () => {
  const worker = new Worker();
  const { page, phone } = await openKept(worker);
  assert.deepEqual(worker.asked, ["/phone-worker.js", "/"]);
  assert.deepEqual(worker.posted, ["take over"]);
  const kept = async () => (await (await phone.caches.open(PAGES)).match("/s/wickerlark/events/3/load-out/"))?.text();
  assert.equal(await kept(), "content of /s/wickerlark/events/3/load-out/");
  assert.deepEqual([...(await phone.caches.open(FILES)).kept.keys()], [LOADED[0]]);
  worker.takeOver();
  await settle();
  const tries = worker.tries;
  await page.pass(120_000);
  assert.equal(worker.tries, tries, "once the worker has the page, nothing more is asked");
});

test("without signal at first it asks again, ever later", async () => {
  const worker = new Worker();
  worker.fails = 3;
  const { page } = await openKept(worker);
  assert.equal(worker.tries, 1);
  await page.pass(2000);
  assert.equal(worker.tries, 2);
  await page.pass(3999);
  assert.equal(worker.tries, 2);
  await page.pass(1);
  assert.equal(worker.tries, 3);
  await page.pass(8000);
  assert.equal(worker.tries, 4);
});

test("a page that no phone keeps is not kept", async () => {
  const worker = new Worker();
  const { page, phone } = await openKept(worker, { body: '<body data-person="7"></body>' });
  assert.equal(worker.tries, 1);
  assert.deepEqual(plain([...phone.caches.stores.keys()]), []);
  await page.pass(120_000);
  assert.equal(worker.tries, 1);
});

test("pages of somebody else go when this page is kept, and what was known of their lists", async () => {
  const worker = new Worker();
  const phone = new Phone();
  phone.network = (address) => answer(address.startsWith("/phone/") ? { person: 7 } : "mine");
  const before = await phone.caches.open(PAGES);
  await before.put("/s/wickerlark/week/", answer("Rosa's week"));
  await before.put(READS, answer("6"));
  const rosa = await new Page('<body data-person="6"></body>', { phone, path: "/s/wickerlark/week/" })
    .load("studio/js/outbox.js");
  await rosa.remember(TICKS, { stage: "agreed" });
  const page = new Page(KEPT_BODY, {
    phone,
    path: "/s/wickerlark/events/3/load-out/",
    globals: { performance: { getEntriesByType: () => [] } },
  });
  page.navigator.serviceWorker = worker.serviceWorker;
  const outbox = await page.load("studio/js/outbox.js");
  await settle();
  assert.deepEqual([...before.kept.keys()].sort(), [READS, "/s/wickerlark/events/3/load-out/"]);
  assert.equal(await (await before.match(READS)).text(), "7");
  assert.equal(await outbox.known(TICKS), undefined);
});
