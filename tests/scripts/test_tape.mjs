import assert from "node:assert/strict";
import test from "node:test";

import { Page } from "./browser.mjs";

const BENCH = (name) => `<div class="bench" id="${name}">
  <svg><g data-part="garland" class="part"></g><g data-part="garland" class="part"></g><g data-part="frames"></g></svg>
  <table><tr class="tape-line" data-lights="garland"><td class="price">120</td></tr>
  <tr class="tape-line" data-lights="travel"><td class="none">40</td></tr>
  <tr class="tape-line"><td class="total">160</td></tr>
  </table></div>`;

async function open() {
  const page = new Page(`<body>${BENCH("one")}${BENCH("two")}</body>`);
  await page.load("studio/js/tape.js");
  return { page, lit: (bench) => page.all(`#${bench} .is-lit`).map((each) => each.tagName) };
}

test("a line under the pointer or the focus lights what it pays for, in its own picture only", async () => {
  for (const [on, off] of [["mouseover", "mouseout"], ["focusin", "focusout"]]) {
    const { page, lit } = await open();
    page.fire("#one .price", on);
    assert.deepEqual(lit("one"), ["G", "G", "TR"]);
    assert.ok(page.find("#one").classList.contains("has-lit"));
    assert.deepEqual(lit("two"), []);
    page.fire("#one .price", off);
    assert.deepEqual(lit("one"), []);
    assert.ok(!page.find("#one").classList.contains("has-lit"));
    assert.ok(page.find("[data-part=garland]").classList.contains("part"), "other classes stay");
  }
});

test("a line that pays for nothing in the picture lights nothing, and does not dim the rest", async () => {
  const { page, lit } = await open();
  for (const place of ["#one .none", "#one .total", "#one svg"]) {
    page.fire(place, "mouseover");
    assert.deepEqual(lit("one"), []);
    assert.ok(!page.find("#one").classList.contains("has-lit"));
  }
});

test("a tape that is swapped in later answers as well", async () => {
  const { page, lit } = await open();
  page.find("#two").innerHTML = '<svg><g data-part="frames"></g></svg><p class="tape-line" data-lights="frames"></p>';
  page.fire("#two .tape-line", "focusin");
  assert.deepEqual(lit("two"), ["G", "P"]);
});
