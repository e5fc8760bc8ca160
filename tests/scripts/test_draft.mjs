import assert from "node:assert/strict";
import test from "node:test";

import { Page, Phone } from "./browser.mjs";

const DAY_MS = 24 * 3600 * 1000;
const NAME = "draft.7./s/wickerlark/enquiries/new/";
const FORM = `<form data-draft action="/s/wickerlark/enquiries/new/" id="enquiry">
  <input type="hidden" name="csrfmiddlewaretoken" value="secret"><input type="hidden" name="key" value="key-1">
  <input name="title" value=""><textarea name="said"></textarea><input type="checkbox" name="out" value="on">
  <input type="date" name="day" value="2026-12-01"><input type="file" name="photo"><button>Save</button></form>`;
const body = (form = FORM, person = 7) => `<body data-person="${person}">${form}<input id="elsewhere" value=""></body>`;

async function open(phone = new Phone(), { html = body(), later = 0, cookie = "" } = {}) {
  const page = new Page(html, { phone, path: "/s/wickerlark/enquiries/new/" });
  page.clock.now += later;
  page.document.cookie = cookie;
  const draft = await page.load("studio/js/draft.js");
  return { page, phone, draft, value: (name) => page.find(`[name=${name}]`).value };
}

const stored = (phone, name = NAME) => JSON.parse(phone.storage.getItem(name));

test("what is typed is given back when the page is opened again, with the same key", async () => {
  const { page, phone } = await open();
  page.type("[name=title]", "Library centenary");
  page.type("[name=said]", "arch over the door");
  assert.match(page.text("[data-draft-words]"), /^Kept on this device/);
  const again = await open(phone, { html: body(FORM.replace("key-1", "key-2")) });
  assert.equal(again.value("title"), "Library centenary");
  assert.equal(again.value("said"), "arch over the door");
  assert.equal(again.value("key"), "key-1", "sent twice, it is written once");
  assert.match(again.page.text("[data-draft-words]"), /^As you left it\./);
});

test("only what was typed is kept: no token of the session, no file, no date that the page gave", async () => {
  const { page, phone } = await open();
  page.type("[name=title]", "Fair");
  assert.deepEqual(Object.keys(stored(phone).values).sort(), ["key", "title"]);
});

test("a tick is kept as a tick", async () => {
  const { page, phone } = await open();
  page.find("[name=out]").checked = true;
  page.fire("[name=out]", "input");
  assert.equal((await open(phone)).page.find("[name=out]").checked, true);
});

test("a page without anything typed keeps its own key and says nothing", async () => {
  const { page, phone, value } = await open();
  assert.equal(value("key"), "key-1");
  assert.equal(page.find("[data-draft-words]"), null);
  assert.equal(phone.storage.length, 0);
});

test("a form that came back with errors is newer than the draft", async () => {
  const { page, phone } = await open();
  page.type("[name=title]", "Fair");
  const wrong = FORM.replace('name="title" value=""', 'name="title" value="Fair 2"')
    .replace("</form>", '<ul class="errorlist"></ul></form>');
  const back = await open(phone, { html: body(wrong) });
  assert.equal(back.value("title"), "Fair 2");
  back.page.type("[name=said]", "more");
  assert.deepEqual(stored(phone).values.said, "more");
  assert.equal(stored(phone).values.title, "Fair 2", "what the server sent back is kept with it");
});

test("another person at this device is not given it back", async () => {
  const { page, phone } = await open();
  page.type("[name=title]", "Fair");
  assert.equal((await open(phone, { html: body(FORM, 8) })).value("title"), "");
});

test("once the server says that it is written, the draft is gone, and no other draft", async () => {
  const { page, phone } = await open();
  page.type("[name=title]", "Fair");
  phone.storage.setItem("draft.7./other/", JSON.stringify({ at: page.clock.now, token: "x", values: {} }));
  const { token } = stored(phone);
  assert.equal(page.find("input[name=draft]").value, token, "the form sends it");
  const after = await open(phone, { html: body(""), cookie: `theme=dark; draft_saved=${token}` });
  assert.equal(phone.storage.getItem(NAME), null);
  assert.ok(phone.storage.getItem("draft.7./other/"));
  assert.match(after.page.document.cookie, /^draft_saved=; path=\/; max-age=0$/);
});

test("without a connection the form stays, with its text; with one it is sent", async () => {
  const { page, phone } = await open();
  page.type("[name=title]", "Fair");
  page.navigator.onLine = false;
  assert.equal(page.fire("form", "submit"), false);
  assert.match(page.text("[data-draft-words]"), /^No connection\./);
  assert.ok(stored(phone));
  page.navigator.onLine = true;
  assert.equal(page.fire("form", "submit"), true);
});

test("a draft lasts three days", async () => {
  const { page, phone } = await open();
  page.type("[name=title]", "Fair");
  assert.equal((await open(phone, { later: 3 * DAY_MS - 1 })).value("title"), "Fair");
  assert.equal((await open(phone, { later: 3 * DAY_MS })).value("title"), "");
});

test("a draft that cannot be read is as good as none", async () => {
  const phone = new Phone();
  phone.storage.setItem(NAME, "{half");
  assert.equal((await open(phone)).value("title"), "");
});

test("drafts of the version before, which had no token, are given back", async () => {
  const phone = new Phone();
  const { page } = await open();
  const old = { at: page.clock.now, values: { key: "key-0", title: "Fair" } };
  phone.storage.setItem(NAME, JSON.stringify(old));
  assert.equal((await open(phone)).value("title"), "Fair");
});

test("a device that keeps nothing says so", async () => {
  const { page, phone } = await open();
  phone.storage.full = true;
  page.type("[name=title]", "Fair");
  assert.match(page.text("[data-draft-words]"), /keeps nothing/);
});

test("typing elsewhere does no harm", async () => {
  const { page, phone } = await open();
  page.type("#elsewhere", "x");
  assert.equal(phone.storage.length, 0);
});
