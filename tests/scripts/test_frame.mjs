// What every page of the office brings: menus and keys, the progress line, the choice of light, fields to copy.
import assert from "node:assert/strict";
import test from "node:test";

import { Page, settle } from "./browser.mjs";

async function open(script, html, options = {}) {
  const page = new Page(html, options);
  await options.before?.(page);
  await page.load(script);
  return page;
}

// ---- keyboard.js ----

const FRAME = `<body><details class="menu" id="menu" open><summary>Menu</summary><a id="inside">Week</a></details>
  <details id="plain" open><summary>More</summary></details>
  <input type="search" id="search"><textarea id="note"></textarea><input id="wrong" aria-invalid="true">
  <div class="table-wide" id="wide"></div><p id="text">words</p></body>`;

test("Escape closes an open menu and leads back to it; a click elsewhere closes it too", async () => {
  const page = await open("studio/js/keyboard.js", FRAME);
  page.fire("#text", "keydown", { key: "Escape" });
  assert.equal(page.find("#menu").open, false);
  assert.equal(page.find("#plain").open, true);
  assert.equal(page.document.activeElement.tagName, "SUMMARY");
  page.find("#menu").open = true;
  page.fire("#inside", "click");
  assert.equal(page.find("#menu").open, true);
  page.fire("#text", "click");
  assert.equal(page.find("#menu").open, false);
});

test("a slash leads to the search, but not while somebody writes or holds another key", async () => {
  const page = await open("studio/js/keyboard.js", FRAME);
  const pressed = (target, more = {}) => {
    page.find("#wrong").focus();
    page.fire(target, "keydown", { key: "/", ...more });
    return page.document.activeElement.id;
  };
  assert.equal(pressed("#text"), "search");
  assert.equal(pressed("#note"), "wrong");
  for (const key of ["ctrlKey", "metaKey", "altKey"]) assert.equal(pressed("#text", { [key]: true }), "wrong");
});

test("a page with a wrong field opens on it", async () => {
  const page = await open("studio/js/keyboard.js", FRAME);
  assert.equal(page.document.activeElement.id, "wrong");
});

test("a table that is wider than its place can be reached by keyboard, also one swapped in later", async () => {
  const wide = (page) => Object.assign(page.find("#wide"), { scrollWidth: 900, clientWidth: 400 });
  const page = await open("studio/js/keyboard.js", FRAME, { before: wide });
  assert.equal(page.find("#wide").tabIndex, 0);
  const narrow = await open("studio/js/keyboard.js", FRAME);
  assert.equal(narrow.find("#wide").hasAttribute("tabindex"), false);
  wide(narrow);
  narrow.fire(narrow.document, "htmx:afterSettle");
  assert.equal(narrow.find("#wide").tabIndex, 0);
});

// ---- keys.js ----

const KEYED = `<body><input id="width" data-key="W" value="8 ft"><details id="more"><summary data-key="S">Site</summary>
  <input type="hidden" name="token"><input id="first"></details><dialog id="keys"></dialog>
  <button data-opens="keys">Keys</button></body>`;

test("Alt and a letter go to what the page names by it; what is folded opens", async () => {
  const page = await open("quoting/js/keys.js", KEYED);
  const press = (code, more = {}) => page.fire("body", "keydown", { code, altKey: true, ...more });
  assert.equal(press("KeyW"), false);
  assert.equal(page.document.activeElement.id, "width");
  assert.equal(page.find("#width").selectionEnd, 4);
  press("KeyS");
  assert.equal(page.find("#more").open, true);
  assert.equal(page.document.activeElement.id, "first");
  assert.equal(press("KeyX"), true);
  assert.equal(press("Digit1"), true);
  assert.equal(press("KeyW", { ctrlKey: true }), true);
  assert.equal(press("KeyW", { altKey: false }), true);
});

test("the list of keys opens by Alt+K and by its button", async () => {
  const page = await open("quoting/js/keys.js", KEYED);
  page.fire("body", "keydown", { code: "KeyK", altKey: true });
  assert.equal(page.find("#keys").open, true);
  page.find("#keys").open = false;
  page.fire("[data-opens]", "click");
  assert.equal(page.find("#keys").open, true);
});

// ---- progress.js ----

const PROGRESS = `<body><div id="progress-line" hidden></div><div id="notices"><p>old</p></div>
  <form id="form"></form><div data-quiet><p id="quiet"></p></div></body>`;

test("the line shows only while the server takes its time, however many requests run", async () => {
  const page = await open("studio/js/progress.js", PROGRESS);
  const line = page.find("#progress-line");
  page.fire("#form", "htmx:beforeRequest");
  page.fire("#form", "htmx:beforeRequest");
  await page.pass(299);
  assert.equal(line.hidden, true);
  await page.pass(1);
  assert.equal(line.hidden, false);
  page.fire("#form", "htmx:afterRequest");
  assert.equal(line.hidden, false);
  page.fire("#form", "htmx:afterRequest");
  assert.equal(line.hidden, true);
  page.fire("#form", "htmx:beforeRequest");
  page.fire("#form", "htmx:afterRequest");
  await page.pass(1000);
  assert.equal(line.hidden, true);
});

test("what went wrong is said aloud, each kind in its own words", async () => {
  const page = await open("studio/js/progress.js", PROGRESS);
  const said = [];
  for (const status of [403, 404, 413, 500]) {
    page.fire("#form", "htmx:responseError", { detail: { xhr: { status } } });
    assert.equal(page.all("#notices [role=alert]").length, 1);
    said.push(page.text("#notices"));
  }
  page.fire("#form", "htmx:sendError");
  said.push(page.text("#notices"));
  assert.equal(new Set(said).size, 5);
  assert.match(said[3], /nothing was changed/);
  assert.match(said[4], /^There is no connection just now/);
});

test("whoever asks too much is told when to try again", async () => {
  const page = await open("studio/js/progress.js", PROGRESS);
  const told = (seconds) => {
    const xhr = { status: 429, getResponseHeader: (name) => (name === "Retry-After" ? seconds : null) };
    page.fire("#form", "htmx:responseError", { detail: { xhr } });
    return page.text("#notices").match(/again in (.+)\.$/)[1];
  };
  assert.deepEqual(["20", "89", "90", "3600", null].map(told), [
    "20 seconds", "89 seconds", "2 minutes", "60 minutes", "60 seconds",
  ]);
});

test("what a page fetches by itself may stay away in silence", async () => {
  const page = await open("studio/js/progress.js", PROGRESS);
  page.fire("#quiet", "htmx:sendError");
  assert.equal(page.text("#notices"), "old");
});

// ---- theme.js ----

const CHOICES = `<html><body><button data-theme-choice="">As the device</button>
  <button data-theme-choice="light">Day</button><button data-theme-choice="dark">Night</button></body></html>`;

test("a chosen light is kept for a year, marked, and can be given up again", async () => {
  const page = await open("studio/js/theme.js", CHOICES);
  const marked = () => page.all("[aria-pressed=true]").map((button) => button.textContent);
  assert.deepEqual(marked(), ["As the device"]);
  page.fire("[data-theme-choice=dark]", "click");
  assert.deepEqual(marked(), ["Night"]);
  assert.equal(page.document.documentElement.dataset.theme, "dark");
  assert.equal(page.document.cookie, "theme=dark; path=/; max-age=31536000; samesite=lax; secure");
  page.fire(page.all("[data-theme-choice]")[0], "click");
  assert.deepEqual(marked(), ["As the device"]);
  assert.equal(page.document.documentElement.dataset.theme, undefined);
  assert.match(page.document.cookie, /^theme=; path=\/; max-age=0/);
});

// ---- copy.js ----

test("a field to copy gets a button; without a clipboard it is selected on focus", async () => {
  const html = '<body><p><input data-copy value="https://billowbook.example/o/abc"></p></body>';
  const written = [];
  const clipboard = { writeText: async (text) => written.push(text) };
  const before = ({ navigator }) => Object.assign(navigator, { clipboard });
  const page = await open("quoting/js/copy.js", html, { before });
  await page.press("button");
  assert.deepEqual(written, ["https://billowbook.example/o/abc"]);
  assert.equal(page.text("button"), "Copied");
  const bare = await open("quoting/js/copy.js", html);
  assert.equal(bare.find("button"), null);
  bare.fire("input", "focus");
  assert.equal(bare.find("input").selectionEnd, 32);
  await settle();
});
