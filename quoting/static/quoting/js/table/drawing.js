// Drawing a garland: a stroke over the picture, by mouse, pen or finger.
import { dropClick } from "./dragging.js";
import { UNITS } from "./scene.js";

const SVG = "http://www.w3.org/2000/svg";
const STEP = 0.02; // metres between points of a stroke
const SHORTEST = 0.25;
const MOST = 1500;

export class Drawing {
  constructor(scene, sending) {
    Object.assign(this, { scene, sending, isOn: false, redrawn: "", stroke: null });
    document.addEventListener("pointerdown", (event) => this.#begin(event), { capture: true });
    document.addEventListener("pointermove", (event) => this.#move(event));
    for (const ends of ["pointerup", "pointercancel"]) document.addEventListener(ends, (event) => this.#end(event));
    scene.table.addEventListener("click", (event) => {
      if (event.target.closest("#table-redraw")) this.set(true, scene.thing);
    });
    // The picture is drawn anew after each answer: what is being drawn goes on.
    document.addEventListener("table:put", () => {
      if (this.isOn) this.set(true, this.redrawn);
    });
  }

  // ``thing`` is the garland that is drawn again; without one a new garland comes of it.
  set(isOn, thing = "") {
    this.isOn = isOn;
    this.redrawn = thing;
    this.scene.svg.classList.toggle("is-drawing", isOn);
    this.scene.showHint(isOn ? "Draw the garland: from the floor over the frames" : "");
  }

  #begin(event) {
    const { scene } = this;
    if (!this.isOn || event.button > 0 || !event.isPrimary || !scene.svg.contains(event.target)) return;
    event.preventDefault();
    event.stopPropagation();
    scene.isHeld = true;
    scene.svg.setPointerCapture?.(event.pointerId);
    const line = document.createElementNS(SVG, "polyline");
    line.setAttribute("class", "guide-stroke");
    document.getElementById("table-guides").replaceChildren(line);
    this.stroke = { line, points: [], pointer: event.pointerId };
    this.#add(event);
  }

  #add(event) {
    const { line, points } = this.stroke;
    const all = event.getCoalescedEvents?.() ?? [];
    for (const each of all.length ? all : [event]) {
      const at = this.scene.metres(each);
      const last = points.at(-1);
      const isFar = !last || Math.hypot(at.x - last[0], at.y - last[1]) >= STEP;
      if (isFar && points.length < MOST) points.push([at.x, Math.max(at.y, 0)]);
    }
    line.setAttribute("points", points.map(([x, y]) => `${x * UNITS},${-y * UNITS}`).join(" "));
  }

  #move(event) {
    if (!this.stroke || event.pointerId !== this.stroke.pointer) return;
    event.preventDefault();
    this.#add(event);
  }

  #end(event) {
    if (!this.stroke || event.pointerId !== this.stroke.pointer) return;
    const { points } = this.stroke;
    dropClick();
    this.stroke = null;
    this.scene.isHeld = false;
    if (event.type === "pointercancel" || lengthOf(points) < SHORTEST) {
      this.scene.guides();
      this.sending.release();
      return;
    }
    const sent = JSON.stringify(points.map(([x, y]) => [Number(x.toFixed(3)), Number(y.toFixed(3))]));
    const thing = this.redrawn;
    this.set(false);
    if (thing) this.sending.act("redraw", { thing, points: sent });
    else this.sending.act("put-garland", { points: sent });
  }
}

function lengthOf(points) {
  return points.slice(1).reduce((sum, [x, y], k) => sum + Math.hypot(x - points[k][0], y - points[k][1]), 0);
}
