// Points of a garland dragged. An end that comes to the floor pools there, one that comes to a frame follows it: what
// will become of it stands beside the hand.
import { inner, metres } from "./measures.js";
import { UNITS } from "./scene.js";

const FOLLOWS = 0.55; // balloons within so many metres of a point follow it
const FLOOR = 0.12; // an end this low is on the floor
const CATCH = 0.2; // an end nearer to a frame's outline is on it
const STEPS = 160; // of an outline

export function pointTool(scene, grip, hold) {
  const { ref } = hold.dataset;
  const x0 = Number(grip.dataset.x);
  const y0 = Number(grip.dataset.y);
  const isEnd = grip.dataset.end !== undefined;
  let balls = [];
  let frames = [];
  return {
    start() {
      balls = following(scene, x0, y0);
      frames = isEnd ? outlines(scene) : [];
    },
    show(dx, dy, to) {
      const found = isEnd ? ending(frames, x0 + dx, y0 + dy) : null;
      const [ax, ay] = found ? [found.x - x0, found.y - y0] : [dx, dy];
      grip.setAttribute("transform", `translate(${ax * UNITS} ${-ay * UNITS})`);
      for (const { ball, share } of balls) {
        ball.setAttribute("transform", `translate(${ax * UNITS * share} ${-ay * UNITS * share})`);
      }
      scene.guides(found?.lines, found?.words, to);
    },
    undo() {
      grip.removeAttribute("transform");
      for (const { ball } of balls) ball.removeAttribute("transform");
    },
    act(sending, dx, dy) {
      const place = { x_m: metres(x0 + dx), y_m: metres(Math.max(y0 + dy, 0)) };
      sending.act("move-point", { thing: ref, index: grip.dataset.index, ...place });
    },
  };
}

// What an end comes to at a place; nothing in the air.
export function ending(frames, x, y) {
  if (y < FLOOR) return { x, y: Math.max(y, 0), words: "pools on the floor", lines: [{ axis: "y", at: 0 }] };
  let best = null;
  for (const { name, points } of frames) {
    for (const point of points) {
      const away = Math.hypot(point.x - x, point.y - y);
      if (away < (best?.away ?? CATCH)) best = { away, x: point.x, y: point.y, words: `goes to ${name}`, lines: [] };
    }
  }
  return best;
}

// Private

function outlines(scene) {
  return [...scene.svg.querySelectorAll(".hold-frame")].map((hold) => {
    const path = hold.querySelector(".hold-area");
    const length = path.getTotalLength();
    const points = Array.from({ length: STEPS }, (_, k) => path.getPointAtLength(length * k / STEPS));
    const places = points.map((point) => ({ x: point.x / UNITS, y: -point.y / UNITS }));
    return { name: inner(hold.dataset.label), points: places };
  });
}

// Balloons near a point, those next to it following all the way.
function following(scene, x, y) {
  return scene.balloons().flatMap((each) => {
    const at = scene.middle(each);
    const away = Math.hypot(at.x / UNITS - x, -at.y / UNITS - y);
    const share = (1 + Math.cos(Math.PI * away / FOLLOWS)) / 2;
    return away < FOLLOWS ? scene.lift([each]).map((ball) => ({ ball, share })) : [];
  });
}
