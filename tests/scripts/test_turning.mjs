// The model that is turned: its file read, the eye that goes round it, and what is met under a finger.
import assert from "node:assert/strict";
import test from "node:test";

import { Page, plain } from "./browser.mjs";

async function script(name) {
  return new Page("<body></body>", { globals: { TextDecoder } }).load(`quoting/js/model/${name}.js`);
}

// A binary glTF file by hand: one triangle of one mesh, a balloon of radius 0.5 and a board that stands.
function file() {
  const numbers = Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 1, 0, 0, 1);
  const faces = Uint16Array.of(0, 1, 2, 0);
  const document = {
    scenes: [{ nodes: [0, 1, 2] }],
    nodes: [
      { name: "Oat 11 in", mesh: 0, translation: [0, 1, 0], scale: [0.5, 0.5, 0.5],
        extras: { step: 2, says: "quad A" } },
      { name: "Board", mesh: 0 },
      { name: "Fern", children: [3, 4] },
      { mesh: 1, translation: [0, 0, 0.25], rotation: [0, 0, 0, 1], scale: [0.5, 0.5, 0.5] },
      { mesh: 1, translation: [-0.25, 0.125, 0], rotation: [0, 0, Math.SQRT1_2, Math.SQRT1_2],
        scale: [0.25, 0.25, 0.25] },
    ],
    meshes: [{ POSITION: 0, NORMAL: 1 }, { POSITION: 0, NORMAL: 1, COLOR_0: 3 }].map((attributes) => (
      { primitives: [{ attributes, indices: 2, material: 0 }] })),
    materials: [{ pbrMetallicRoughness: { baseColorFactor: [1, 0.5, 0, 1], metallicFactor: 0, roughnessFactor: 0.4 } }],
    accessors: [
      { bufferView: 0, componentType: 5126, count: 3, type: "VEC3" },
      { bufferView: 1, componentType: 5126, count: 3, type: "VEC3" },
      { bufferView: 2, componentType: 5123, count: 3, type: "SCALAR" },
      { bufferView: 3, componentType: 5121, count: 3, type: "VEC4" },
    ],
    bufferViews: [{ byteOffset: 0 }, { byteOffset: 36 }, { byteOffset: 72 }, { byteOffset: 80 }],
  };
  const text = new TextEncoder().encode(JSON.stringify(document).padEnd(4 * 400));
  const data = new ArrayBuffer(20 + text.length + 8 + 92), words = new DataView(data);
  words.setUint32(12, text.length, true);
  new Uint8Array(data).set(text, 20);
  new Uint8Array(data).set(new Uint8Array(numbers.buffer), 28 + text.length);
  new Uint8Array(data).set(new Uint8Array(faces.buffer), 28 + text.length + 72);
  new Uint8Array(data).set([255, 128, 0, 255], 28 + text.length + 80);
  return data;
}

test("balloons and boards are read with their places, paints and what is said of them", async () => {
  const { boxOf, readModel } = await script("reading");
  const model = readModel(file());
  const { centre, radius, turn, notes, paint } = model.balls[0];
  assert.deepEqual(plain({ centre, radius, turn, notes }), {
    centre: [0, 1, 0], radius: 0.5, turn: [0, 0, 0, 1], notes: { step: 2, says: "quad A" } });
  assert.deepEqual(plain([paint.light, paint.cover, paint.metal, paint.rough, paint.lit]), [[1, 0.5, 0], 1, 0, 0.4, 0]);
  assert.deepEqual([...model.solids[0].shape.places.slice(3, 6)], [1, 0, 0]);
  assert.deepEqual([...model.solids[0].shape.triangles], [0, 1, 2]);
  assert.deepEqual(plain(boxOf(model)), { low: [-0.5, 0, -0.5], high: [1, 1.5, 0.5] });
});

test("a floral is one shape of all its nodes, each moved, turned and scaled", async () => {
  const { readModel } = await script("reading");
  const { name, shape } = readModel(file()).solids[1];
  assert.equal(name, "Fern");
  // By hand: (1, 0, 0) comes to (0.5, 0, 0.25); turned by a right angle about z, to (-0.25, 0.375, 0).
  assert.deepEqual([...shape.places.slice(3, 6)].map((value) => +value.toFixed(4)), [0.5, 0, 0.25]);
  assert.deepEqual([...shape.places.slice(12, 15)].map((value) => +value.toFixed(4)), [-0.25, 0.375, 0]);
  assert.deepEqual([...shape.triangles], [0, 1, 2, 3, 4, 5]);
  assert.deepEqual([...shape.tones.slice(12, 16)], [255, 128, 0, 255]);
});

const BOX = { low: [-1, 0, -0.5], high: [1, 2, 0.5] };

// Where a point of the room comes to in the picture, by the definition of clip space.
function seen(lens, point) {
  const row = (k) => [...point, 1].reduce((sum, value, column) => sum + value * lens[4 * column + k], 0);
  return [row(0) / row(3), row(1) / row(3), row(2) / row(3)];
}

test("the middle of the piece is in the middle of the picture, all of it within, however it is turned", async () => {
  const { Viewpoint } = await script("viewpoint");
  const view = new Viewpoint(BOX, 0.7);
  for (let step = 0; step < 12; step += 1) {
    view.turn(0.55, step % 2 ? 0.4 : -0.6);
    const lens = view.lens(), [x, y, z] = seen(lens, [0, 1, 0]);
    assert.ok(Math.hypot(x, y) < 1e-6 && Math.abs(z) < 1);
    for (const corner of [[-1, 0, 0], [1, 0, 0], [-1, 2, 0], [1, 2, 0]]) {
      assert.ok(seen(lens, corner).every((value) => Math.abs(value) < 1), `corner ${corner} after ${step} turns`);
    }
  }
});

test("a point nearer to the eye is before one behind it", async () => {
  const { Viewpoint } = await script("viewpoint");
  const lens = new Viewpoint(BOX, 1).lens();
  assert.ok(seen(lens, [0, 1, 0.4])[2] < seen(lens, [0, 1, -0.4])[2]);
});

test("the ray through a point of the picture goes through what is painted there", async () => {
  const { Viewpoint } = await script("viewpoint");
  const view = new Viewpoint(BOX, 0.7);
  view.turn(0.8, -0.3);
  const point = [0.6, 1.7, 0.2], [x, y] = seen(view.lens(), point);
  const { from, way } = view.ray(x, y), off = point.map((value, k) => value - from[k]);
  const along = off.reduce((sum, value, k) => sum + value * way[k], 0);
  assert.ok(Math.hypot(...off.map((value, k) => value - along * way[k])) < 1e-5);
});

test("it never goes under the floor or so near that nothing is seen", async () => {
  const { Viewpoint } = await script("viewpoint");
  const view = new Viewpoint(BOX, 1);
  for (let k = 0; k < 50; k += 1) { view.turn(0, 0.2); view.approach(0.8); }
  assert.ok(view.eye[1] > view.middle[1]);
  assert.ok(view.near >= 0.35);
});

test("what is met first is told: by hand, a ball 4 m away before one behind it, a board before both", async () => {
  const { firstMet, toBall } = await script("viewpoint");
  const ray = { from: [0, 0, 5], way: [0, 0, -1] };
  const near = { name: "near", centre: [0, 0, 0.5], radius: 0.5 }, far = { name: "far", centre: [0, 0, -2], radius: 1 };
  const shape = { places: [-1, -1, 2, 1, -1, 2, 0, 1, 2], triangles: [0, 1, 2] };
  assert.equal(toBall(ray, near), 4);
  assert.equal(toBall(ray, { centre: [0, 0.6, 0], radius: 0.5 }), Infinity);
  assert.equal(toBall(ray, { centre: [0, 0, 9], radius: 0.5 }), Infinity, "what is behind the eye isn't met");
  assert.equal(firstMet(ray, [far, near]).name, "near");
  assert.equal(firstMet(ray, [far, near, { name: "board", shape }]).name, "board");
  assert.equal(firstMet({ from: [3, 3, 5], way: [0, 0, -1] }, [far, near, { name: "board", shape }]), null);
});

test("of a step what is up already is solid, what it puts up is ringed, everything later is absent", async () => {
  const { lookAt } = await new Page("<body></body>").load("quoting/js/turn.js");
  assert.deepEqual([0, 1, 2, 3].map((step) => lookAt(step, 2)), ["shown", "shown", "marked", "absent"]);
  assert.deepEqual([0, 3, 7].map((step) => lookAt(step, 0)), ["shown", "shown", "shown"], "the whole piece");
});
