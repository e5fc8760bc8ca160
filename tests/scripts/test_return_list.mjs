import assert from "node:assert/strict";
import test from "node:test";

import { connect, openList, returnPage, told } from "./phone_pages.mjs";

const ROWS = [{ pk: 5, out: 2 }, { pk: 6, out: 120, comesBack: false }, { pk: 7, out: 0 }];
const NAMES = ["back", "mend", "broken", "lost", "used"];
const NOTHING = { count: 0, mend: 0, broken: 0, lost: 0, used: 0 };

const open = (facts = {}, options = {}) =>
  openList("events/return_list.js", returnPage(told({ stage: "installed", ...facts }), ROWS), options);
const back = (out, facts = {}) => ({ out, back: { by: "Teo", rivals: [], heads: [], ...facts } });
const inRow = (page, pk, selector) => page.find(`[data-line="${pk}"]`).querySelector(selector);
const pressed = (page, pk) => inRow(page, pk, ".tick").getAttribute("aria-pressed");
const counts = (op) => Object.fromEntries(Object.keys(NOTHING).map((name) => [name, op[name]]));

async function count(page, pk, numbers) {
  for (const [name, value] of Object.entries(numbers)) inRow(page, pk, `[data-number=${name}]`).value = value;
  await page.press(inRow(page, pk, "[data-press=set]"));
}

test("a press says that all of it is back, or, of what is used up, that all was used", async () => {
  const { page, last } = await open();
  await page.press(inRow(page, 5, ".tick"));
  assert.deepEqual([last().kind, last().line, counts(last())], ["back", 5, { ...NOTHING, count: 2 }]);
  await page.press(inRow(page, 6, ".tick"));
  assert.deepEqual(counts(last()), { ...NOTHING, used: 120 });
  assert.deepEqual([pressed(page, 5), pressed(page, 6)], ["true", "true"]);
  await page.press(inRow(page, 5, ".tick"));
  assert.deepEqual([counts(last()), pressed(page, 5)], [NOTHING, "false"]);
});

test("a line of which nothing is due back is done from the start", async () => {
  const { page } = await open();
  assert.equal(pressed(page, 7), "true");
  assert.equal(page.text("#counted"), "1");
});

test("what became of each is counted, and what does not add up is said", async () => {
  for (const [numbers, words, shown, state] of [
    [{ back: 1, mend: 1, broken: 0, lost: 0, used: 0 }, "1 back, 1 to repair", "2", "true"],
    [{ back: 1, mend: 0, broken: 0, lost: 0, used: 0 }, "1 back, 1 to find", "1 / 2", "mixed"],
    [{ back: 2, mend: 0, broken: 0, lost: 1, used: 0 }, "2 back, 1 lost, 1 more than went out", "3 / 2", "true"],
  ]) {
    const { page } = await open();
    await count(page, 5, numbers);
    assert.equal(inRow(page, 5, "[data-words]").textContent, words);
    assert.equal(inRow(page, 5, "[data-shown]").textContent, shown);
    assert.equal(pressed(page, 5), state);
    assert.equal(inRow(page, 5, "details").open, false);
  }
});

test("a number that is none is marked, and nothing is said", async () => {
  const { page, kept } = await open();
  for (const wrong of ["-1", "0.5", "two"]) {
    await count(page, 5, { back: 1, mend: wrong });
    assert.ok(inRow(page, 5, "[data-number=mend]").hasAttribute("aria-invalid"));
    assert.ok(!inRow(page, 5, "[data-number=back]").hasAttribute("aria-invalid"));
    assert.equal(page.document.activeElement, inRow(page, 5, "[data-number=mend]"));
  }
  assert.deepEqual(kept(), []);
});

test("Enter in a number counts the line", async () => {
  const { page, last } = await open();
  assert.equal(page.type(inRow(page, 5, "[data-number=back]"), "2", { key: "Enter" }), false);
  await page.pass(0);
  assert.deepEqual(counts(last()), { ...NOTHING, count: 2 });
  assert.equal(page.type("#close", "", { key: "Enter" }), true);
});

test("what the server told stands in the line and its boxes, but not over what somebody types", async () => {
  const lines = { 5: back(2, { count: 1, broken: 1 }), 6: back(120, { used: 100 }) };
  const opened = await open({ lines });
  const { page, office } = opened;
  assert.equal(inRow(page, 5, "[data-words]").textContent, "1 back, 1 broken");
  assert.deepEqual(NAMES.map((name) => inRow(page, 5, `[data-number=${name}]`).value), ["1", "0", "1", "0", "0"]);
  assert.equal(inRow(page, 6, ".mark-fill").getAttribute("stroke-dasharray"), "6 8");
  const box = inRow(page, 5, "[data-number=lost]");
  box.focus();
  box.value = "1";
  office.standing = told({ stage: "installed", lines: { 5: back(2, { count: 2 }) } });
  await connect(opened);
  await page.pass(15_000);
  assert.equal(inRow(page, 5, "[data-words]").textContent, "2 back");
  assert.equal(box.value, "1");
});

test("how many went out is as the server says now, not as the page was made", async () => {
  const { page, last } = await open({ lines: { 5: { out: 3, back: null } } });
  await page.press(inRow(page, 5, ".tick"));
  assert.equal(last().count, 3);
});

test("counts that did not know of each other are both told", async () => {
  const rivals = [{ by: "Marit", at: "23:10" }, { by: "", at: "23:12" }];
  const { page } = await open({ lines: { 5: back(2, { count: 2, rivals, heads: ["tick-a"] }) } });
  const words = inRow(page, 5, "[data-rivals]").textContent;
  assert.match(words, /^Marit counted it otherwise at 23:10, another phone counted it otherwise at 23:12\. /);
});

test("a count names those that it knew of", async () => {
  const { page, last } = await open({ lines: { 5: back(2, { count: 1, heads: ["tick-a"] }) } });
  await page.press(inRow(page, 5, ".tick"));
  assert.deepEqual(last().after, ["tick-a"]);
});

test("lines that lack a count are shown before anything is closed", async () => {
  const { page, kept } = await open();
  assert.ok(page.find("#close").classList.contains("button-plain"));
  await page.press("#close");
  assert.equal(page.text("#closing"), "2 lines are still to be counted");
  assert.equal(page.document.activeElement, inRow(page, 5, ".tick"));
  await page.press(inRow(page, 5, ".tick"));
  await page.press("#close");
  assert.equal(page.text("#closing"), "1 line is still to be counted");
  assert.deepEqual(kept().map((op) => op.kind), ["back"]);
});

test("once all is counted the list is closed, here at once and at the server with signal", async () => {
  const opened = await open();
  const { page, office, last } = opened;
  await page.press(inRow(page, 5, ".tick"));
  await page.press(inRow(page, 6, ".tick"));
  assert.ok(!page.find("#close").classList.contains("button-plain"));
  await page.press("#close");
  assert.deepEqual([last().kind, last().task], ["step", "counted_back"]);
  assert.equal(page.text("#closing"), "Goes to the ledger with signal");
  assert.equal(page.find("#close").hidden, true);
  assert.equal(page.find("[data-closed=yes]").hidden, false);
  office.standing = told({
    stage: "counted_back", lines: { 5: back(2, { count: 2 }), 6: back(120, { used: 120 }) },
  });
  await connect(opened);
  assert.deepEqual(office.kept.map((op) => op.kind), ["back", "back", "step"]);
  assert.equal(page.text("#closing"), "");
});
