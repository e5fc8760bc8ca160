// Dragging in the picture: things and what they are taken hold of by. What moves is shown at once, counted after.
import { cornerTool } from "./bending.js";
import { pointTool } from "./ending.js";
import { metres } from "./measures.js";
import { carried, gripAt, picked } from "./picking.js";
import { UNITS } from "./scene.js";
import { sizeTool, turnTool } from "./sizing.js";

const STARTS = 4; // pixels that a hand moves before it drags

// A press that ended a drag is no press: the click after it is dropped.
export function dropClick() {
  const drop = (event) => {
    event.preventDefault();
    event.stopPropagation();
  };
  addEventListener("click", drop, { capture: true, once: true });
  setTimeout(() => removeEventListener("click", drop, { capture: true }), 0);
}

export class Dragging {
  constructor(scene, sending, selecting) {
    Object.assign(this, { scene, sending, selecting, held: null });
    document.addEventListener("pointerdown", (event) => this.#begin(event));
    document.addEventListener("pointermove", (event) => this.#move(event));
    for (const ends of ["pointerup", "pointercancel"]) document.addEventListener(ends, (event) => this.#end(event));
    document.addEventListener("keydown", (event) => this.#key(event));
    document.addEventListener("dragstart", (event) => {
      if (scene.table.contains(event.target)) event.preventDefault();
    });
    // A finger on something that is taken hold of doesn't scroll the page.
    document.addEventListener("touchstart", (event) => {
      if (this.#target(event.target, event.changedTouches[0])) event.preventDefault();
    }, { passive: false });
  }

  #target(target, at) {
    const { svg } = this.scene;
    if (!svg.contains(target) || svg.classList.contains("is-drawing")) return null;
    return gripAt(this.scene, at)?.grip ?? carried(this.scene, at)?.querySelector(".hold-body") ?? null;
  }

  #begin(event) {
    const target = event.button > 0 || !event.isPrimary ? null : this.#target(event.target, event);
    if (!target) return;
    event.preventDefault();
    const hold = target.closest(".hold");
    const from = this.scene.metres(event);
    const { clientX: x, clientY: y, pointerId: pointer } = event;
    // A press alone takes what lies in front, also where a drag would carry the selected thing.
    const grip = gripAt(this.scene, event, event.pointerType === "mouse")?.grip ?? null;
    const tapped = picked(this.scene, event)?.dataset.ref ?? "";
    this.held = { tool: this.#tool(target, hold), from, to: from, x, y, pointer, grip, tapped, isMoving: false };
    target.focus?.({ preventScroll: true });
    this.selecting.press(hold.dataset.ref);
  }

  #tool(target, hold) {
    if (target.matches(".grip-point")) return pointTool(this.scene, target, hold);
    if (target.matches(".grip-thick")) return thicknessTool(this.scene, target, hold);
    if (target.matches(".grip-size")) return sizeTool(this.scene, target, hold);
    if (target.matches(".grip-turn")) return turnTool(this.scene, target, hold);
    if (target.matches(".grip-corner, .grip-between")) return cornerTool(this.scene, target, hold);
    return thingTool(this.scene, hold);
  }

  #move(event) {
    const { held, scene } = this;
    if (!held || event.pointerId !== held.pointer) return;
    if (!held.isMoving) {
      if (Math.hypot(event.clientX - held.x, event.clientY - held.y) < STARTS) return;
      held.isMoving = true;
      scene.isHeld = true;
      scene.svg.classList.add("is-dragging");
      scene.svg.setPointerCapture?.(event.pointerId);
      held.tool.start();
    }
    held.to = scene.metres(event);
    held.keys = { isFree: event.altKey, isFine: event.shiftKey };
    held.frame ||= requestAnimationFrame(() => this.#show());
  }

  #show() {
    const { held } = this;
    if (!held) return;
    held.frame = 0;
    held.tool.show(held.to.x - held.from.x, held.to.y - held.from.y, held.to, held.keys);
  }

  #end(event) {
    if (!this.held || event.pointerId !== this.held.pointer) return;
    const was = this.#finish();
    // A press alone selects; a touch that ends outside the picture takes the drag back.
    if (!was.isMoving && was.grip) this.selecting.grip(was.grip);
    else if (!was.isMoving) this.selecting.select(was.tapped);
    else if (event.type === "pointercancel" || !this.scene.isOver(event)) was.tool.undo();
    else was.tool.act(this.sending, was.to.x - was.from.x, was.to.y - was.from.y, was.keys);
    this.#letGo();
  }

  #finish() {
    const was = this.held;
    if (was.frame) {
      cancelAnimationFrame(was.frame);
      this.#show();
    }
    this.held = null;
    this.scene.isHeld = false;
    this.scene.svg.classList.remove("is-dragging");
    this.scene.guides();
    if (was.isMoving) dropClick();
    return was;
  }

  #key(event) {
    if (event.key !== "Escape" || !this.held) return;
    const was = this.#finish();
    if (was.isMoving) was.tool.undo();
    this.#letGo();
  }

  #letGo() {
    this.scene.lower();
    this.sending.release();
  }
}

// A thing as a whole: it goes to lines that others give while it is near one.
function thingTool(scene, hold) {
  const { ref, kind } = hold.dataset;
  const x0 = Number(hold.dataset.x);
  const y0 = Number(hold.dataset.y);
  const upright = kind === "wall" || kind === "bouquet";
  let parts = [];
  return {
    start() {
      parts = scene.lift(scene.moving(ref)).map((part) => ({ part, was: part.getAttribute("transform") ?? "" }));
      for (const { part } of parts) part.classList.add("is-carried");
    },
    show(dx, dy, to, { isFree }) {
      const up = upright ? 0 : dy;
      const found = isFree ? { dx, dy: up, lines: [], words: "" } : snapped(scene, hold, dx, up);
      for (const { part, was } of parts) {
        part.setAttribute("transform", `translate(${found.dx * UNITS} ${-found.dy * UNITS}) ${was}`);
      }
      scene.guides(found.lines, found.words, to);
    },
    undo() { restore(parts); },
    act(sending, dx, dy, { isFree }) {
      const fields = { thing: ref, x_m: metres(x0 + dx) };
      if (!upright) fields.y_m = metres(y0 + dy);
      if (isFree) fields.exact = "on";
      sending.act("move", fields);
    },
  };
}

// Thickness: the farther from the garland's line, the thicker it is there.
function thicknessTool(scene, grip, hold) {
  const { ref } = hold.dataset;
  const { at } = grip.dataset;
  const [cx, cy, ax, ay, reach, factor] = ["cx", "cy", "ax", "ay", "reach", "factor"].map((name) =>
    Number(grip.dataset[name]));
  const squares = [...grip.querySelectorAll(".grip-square")];
  const line = grip.querySelector("path");
  const lineWas = line.getAttribute("d");
  const parts = squares.map((part) => ({ part, was: part.getAttribute("transform") }));
  let wanted = factor;
  return {
    start() { grip.classList.add("is-held"); },
    show(_dx, _dy, to) {
      const off = Math.abs((to.x * UNITS - cx) * ax + (-to.y * UNITS - cy) * ay);
      wanted = Math.min(Math.max(factor * off / reach, 0.5), 1.8);
      const now = reach * wanted / factor;
      const ends = [1, -1].map((side) => [cx + ax * now * side, cy + ay * now * side]);
      squares.forEach((square, k) => square.setAttribute("transform", `translate(${ends[k][0]} ${ends[k][1]})`));
      line.setAttribute("d", `M${ends[0].join(" ")}L${ends[1].join(" ")}`);
      scene.guides([], `${Math.round(wanted * 100)} % thick`, { x: cx / UNITS, y: -cy / UNITS });
    },
    undo() {
      restore(parts);
      line.setAttribute("d", lineWas);
      grip.classList.remove("is-held");
    },
    act(sending) { sending.act("thickness", { thing: ref, at, factor: (wanted * 100).toFixed(1) }); },
  };
}

// The nearest line on each axis, as the server will find it: floor, middle, edges and centres of others.
function snapped(scene, hold, dx, dy) {
  const lines = [];
  const names = [];
  const found = { dx, dy };
  for (const each of JSON.parse(hold.dataset.snaps || "[]")) {
    const now = each.axis === "x" ? Number(hold.dataset.x) + dx : Number(hold.dataset.y) + dy;
    const off = Math.abs(each.to - now);
    const best = lines.find((line) => line.axis === each.axis);
    if (off > 0.06 || (best && best.off <= off)) continue;
    if (best) { names.splice(lines.indexOf(best), 1); lines.splice(lines.indexOf(best), 1); }
    lines.push({ axis: each.axis, at: each.at, off });
    names.push(each.words);
    if (each.axis === "x") found.dx = each.to - Number(hold.dataset.x);
    else found.dy = each.to - Number(hold.dataset.y);
  }
  return { ...found, lines, words: names.join(", ") };
}

function restore(parts) {
  for (const { part, was } of parts) {
    if (was) part.setAttribute("transform", was);
    else part.removeAttribute("transform");
    part.classList.remove("is-carried");
  }
}
