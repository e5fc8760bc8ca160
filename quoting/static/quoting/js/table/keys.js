// Keys: arrows move what has the focus (Shift: farther), with Control they make it larger, with Alt they turn it
// (Shift: by one degree); Page Up and Page Down go back and forward, Delete removes, Control+Z and Control+Y undo and
// redo, Escape ends drawing.
import { metres } from "./measures.js";
import { UNITS } from "./scene.js";
import { nextChoice, offered, sizeOf, sizeWords, turned, turnOf } from "./sizing.js";

const STEP = 0.02;
const BIG = 0.2;
const DEPTH_STEP = 0.05;
const THICKER = 0.05;
const LEAST = 0.02;
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const PAUSE_MS = 350; // presses that follow each other faster are one act

export class Keys {
  constructor(scene, sending, drawing, selecting) {
    Object.assign(this, { scene, sending, drawing, selecting, waiting: null });
    document.addEventListener("keydown", (event) => this.#key(event));
    document.addEventListener("focusout", () => this.#flush());
  }

  #key(event) {
    const isWriting = event.target.matches?.("input, textarea, select");
    const letter = event.key.toLowerCase();
    if (event.key === "Escape") this.drawing.set(false);
    if ((event.ctrlKey || event.metaKey) && !isWriting && (letter === "z" || letter === "y")) {
      event.preventDefault();
      this.#flush();
      this.sending.go(letter === "y" || event.shiftKey ? "redo" : "undo");
      return;
    }
    const element = event.target.closest?.(".hold-body, .grip");
    if (!element || event.metaKey || !this.scene.svg.contains(element)) return;
    if (this.#onHold(event, element)) event.preventDefault();
  }

  #onHold(event, element) {
    const way = WAYS[event.key];
    const step = event.shiftKey ? BIG : STEP;
    const grip = element.closest(".grip");
    const hold = element.closest(".hold");
    const isPress = event.key === "Enter" || event.key === " ";
    if (event.ctrlKey || event.altKey) {
      if (!way || grip) return false;
      return event.ctrlKey ? this.#resize(hold, way, step) : this.#turn(hold, way, event.shiftKey);
    }
    if (way && grip?.matches(".grip-size")) return this.#resize(hold, way, step);
    if (way && grip?.matches(".grip-turn")) return this.#turn(hold, way, event.shiftKey);
    if (isPress && grip?.matches(".grip-between")) return this.#addCorner(grip, hold);
    if (grip?.matches(".grip-between")) return false;
    if (way && grip?.matches(".grip-thick")) this.#thicken(grip, hold, way[0] + way[1]);
    else if (way && grip) this.#movePoint(grip, hold, way, step);
    else if (way) this.#moveThing(hold, way, step);
    else if (grip && isPress) this.selecting.grip(grip);
    else if (event.key === "PageUp" || event.key === "PageDown") {
      this.#deepen(hold, (event.key === "PageUp" ? -1 : 1) * (event.shiftKey ? BIG : DEPTH_STEP));
    } else if (event.key === "Delete" || event.key === "Backspace") this.#remove(grip, hold);
    else return false;
    return true;
  }

  // One act for presses that follow each other: the picture moves at once, the act is sent after a pause.
  #later(act, fields) {
    const key = `${act} ${fields.thing} ${fields.index ?? fields.at ?? ""}`;
    if (this.waiting && this.waiting.key !== key) this.#flush();
    clearTimeout(this.waiting?.timer);
    this.scene.isHeld = true;
    this.waiting = { key, act, fields, timer: setTimeout(() => this.#flush(), PAUSE_MS) };
  }

  #flush() {
    if (!this.waiting) return;
    const { act, fields, timer } = this.waiting;
    clearTimeout(timer);
    this.waiting = null;
    this.scene.isHeld = false;
    this.sending.act(act, fields);
  }

  #moveThing(hold, [dx, dy], step) {
    const isUpright = hold.dataset.kind === "wall" || hold.dataset.kind === "bouquet";
    const place = shifted(hold, dx * step, isUpright ? 0 : dy * step);
    if (isUpright) delete place.y_m;
    this.#later("move", { thing: hold.dataset.ref, ...place, exact: "on" });
  }

  #movePoint(grip, hold, [dx, dy], step) {
    const place = shifted(grip, dx * step, dy * step);
    const act = grip.matches(".grip-corner") ? "move-corner" : "move-point";
    this.#later(act, { thing: hold.dataset.ref, index: grip.dataset.index, ...place });
  }

  #thicken(grip, hold, way) {
    const factor = Math.min(Math.max(Number(grip.dataset.factor) + way * THICKER, 0.5), 1.8);
    grip.dataset.factor = String(factor);
    this.scene.say(`${Math.round(factor * 100)} %`);
    this.#later("thickness", { thing: hold.dataset.ref, at: grip.dataset.at, factor: (factor * 100).toFixed(1) });
  }

  // A thing that comes in sizes goes to the next one; any other grows by the step.
  #resize(hold, [dx, dy], step) {
    const size = sizeOf(hold);
    if (!size) return false;
    const wider = { w: Math.max(size.w + dx * step, LEAST), h: Math.max(size.h + dy * step, LEAST) };
    const alike = (size.h + (dx + dy) * step) / size.h;
    const asked = size.alike ? { w: size.w * alike, h: size.h * alike } : wider;
    const found = size.choices.length ? nextChoice(size, dx + dy) : offered(size, Math.max(asked.w, LEAST), asked.h);
    if (!found) {
      this.scene.say(`${sizeWords(size, size, this.scene.units)} is the last size`);
      return true;
    }
    hold.dataset.size = JSON.stringify({ ...size, w: found.w, h: found.h });
    this.scene.say(sizeWords(size, found, this.scene.units));
    this.#later("resize", { thing: hold.dataset.ref, width_m: metres(found.w), height_m: metres(found.h) });
    return true;
  }

  #turn(hold, [dx, dy], isFine) {
    const turn = turnOf(hold);
    if (!turn) return false;
    const step = isFine ? 1 : turn.step;
    turn.deg = turned(turn.deg + (dx || -dy) * step, { step }, isFine);
    hold.dataset.turn = JSON.stringify(turn);
    this.scene.say(`${turn.deg} degrees`);
    this.#later("turn", { thing: hold.dataset.ref, deg: String(turn.deg) });
    return true;
  }

  #addCorner(grip, hold) {
    this.#flush();
    this.sending.act("add-corner", { thing: hold.dataset.ref, index: grip.dataset.index });
    return true;
  }

  #deepen(hold, by) {
    hold.dataset.z = String(Number(hold.dataset.z) + by);
    this.#later("depth", { thing: hold.dataset.ref, z_m: metres(Number(hold.dataset.z)) });
  }

  #remove(grip, hold) {
    this.#flush();
    const thing = hold.dataset.ref;
    const what = grip?.matches(".grip-corner") ? "remove-corner" : "remove-point";
    if (grip?.dataset.index) this.sending.act(what, { thing, index: grip.dataset.index });
    else if (!grip) this.sending.act("remove", { thing });
  }
}

// Moves a thing or a point on the screen and in its numbers; gives the place where it is now.
function shifted(element, dx, dy) {
  const { dataset } = element;
  const y = Math.max(0, Number(dataset.y) + dy);
  element.slid ??= { x: 0, y: 0 };
  element.slid.x += dx * UNITS;
  element.slid.y -= (y - Number(dataset.y)) * UNITS;
  dataset.x = String(Number(dataset.x) + dx);
  dataset.y = String(y);
  element.setAttribute("transform", `translate(${element.slid.x} ${element.slid.y})`);
  return { x_m: metres(Number(dataset.x)), y_m: metres(y) };
}
