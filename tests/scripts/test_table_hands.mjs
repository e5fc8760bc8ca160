// What the drawing table's scripts reckon while a hand moves: sizes, turns, where an end comes to, lengths in words.
import assert from "node:assert/strict";
import test from "node:test";

import { Page } from "./browser.mjs";

const TABLE = "quoting/js/table/";
const plain = (value) => JSON.parse(JSON.stringify(value)); // a page's own objects are of another realm

async function script(name) { return new Page("<body></body>").load(`${TABLE}${name}.js`); }

const ARCHES = [{ w: 0.91, h: 1.52, label: "5 ft" }, { w: 1.07, h: 1.83, label: "6 ft" }];

test("a frame goes to the size that is nearest to the hand", async () => {
  const { offered, nextChoice } = await script("sizing");
  const arch = { w: 1.07, h: 1.83, alike: false, choices: ARCHES };
  assert.equal(offered(arch, 0.95, 1.6).label, "5 ft");
  assert.equal(offered(arch, 2, 4).label, "6 ft");
  assert.equal(nextChoice(arch, -1).label, "5 ft");
  assert.equal(nextChoice(arch, 1), null);
});

test("what keeps its proportions grows by the side that is pulled farther", async () => {
  const { offered } = await script("sizing");
  assert.deepEqual(plain(offered({ w: 0.2, h: 0.4, alike: true, choices: [] }, 0.3, 0.4)), { w: 0.3, h: 0.6 });
  assert.deepEqual(plain(offered({ w: 0.2, h: 0.4, alike: false, choices: [] }, 0.3, 0.4)), { w: 0.3, h: 0.4 });
});

test("a turn goes by steps, with Shift by single degrees, and stays within half a turn", async () => {
  const { turned } = await script("sizing");
  const by = { step: 15 };
  assert.deepEqual([turned(37, by, false), turned(37.4, by, true), turned(185, by, true)], [30, 37, -175]);
});

test("an end comes to the floor, to the frame that is nearest, or to nothing", async () => {
  const { ending } = await script("ending");
  const frames = [{ name: "arch", points: [{ x: 1, y: 1 }] }, { name: "ring", points: [{ x: 1.1, y: 1 }] }];
  assert.equal(ending(frames, 0.3, 0.05).words, "pools on the floor");
  assert.deepEqual(plain(ending(frames, 1.09, 1.01)), { away: plain(ending(frames, 1.09, 1.01)).away, x: 1.1, y: 1,
    words: "goes to ring", lines: [] });
  assert.equal(ending(frames, 0.3, 0.9), null);
});

test("lengths stand as the studio writes them", async () => {
  const { metres, written } = await script("measures");
  assert.deepEqual([written(2.13, "feet"), written(1.83, "feet"), written(0.1, "feet")], ["7 ft", "6 ft", "4 in"]);
  assert.deepEqual([written(2.13, "metric"), metres(-0.5)], ["2.13 m", "-0.5000 m"]);
});
