import assert from "node:assert/strict";
import test from "node:test";

import { Page, settle } from "./browser.mjs";

const PAGE = `<body><div id="quote"><form id="sketch" action="/s/wickerlark/quotes/3/change">
  <input type="text" id="width" data-kind="length" data-units="feet" data-metres="2.4384" value="8 ft">
  <input type="text" id="height" data-kind="length" data-units="metric" data-metres="2.4" value="2.4 m">
  <input type="text" id="share" data-kind="percent" value="40 %"><input type="checkbox" id="tick">
  <input type="text" id="full" data-kind="percent" data-most="95" value="94">
  <details id="folded"><summary>More</summary></details>
  <button id="again" data-again>Again</button><button id="other">Go</button>
  </form></div><button id="undo">Undo</button><textarea id="note"></textarea></body>`;

async function open() {
  const calls = [];
  const htmx = {
    ajax: (...given) => calls.push(["ajax", ...given]),
    trigger: (element, name) => calls.push(["trigger", element.id, name]),
  };
  const Idiomorph = { defaults: { callbacks: {} } };
  const page = new Page(PAGE, { globals: { htmx, Idiomorph } });
  await page.load("quoting/js/quote.js");
  return { page, calls, Idiomorph, value: (id) => page.find(`#${id}`).value };
}

const arrow = (page, id, key) => page.fire(`#${id}`, "keydown", { key });

test("arrows step a length by an inch or five centimetres and a share by one per cent", async () => {
  const { page, value } = await open();
  assert.equal(arrow(page, "width", "ArrowUp"), false);
  assert.equal(value("width"), "2.4638 m");
  arrow(page, "width", "ArrowDown");
  arrow(page, "width", "ArrowDown");
  assert.equal(value("width"), "2.4130 m");
  arrow(page, "height", "ArrowUp");
  assert.equal(value("height"), "2.4500 m");
  arrow(page, "share", "ArrowUp");
  assert.equal(value("share"), "41");
});

test("a share never falls below nought, takes a comma, and is left alone where it is no number", async () => {
  const { page, value } = await open();
  page.find("#share").value = "0,4";
  arrow(page, "share", "ArrowDown");
  assert.equal(value("share"), "0");
  page.find("#share").value = "much";
  arrow(page, "share", "ArrowUp");
  assert.equal(value("share"), "much");
});

test("a share that is known to have an end is not stepped past it, nor pulled back to it", async () => {
  const { page, value } = await open();
  arrow(page, "full", "ArrowUp");
  assert.equal(value("full"), "95");
  arrow(page, "full", "ArrowUp");
  assert.equal(value("full"), "95");
  page.find("#full").value = "97";
  arrow(page, "full", "ArrowUp");
  assert.equal(value("full"), "97");
  arrow(page, "full", "ArrowDown");
  assert.equal(value("full"), "96");
});

test("steps in quick succession are sent as one change", async () => {
  const { page } = await open();
  let changes = 0;
  page.document.addEventListener("change", () => (changes += 1));
  arrow(page, "width", "ArrowUp");
  await page.pass(200);
  arrow(page, "width", "ArrowUp");
  await page.pass(249);
  assert.equal(changes, 0);
  await page.pass(1);
  assert.equal(changes, 1);
});

test("arrows elsewhere keep their own meaning", async () => {
  const { page } = await open();
  assert.equal(arrow(page, "tick", "ArrowUp"), true);
  assert.equal(arrow(page, "note", "ArrowUp"), true);
});

test("Control+Z undoes where nobody is typing", async () => {
  const { page } = await open();
  let undone = 0;
  page.find("#undo").addEventListener("click", () => (undone += 1));
  page.fire("#tick", "keydown", { key: "z", ctrlKey: true });
  page.fire("body", "keydown", { key: "z", metaKey: true });
  assert.equal(undone, 2);
  page.fire("#width", "keydown", { key: "z", ctrlKey: true });
  page.fire("#note", "keydown", { key: "z", ctrlKey: true });
  page.fire("body", "keydown", { key: "z" });
  assert.equal(undone, 2);
});

test("Enter sends a change once: as the browser's own change where something was typed, else by itself", async () => {
  const { page, calls } = await open();
  page.fire("#width", "change");
  await page.pass(50);
  assert.equal(page.fire("#sketch", "submit", { submitter: page.find("#other") }), false);
  assert.deepEqual(calls, []);
  await page.pass(200);
  page.fire("#sketch", "submit", { submitter: page.find("#other") });
  assert.deepEqual(calls, [["trigger", "sketch", "change"]]);
});

test("the button that asks to go on with an older page says so", async () => {
  const { page, calls } = await open();
  page.fire("#sketch", "submit", { submitter: page.find("#again") });
  const [[kind, method, address, options]] = calls;
  assert.deepEqual([kind, method, address], ["ajax", "POST", "/s/wickerlark/quotes/3/change"]);
  assert.equal(options.values.again, "1");
});

test("what somebody went on typing while the answer was on its way stays, cursor and all", async () => {
  const { page, value } = await open();
  const width = page.find("#width");
  page.type(width, "9 ft");
  page.fire(page.document, "htmx:beforeRequest", { detail: { elt: width } });
  width.value = "9 ft 6";
  width.setSelectionRange(6, 6);
  page.fire(page.document, "htmx:beforeSwap");
  width.value = "9'0\"";
  width.setSelectionRange(0, 0);
  page.fire(page.document, "htmx:afterSwap");
  assert.equal(value("width"), "9 ft 6");
  assert.equal(width.selectionStart, 6);
});

test("what was sent as it stands is written as the studio writes it", async () => {
  const { page, value } = await open();
  const width = page.find("#width");
  page.type(width, "9 ft");
  page.fire(page.document, "htmx:beforeRequest", { detail: { elt: width } });
  page.fire(page.document, "htmx:beforeSwap");
  width.value = "9'0\"";
  page.fire(page.document, "htmx:afterSwap");
  assert.equal(value("width"), "9'0\"");
});

test("what is folded open stays so when the page is morphed", async () => {
  const { page, Idiomorph } = await open();
  const may = Idiomorph.defaults.callbacks.beforeAttributeUpdated;
  assert.equal(may("open", page.find("#folded")), false);
  assert.equal(may("class", page.find("#folded")), true);
  assert.equal(may("open", page.find("#width")), true);
  await settle();
});

const SHEET = `<body><div id="quote" data-version="3" data-frame="f1">
  <section id="tape-lines" data-digest="a1"><form><input type="hidden" name="version" value="3"></form></section>
  <div id="bench-foot" data-digest="b2"><input type="text" id="share" value="40"></div>
  <div id="more" data-digest="c3"><input type="checkbox" id="mirrored"></div></div></body>`;

async function openSheet() {
  const page = new Page(SHEET, { globals: { htmx: {} } });
  await page.load("quoting/js/quote.js");
  const asked = () => {
    const headers = {};
    page.fire(page.document, "htmx:configRequest", { detail: { headers } });
    return headers["X-Fragments"];
  };
  const answered = (version) => ({
    shouldSwap: true,
    xhr: { getResponseHeader: (name) => (name === "X-Version" ? version : null) },
  });
  return { page, asked, answered };
}

test("a change says which fragments the page shows, but for those in which something was typed", async () => {
  const { page, asked } = await openSheet();
  assert.equal(asked(), "frame:f1 tape-lines:a1 bench-foot:b2 more:c3");
  page.find("#share").value = "41";
  assert.equal(asked(), "frame:f1 tape-lines:a1 more:c3");
  page.find("#mirrored").checked = true;
  assert.equal(asked(), "frame:f1 tape-lines:a1");
});

test("after an answer every form names the version that it brought", async () => {
  const { page, answered } = await openSheet();
  page.fire(page.document, "htmx:afterRequest", { detail: answered("4") });
  assert.equal(page.find("#quote").dataset.version, "4");
  assert.equal(page.find("[name=version]").value, "4");
});

test("an answer that was overtaken by a later one is left out", async () => {
  const { page, answered } = await openSheet();
  for (const [version, swapped] of [["2", false], ["3", true], ["4", true], [null, true]]) {
    const detail = answered(version);
    page.fire(page.document, "htmx:beforeSwap", { detail });
    assert.equal(detail.shouldSwap, swapped, version);
  }
  page.fire(page.document, "htmx:afterRequest", { detail: answered("2") });
  assert.equal(page.find("[name=version]").value, "3");
});

const PICTURE = `<body><div id="quote"><div class="size-picture"><svg aria-label="Arch: pearl 40 %">
  <use href="#o0"><use href="#b0"><use href="#b1"><use href="#l0"><use href="#b1">
  </svg></div><div id="balloon-colours" data-colours="COLOURS" data-words="Arch: pearl 60 %"></div></div></body>`;

async function openPicture(colours) {
  const page = new Page(PICTURE.replace("COLOURS", colours), { globals: { htmx: {} } });
  await page.load("quoting/js/quote.js");
  page.fire(page.document, "htmx:afterRequest", { detail: { xhr: { getResponseHeader: () => null } } });
  const svg = page.find("svg");
  const used = [...svg.querySelectorAll("use")].map((each) => each.getAttribute("href"));
  return { words: svg.getAttribute("aria-label"), used };
}

test("other shares colour the balloons that are there, and nothing else", async () => {
  const { words, used } = await openPicture("0ab");
  assert.deepEqual(used, ["#o0", "#b0", "#b10", "#l0", "#b11"]);
  assert.equal(words, "Arch: pearl 60 %");
});

test("colours of another picture are left alone", async () => {
  const { words, used } = await openPicture("00");
  assert.deepEqual(used, ["#o0", "#b0", "#b1", "#l0", "#b1"]);
  assert.equal(words, "Arch: pearl 40 %");
});
