import assert from "node:assert/strict";
import test from "node:test";

import { Page, Phone, settle } from "./browser.mjs";

const NAME = "draft.count.4.loft";
const FORM = `<body><form data-count data-draft="count.4.loft" hx-post="/loft/" id="take">
  <input type="hidden" name="key" value="key-of-the-page"><input name="reason" value="">
  <input class="count-box" name="count-1" value=""><input class="count-box" name="count-2" value="">
  <span data-draft-words></span><button>Save count</button></form></body>`;

async function open(phone = new Phone(), { html = FORM } = {}) {
  const page = new Page(html, { phone });
  await page.load("stock/count.js");
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

test("counts and their reason are there again when the page is opened again, with the same key", async () => {
  const { page, phone, value } = await open();
  page.type("[name=count-1]", "12");
  page.type("[name=reason]", "found again");
  const again = await open(phone);
  assert.equal(again.value("count-1"), "12");
  assert.equal(again.value("reason"), "found again");
  assert.equal(again.value("key"), value("key"));
});

test("what was counted before the page showed differences stays kept when a reason is chosen", async () => {
  const { page, phone } = await open();
  page.type("[name=count-1]", "12");
  const swapped = new Page(FORM, { phone });
  const draft = await swapped.load("studio/js/draft.js");
  draft.forget(swapped.find("form"));
  page.type("[name=count-1]", "12");
  page.find("form").replaceChildren(...new Page(FORM, { phone }).find("form").children.map((each) =>
    page.document.adoptNode(each)));
  page.type("[name=reason]", "found again");
  const { values } = JSON.parse(phone.storage.getItem(NAME));
  assert.deepEqual([values["count-1"], values.reason], ["12", "found again"]);
});

test("once it is written the draft is gone; an answer with faults keeps it", async () => {
  const { page, phone } = await open();
  page.type("[name=count-1]", "12");
  loaded(page, null);
  assert.ok(phone.storage.getItem(NAME));
  loaded(page, "/s/wickerlark/shelf/");
  assert.equal(phone.storage.getItem(NAME), null);
});

test("a count that found no signal is kept and sent once when the signal is back", async () => {
  const { page, phone, submitted } = await open();
  page.type("[name=count-1]", "12");
  page.fire(page.document, "htmx:sendError");
  assert.match(page.text("[data-draft-words]"), /^No signal\./);
  assert.match(phone.storage.getItem(NAME), /"count-1":"12"/);
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

test("a page without such a form does no harm", async () => {
  const bare = await open(new Phone(), { html: "<body></body>" });
  bare.page.fire(bare.page.document, "htmx:sendError");
  bare.page.heard.dispatchEvent(new bare.page.Event("online"));
  assert.deepEqual(bare.submitted, []);
});
