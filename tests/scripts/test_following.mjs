// Pages that follow what others do: a colleague's changes (live.js) and the client looking along (look.js).
import assert from "node:assert/strict";
import test from "node:test";

import { Page, Phone, answer, settle } from "./browser.mjs";

const QUOTE = `<body><div id="quote" data-version="4" data-address="/s/wickerlark/quotes/3/"></div>
  <div id="live" data-pulse="/s/wickerlark/quotes/3/pulse" hidden><span data-says="here"></span>
  <span data-says="looking"></span><span data-says="change"></span></div>
  <input id="link" value="https://billowbook.example/l/abc"><button data-copies="link">Copy</button></body>`;

async function openQuote(pulse) {
  const phone = new Phone();
  phone.network = (address, options) => pulse(address, options);
  const fetched = [];
  const page = new Page(QUOTE, { phone });
  page.window.htmx = { ajax: async (...given) => fetched.push(given) };
  await page.load("quoting/js/live.js");
  return { page, phone, fetched, says: (part) => page.text(`[data-says=${part}]`) };
}

const now = (facts = {}) => answer({ version: 4, here: "", looking: false, words: "", ...facts });

test("who else is here and whether the client looks along is said, and nothing at all otherwise", async () => {
  let told = now();
  const { page, says } = await openQuote(() => told);
  assert.equal(page.find("#live").hidden, true);
  told = now({ here: "Teo is here too", looking: true });
  await page.pass(2000);
  assert.deepEqual([says("here"), says("looking")], ["Teo is here too", "The client is watching"]);
  assert.equal(page.find("#live").hidden, false);
});

test("a newer sketch is fetched into place with words of what changed", async () => {
  const { phone, fetched, says } = await openQuote(() => now({ version: 5, words: "Teo made it wider" }));
  assert.equal(phone.asked[0].address, "/s/wickerlark/quotes/3/pulse?version=4");
  assert.deepEqual(fetched[0].slice(0, 2), ["GET", "/s/wickerlark/quotes/3/"]);
  assert.equal(says("change"), "Teo made it wider");
});

test("while one's own change is on its way nothing is fetched over it", async () => {
  let version = 4;
  const { page, fetched } = await openQuote(() => now({ version }));
  page.fire(page.document, "htmx:beforeRequest", { detail: { requestConfig: { verb: "post" } } });
  version = 5;
  await page.pass(2000);
  assert.deepEqual(fetched, []);
  page.fire(page.document, "htmx:afterRequest");
  await page.pass(2000);
  assert.equal(fetched.length, 1);
});

test("what somebody else changed is said until one's own next change", async () => {
  const { page, says } = await openQuote(() => now({ version: 5, words: "Teo made it wider" }));
  page.fire(page.document, "htmx:beforeRequest", { detail: { requestConfig: { verb: "get" } } });
  assert.equal(says("change"), "Teo made it wider");
  page.fire(page.document, "htmx:beforeRequest", { detail: { requestConfig: { verb: "post" } } });
  assert.equal(says("change"), "");
});

test("without an answer it asks ever more seldom, and as before once there is one", async () => {
  let down = true;
  const { page, phone } = await openQuote(() => (down ? answer({}, { status: 503 }) : now()));
  const asked = async (milliseconds) => {
    const before = phone.asked.length;
    await page.pass(milliseconds);
    return phone.asked.length - before;
  };
  assert.equal(await asked(4000 + 8000 + 16_000 + 30_000 + 30_000), 5);
  down = false;
  await page.pass(30_000);
  assert.equal(await asked(6000), 3);
});

test("out of sight it asks nothing, and where it may not look any more it stops", async () => {
  const { page, phone } = await openQuote(() => now());
  page.document.hidden = true;
  const before = phone.asked.length;
  await page.pass(20_000);
  assert.equal(phone.asked.length, before);
  for (const status of [403, 404]) {
    const closed = await openQuote(() => answer({}, { status }));
    await closed.page.pass(120_000);
    assert.equal(closed.phone.asked.length, 1);
  }
});

test("the link is copied, or at least selected where there is no clipboard", async () => {
  const { page } = await openQuote(() => now());
  const written = [];
  page.navigator.clipboard = { writeText: async (text) => written.push(text) };
  await page.press("[data-copies]");
  assert.deepEqual(written, ["https://billowbook.example/l/abc"]);
  assert.equal(page.text("[data-copies]"), "Copied");
  delete page.navigator.clipboard;
  await page.press("[data-copies]");
  assert.equal(page.find("#link").selectionEnd, 32);
});

// ---- The client's page ----

const LOOK = `<body>
  <div id="look" data-now="/l/handle/now"><div id="looked-at" data-mark="a&amp;b">old sketch</div></div>
  <p id="look-state" data-alone="There is no connection just now."></p></body>`;

async function openLook(reply) {
  const phone = new Phone();
  phone.network = reply;
  const page = new Page(LOOK, { phone });
  await page.load("quoting/js/look.js");
  return { page, phone };
}

test("the client's page asks what is new since the sketch that it shows, and puts it in place", async () => {
  const { page, phone } = await openLook(() => answer('<div id="looked-at" data-mark="c">new sketch</div>'));
  assert.equal(phone.asked.length, 0);
  await page.pass(700);
  assert.equal(phone.asked[0].address, "/l/handle/now?seen=a%26b");
  assert.equal(page.text("#look"), "new sketch");
  await page.pass(700);
  assert.equal(phone.asked[1].address, "/l/handle/now?seen=c");
});

test("nothing new leaves the sketch as it is", async () => {
  const { page } = await openLook(() => answer("", { status: 204 }));
  await page.pass(1400);
  assert.equal(page.text("#look"), "old sketch");
});

test("without connection the page says so and asks more seldom until it is back", async () => {
  let reply = () => answer("", { status: 429 });
  const { page, phone } = await openLook((...given) => reply(...given));
  await page.pass(700);
  assert.equal(page.text("#look-state"), "There is no connection just now.");
  const before = phone.asked.length;
  await page.pass(1399);
  assert.equal(phone.asked.length, before);
  reply = () => answer("", { status: 204 });
  await page.pass(1);
  assert.equal(page.text("#look-state"), "");
});

test("once looking along has ended the page shows so and asks no more", async () => {
  const closed = '<div id="looked-at">This sketch is closed.</div>';
  const { page, phone } = await openLook(() => answer(closed, { status: 404 }));
  await page.pass(60_000);
  assert.equal(page.text("#look"), "This sketch is closed.");
  assert.equal(phone.asked.length, 1);
  await settle();
});
