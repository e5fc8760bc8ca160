// Making larger and turning: a corner follows the hand, to the sizes that a thing comes in; what turns goes by steps.
import { metres, written } from "./measures.js";
import { UNITS } from "./scene.js";

const LEAST = 0.05; // metres
const TUBE = 0.3; // balloons nearer to a frame's outline move with it, in metres

export function sizeOf(hold) { return hold.dataset.size ? JSON.parse(hold.dataset.size) : null; }

export function turnOf(hold) { return hold.dataset.turn ? JSON.parse(hold.dataset.turn) : null; }

// The size that is asked for, brought to one that there is.
export function offered(size, w, h) {
  const factor = Math.max(w / size.w, h / size.h);
  const wanted = size.alike ? { w: size.w * factor, h: size.h * factor } : { w, h };
  const apart = (each) => Math.abs(each.w - wanted.w) + Math.abs(each.h - wanted.h);
  return size.choices.reduce((best, each) => (!best || apart(each) < apart(best) ? each : best), null) ?? wanted;
}

// The next size that there is, larger (1) or smaller (-1); none beyond the last.
export function nextChoice(size, way) {
  const ranked = [...size.choices].sort((a, b) => a.w + a.h - b.w - b.h);
  const bigger = ranked.filter((each) => way * (each.w + each.h - size.w - size.h) > 0.001);
  return (way > 0 ? bigger[0] : bigger.at(-1)) ?? null;
}

export function sizeWords(size, found, units) {
  const measured = `${written(found.w, units)} × ${written(found.h, units)}`;
  if (found.label) return `${found.label}: ${measured}`;
  return size.choices.length ? `${measured}: no other size` : measured;
}

export function turned(deg, turn, isFine) {
  const step = isFine ? 1 : turn.step;
  const steps = Math.round(deg / step) * step;
  return ((steps + 180) % 360 + 360) % 360 - 180;
}

export function sizeTool(scene, grip, hold) {
  const { ref } = hold.dataset;
  const size = sizeOf(hold);
  const deg = turnOf(hold)?.deg ?? 0;
  const grips = [...hold.querySelectorAll(".grip-size")].map((part) => ({ part, was: part.getAttribute("transform") }));
  const corners = grips.map(({ was }) => placeOf(was));
  const held = own(placeOf(grip.getAttribute("transform")), size, deg);
  const isLow = !size.centred && held.y < size.h / 2;
  let parts = [];
  let balls = [];
  let found = size;
  return {
    start() {
      parts = [hold.querySelector(".hold-body"), ...scene.lift(scene.groups(ref))].map(asIs);
      const near = hold.dataset.kind === "frame" ? scene.near(hold.querySelector(".hold-area"), TUBE) : [];
      balls = scene.lift(near).map(asIs);
    },
    show(_dx, _dy, to) {
      const at = own(to, size, deg);
      const w = Math.abs(held.x) < 0.001 ? size.w : Math.max(2 * Math.abs(at.x), LEAST);
      const h = isLow ? size.h : Math.max(size.centred ? 2 * Math.abs(at.y) : at.y, LEAST);
      found = offered(size, w, h);
      const [across, up] = [found.w / size.w, found.h / size.h];
      for (const each of parts) stretch(scene, each, size, deg, across, up);
      for (const each of balls) push(scene, each, size, across, up);
      grips.forEach(({ part }, k) => {
        const corner = own(corners[k], size, deg);
        const now = inRoom({ x: corner.x * across, y: corner.y * up }, size, deg);
        part.setAttribute("transform", `translate(${now.x * UNITS} ${-now.y * UNITS})`);
      });
      scene.guides([], sizeWords(size, found, scene.units), to);
    },
    undo() { back([...parts, ...grips, ...balls]); },
    act(sending) {
      sending.act("resize", { thing: ref, width_m: metres(found.w), height_m: metres(found.h) });
    },
  };
}

export function turnTool(scene, grip, hold) {
  const { ref } = hold.dataset;
  const turn = turnOf(hold);
  let parts = [];
  let found = turn.deg;
  return {
    start() { parts = [hold, ...scene.lift(scene.groups(ref))].map(asIs); },
    show(_dx, _dy, to, { isFine }) {
      found = turned(Math.atan2(to.x - turn.x, to.y - turn.y) * 180 / Math.PI, turn, isFine);
      for (const { part, was: before } of parts) {
        const about = anchorIn(scene, part, turn);
        part.setAttribute("transform", `rotate(${found - turn.deg} ${about.x} ${about.y}) ${before}`);
      }
      scene.guides([], `${found}°`, to);
    },
    undo() { back(parts); },
    act(sending) { sending.act("turn", { thing: ref, deg: String(found) }); },
  };
}

// Private

function asIs(part) { return { part, was: part.getAttribute("transform") ?? "" }; }

function back(parts) {
  for (const { part, was: before } of parts) {
    if (before) part.setAttribute("transform", before);
    else part.removeAttribute("transform");
  }
}

function placeOf(transform) {
  const [, x, y] = /translate\(([-\d.]+)[ ,]([-\d.]+)\)/.exec(transform);
  return { x: Number(x) / UNITS, y: -Number(y) / UNITS };
}

// A place in the room as the thing itself has it: from what stays, along its own width and height; and back.
function own(place, { x, y }, deg) {
  const turn = deg * Math.PI / 180;
  const [dx, dy] = [place.x - x, place.y - y];
  return { x: dx * Math.cos(turn) - dy * Math.sin(turn), y: dx * Math.sin(turn) + dy * Math.cos(turn) };
}

function inRoom(place, { x, y }, deg) {
  const turn = deg * Math.PI / 180;
  return {
    x: x + place.x * Math.cos(turn) + place.y * Math.sin(turn),
    y: y + place.y * Math.cos(turn) - place.x * Math.sin(turn),
  };
}

// Where a place lies for a part: the picture has a corner of its own in the room.
function anchorIn(scene, part, { x, y }) {
  const shift = part.closest(".table-piece, .table-lifted") ? scene.shift : { x: 0, y: 0 };
  return { x: x * UNITS - shift.x, y: -y * UNITS - shift.y };
}

function stretch(scene, { part, was: before }, size, deg, across, up) {
  const at = anchorIn(scene, part, size);
  part.setAttribute("transform", `translate(${at.x} ${at.y}) rotate(${deg}) scale(${across} ${up}) rotate(${-deg}) `
    + `translate(${-at.x} ${-at.y}) ${before}`);
}

// A balloon stays as large as it is and goes to where its place on the frame goes.
function push(scene, { part, was: before }, size, across, up) {
  const at = anchorIn(scene, part, size);
  const x = (Number(part.getAttribute("cx")) - at.x) * (across - 1);
  const y = (Number(part.getAttribute("cy")) - at.y) * (up - 1);
  part.setAttribute("transform", `translate(${x} ${y}) ${before}`);
}
