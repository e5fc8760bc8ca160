import assert from "node:assert/strict";
import test from "node:test";

import { Page, Phone, settle } from "./browser.mjs";

const DAY_MS = 24 * 3600 * 1000;
const FORM = `<body><form data-draft="count.4.loft" id="take">
  <input type="hidden" name="key" value="key-of-the-page"><input name="reason" value="">
  <input class="count-box" name="count-1" value=""><input class="count-box" name="count-2" value="8">
  <span data-draft-words></span><button>Keep the count</button></form><input id="elsewhere" value=""></body>`;

async function open(phone = new Phone(), { html = FORM, later = 0 } = {}) {
  const page = new Page(html, { phone });
  page.clock.now += later;
  await page.load("stock/draft.js");
  const submitted = [];
  page.document.addEventListener("submit", (event) => submitted.push(event.target.id));
  return { page, phone, submitted, value: (name) => page.find(`[name=${name}]`).value };
}

function loaded(page, redirect) {
  const xhr = { getResponseHeader: (name) => (name === "HX-Redirect" ? redirect : null) };
  page.fire(page.document, "htmx:beforeOnLoad", { detail: { elt: page.find("form"), xhr } });
}

test("a new count takes a key of its own, since the page's may be used up", async () => {
  const { page, value } = await open();
  assert.match(value("key"), /^[0-9a-f-]{36}$/);
  assert.equal(page.document.documentElement.dataset.ready, "yes");
});

test("what is typed is there again when the page is opened again, with the same key", async () => {
  const { page, phone, value } = await open();
  page.type("[name=count-1]", "12");
  assert.equal(page.text("[data-draft-words]"), "kept on this phone");
  const again = await open(phone);
  assert.equal(again.value("count-1"), "12");
  assert.equal(again.value("key"), value("key"));
  assert.equal(again.page.text("[data-draft-words]"), "as you left it");
});

test("what the server filled in is not overwritten, and other fields are not kept", async () => {
  const { page, phone } = await open();
  page.type("[name=count-2]", "5");
  page.type("[name=reason]", "broken on the stairs");
  const again = await open(phone);
  assert.equal(again.value("count-2"), "8");
  assert.equal(again.value("reason"), "");
});

test("a draft lasts three days", async () => {
  const { page, phone } = await open();
  page.type("[name=count-1]", "12");
  assert.equal((await open(phone, { later: 3 * DAY_MS - 1 })).value("count-1"), "12");
  assert.equal((await open(phone, { later: 3 * DAY_MS })).value("count-1"), "");
});

test("a draft that cannot be read is as good as none", async () => {
  const phone = new Phone();
  phone.storage.setItem("draft.count.4.loft", "{half");
  assert.equal((await open(phone)).value("count-1"), "");
});

test("a phone that keeps nothing says so", async () => {
  const { page, phone } = await open();
  phone.storage.full = true;
  page.type("[name=count-1]", "12");
  assert.match(page.text("[data-draft-words]"), /keeps nothing/);
});

test("once it is written the draft is gone; an answer with faults keeps it", async () => {
  const { page, phone } = await open();
  page.type("[name=count-1]", "12");
  loaded(page, null);
  assert.ok(phone.storage.getItem("draft.count.4.loft"));
  loaded(page, "/s/wickerlark/shelf/");
  assert.equal(phone.storage.getItem("draft.count.4.loft"), null);
});

test("a count that found no signal is kept and sent once when the signal is back", async () => {
  const { page, phone, submitted } = await open();
  page.find("[name=count-1]").value = "12";
  page.fire(page.document, "htmx:sendError");
  assert.match(page.text("[data-draft-words]"), /^No signal\./);
  assert.match(phone.storage.getItem("draft.count.4.loft"), /"count-1":"12"/);
  page.heard.dispatchEvent(new page.Event("online"));
  page.heard.dispatchEvent(new page.Event("online"));
  await settle();
  assert.deepEqual(submitted, ["take"]);
});

test("a signal that comes back sends nothing that was not tried", async () => {
  const { page, submitted } = await open();
  page.type("[name=count-1]", "12");
  page.heard.dispatchEvent(new page.Event("online"));
  assert.deepEqual(submitted, []);
});

test("Enter goes to the next box, and sends the form from the last one only", async () => {
  const { page } = await open();
  assert.equal(page.type("[name=count-1]", "12", { key: "Enter" }), false);
  assert.equal(page.document.activeElement.name, "count-2");
  assert.equal(page.type("[name=count-2]", "7", { key: "Enter" }), true);
  assert.equal(page.type("[name=reason]", "lost", { key: "Enter" }), true);
});

test("typing elsewhere, and a page without such a form, do no harm", async () => {
  const { page, phone } = await open();
  page.type("#elsewhere", "x");
  assert.equal(phone.storage.getItem("draft.count.4.loft"), null);
  const bare = await open(new Phone(), { html: "<body></body>" });
  bare.page.fire(bare.page.document, "htmx:sendError");
  bare.page.heard.dispatchEvent(new bare.page.Event("online"));
  assert.deepEqual(bare.submitted, []);
});
