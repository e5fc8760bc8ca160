import assert from "node:assert/strict";
import test from "node:test";
import vm from "node:vm";

import { Page, Phone, answer, settle, templateNamed } from "./browser.mjs";

const SITE = "https://billowbook.example";
const LIST = "/s/wickerlark/events/3/load-out/";
const WITHOUT_SIGNAL = "/phone/without-signal/";
const LOOK = "/static/studio/css/look.0123456789ab.css";
const OLD_LOOK = "/static/studio/css/look.ffffffffffff.css";
const KEEP = "X-Keep-On-Phone";
const READER = "X-Reader";
const READS = "/phone/reads/";
const SOURCE = templateNamed("phone_worker.js")
  .replace("{{ shell|safe }}", JSON.stringify([LOOK, "/static/studio/css/unhashed.css"]))
  .replace("{{ keep_header|safe }}", JSON.stringify(KEEP))
  .replace("{{ reader_header|safe }}", JSON.stringify(READER))
  .replace("{{ static|safe }}", JSON.stringify("/static/"));

const page = (words = "fresh", { keep = true, reader = "7", ...facts } = {}) =>
  answer(words, { headers: { [READER]: reader, ...(keep ? { [KEEP]: reader } : {}) }, ...facts });

// The worker as the browser runs it: events go in, what was answered comes out.
function start() {
  const phone = new Phone();
  phone.network = (address) => (address === WITHOUT_SIGNAL ? answer("no signal here") : answer(`file ${address}`));
  const state = { claimed: 0, skipped: 0 };
  const world = new Page("<body></body>", {
    phone,
    globals: {
      clients: { claim: async () => (state.claimed += 1) },
      skipWaiting: async () => (state.skipped += 1),
    },
  });
  vm.runInContext(SOURCE, world.window);
  const happen = async (type, facts = {}) => {
    const waits = [];
    const event = new world.Event(type, { waitUntil: (promise) => waits.push(promise), ...facts });
    world.heard.dispatchEvent(event);
    return () => Promise.all(waits);
  };
  return { phone, world, state, happen };
}

async function visit(started, path, { mode = "navigate", method = "GET", site = SITE } = {}) {
  const request = { url: site + path, mode, method };
  let given = null;
  const waits = [];
  const facts = { request, respondWith: (promise) => (given = promise), waitUntil: (promise) => waits.push(promise) };
  started.world.heard.dispatchEvent(new started.world.Event("fetch", facts));
  if (!given) return null;
  let response = null;
  given.then((found) => (response = found));
  await settle();
  return { now: () => response, waits };
}

const cacheOf = ({ phone }, name) => phone.caches.open(name);

// What the phone keeps for somebody who was seen last.
async function keepList(started, words, reader = "7") {
  const pages = await cacheOf(started, "billowbook-pages");
  await pages.put(READS, answer(reader));
  await pages.put(LIST, page(words, { reader }));
  return pages;
}

const noSignal = () => {
  throw new TypeError("no signal");
};

test("on its first day it keeps the shell's hashed files and the page without signal, and starts at once", async () => {
  const started = start();
  await (await started.happen("install"))();
  assert.deepEqual([...(await cacheOf(started, "billowbook-files")).kept.keys()], [LOOK]);
  assert.ok(await (await cacheOf(started, "billowbook-pages")).match(WITHOUT_SIGNAL));
  assert.equal(started.state.skipped, 1);
});

test("what it has already is not fetched again", async () => {
  const started = start();
  await (await cacheOf(started, "billowbook-files")).put(LOOK, answer("kept"));
  await (await started.happen("install"))();
  assert.deepEqual(started.phone.asked.map(({ address }) => address), [WITHOUT_SIGNAL]);
});

test("taking over, it lets go of old files beyond a hundred and twenty, never of the shell's", async () => {
  const started = start();
  const files = await cacheOf(started, "billowbook-files");
  await files.put(LOOK, answer("shell"));
  for (let number = 0; number < 122; number += 1) await files.put(`/static/${number}.0123456789ab.js`, answer("file"));
  await (await started.happen("activate"))();
  assert.equal(files.kept.size, 120);
  assert.ok(await files.match(LOOK));
  assert.equal(await files.match("/static/0.0123456789ab.js"), undefined);
  assert.equal(started.state.claimed, 1);
});

test("it takes over when a page asks for it, and hears no other words", async () => {
  const started = start();
  await (await started.happen("message", { data: "something else" }))();
  assert.equal(started.state.claimed, 0);
  await (await started.happen("message", { data: "take over" }))();
  assert.equal(started.state.claimed, 1);
});

test("what changes something, goes elsewhere, or is no hashed file, passes it by", async () => {
  const started = start();
  for (const facts of [
    [LIST, { method: "POST" }],
    [LIST, { site: "https://elsewhere.example" }],
    [LIST, { mode: "cors" }],
    ["/static/studio/css/unhashed.css", { mode: "no-cors" }],
    ["/media/look.0123456789ab.css", { mode: "no-cors" }],
  ]) {
    assert.equal(await visit(started, ...facts), null, facts[0]);
  }
});

test("a hashed file comes from the phone, and from the network once", async () => {
  const started = start();
  for (let time = 0; time < 2; time += 1) {
    const { now } = await visit(started, OLD_LOOK, { mode: "no-cors" });
    assert.equal(await now().text(), `file ${SITE}${OLD_LOOK}`.replace(SITE, ""));
  }
  assert.equal(started.phone.asked.length, 1);
});

test("a file that is not found is not kept", async () => {
  const started = start();
  started.phone.network = () => answer("gone", { status: 404 });
  await visit(started, OLD_LOOK, { mode: "no-cors" });
  assert.equal((await cacheOf(started, "billowbook-files")).kept.size, 0);
});

test("a page that the server lets phones keep opens again without signal; another does not", async () => {
  const started = start();
  await (await started.happen("install"))();
  started.phone.network = (address) => page(address, { keep: address === LIST });
  await visit(started, LIST);
  await visit(started, "/s/wickerlark/quotes/");
  started.phone.network = noSignal;
  const kept = await visit(started, LIST);
  assert.equal(await kept.now().text(), LIST);
  const other = await visit(started, "/s/wickerlark/quotes/");
  assert.equal(await other.now().text(), "no signal here");
});

test("a kept page waits a fifth of a second for a fresher one", async () => {
  const started = start();
  await keepList(started, "kept");
  let arrive = null;
  started.phone.network = () => new Promise((resolve) => (arrive = resolve));
  const slow = await visit(started, LIST);
  assert.equal(slow.now(), null);
  await started.world.pass(200);
  assert.equal(await slow.now().text(), "kept");
  arrive(page("fresh"));
  await settle();
  assert.equal(await (await (await cacheOf(started, "billowbook-pages")).match(LIST)).text(), "fresh");
  started.phone.network = () => page("fresher");
  assert.equal(await (await visit(started, LIST)).now().text(), "fresher");
});

test("a server in trouble shows the kept page", async () => {
  const started = start();
  await keepList(started, "kept");
  started.phone.network = () => answer("in trouble", { status: 502 });
  assert.equal(await (await visit(started, LIST)).now().text(), "kept");
});

test("whoever may not see a page any more does not keep it either", async () => {
  for (const facts of [{ status: 403 }, { status: 404 }, { status: 410 }, { type: "opaqueredirect" }]) {
    const started = start();
    const pages = await keepList(started, "kept");
    started.phone.network = () => page("not for you", { keep: false, ...facts });
    await visit(started, LIST);
    assert.equal(pages.kept.has(LIST), false, JSON.stringify(facts));
  }
});

test("what was kept for one reader is shown to no other, and goes once another reads", async () => {
  const started = start();
  await (await started.happen("install"))();
  const pages = await keepList(started, "Rosa's list");
  started.phone.network = (address) => page(`Teo's ${address}`, { keep: false, reader: "8" });
  await visit(started, "/s/wickerlark/quotes/");
  assert.deepEqual([...pages.kept.keys()].sort(), [READS, WITHOUT_SIGNAL]);
  started.phone.network = noSignal;
  assert.equal(await (await visit(started, LIST)).now().text(), "no signal here");
});

test("a page that came in for another reader on its way is not shown", async () => {
  const started = start();
  await (await started.happen("install"))();
  const pages = await keepList(started, "Rosa's list");
  await pages.put(READS, answer("8"));
  started.phone.network = noSignal;
  assert.equal(await (await visit(started, LIST)).now().text(), "no signal here");
});

test("pages kept before they were bound to a reader are not shown", async () => {
  const started = start();
  await (await started.happen("install"))();
  const pages = await keepList(started, "whose?");
  await pages.put(LIST, answer("whose?", { headers: { [KEEP]: "1" } }));
  started.phone.network = noSignal;
  assert.equal(await (await visit(started, LIST)).now().text(), "no signal here");
});

test("where nobody is signed in any more, nothing stays", async () => {
  const started = start();
  const pages = await keepList(started, "kept");
  started.phone.network = () => page("Sign in", { keep: false, reader: "nobody" });
  await visit(started, "/account/login/");
  assert.deepEqual([...pages.kept.keys()], [READS]);
});

test("the same reader's pages stay, whatever else is opened", async () => {
  const started = start();
  const pages = await keepList(started, "kept");
  started.phone.network = () => page("quotes", { keep: false });
  await visit(started, "/s/wickerlark/quotes/");
  assert.ok(pages.kept.has(LIST));
});
