// The picture as scripts see it: metres under the pointer, the groups of a thing, and what is shown while a hand moves.
import { Lifting, placed } from "./lifting.js";

export const UNITS = 200; // drawing units a metre
const SMALL = 36; // pixels: what is smaller shows one corner alone
const SVG = "http://www.w3.org/2000/svg";
const PANEL_IN_SIGHT = 0.55; // of the column's height: a panel that begins lower is out of sight
const NEAR_FRAME = 0.3; // balloons nearer to a frame's outline move along with it, in metres

export class Scene {
  #isHeld = false;

  #lifting = new Lifting(this);

  constructor(table) {
    this.table = table;
    this.thing = table.dataset.thing;
    this.gripped = { thing: this.thing }; // and which of its points and thicknesses was last taken hold of
    addEventListener("resize", () => {
      this.side.style.removeProperty("min-height");
      this.measure();
    });
  }

  get units() { return this.table.dataset.units; }

  // Something is being dragged or drawn: answers wait, and what takes longest to paint is left out of the picture.
  get isHeld() { return this.#isHeld; }

  set isHeld(isHeld) {
    this.#isHeld = isHeld;
    this.svg?.classList.toggle("is-held", isHeld);
  }

  get svg() { return document.getElementById("table-scene"); }

  get side() { return this.table.querySelector(".table-side"); }

  get panel() { return document.getElementById("table-panel"); }

  // What scrolls the panel: the panel itself where the tiles stay in sight, else the whole column.
  get #scroller() { return getComputedStyle(this.panel).overflowY === "auto" ? this.panel : this.side; }

  get plan() { return document.getElementById("table-plan"); }

  get hint() { return document.getElementById("table-hint"); }

  // Grips keep their size on the screen: --k is so many drawing units a pixel.
  measure() {
    const box = this.svg.viewBox.baseVal;
    const scale = Math.min(this.svg.clientWidth / box.width, this.svg.clientHeight / box.height) || 1;
    this.svg.closest(".table-stage").style.setProperty("--k", String(1 / scale));
    this.pixel = 1 / scale;
    for (const hold of this.svg.querySelectorAll(".hold[data-size]:not([data-size=''])")) {
      const size = JSON.parse(hold.dataset.size);
      hold.classList.toggle("is-small", Math.min(size.w, size.h) * UNITS * scale < SMALL);
    }
  }

  // Where a pointer is, in metres: x to the right, y up from the floor.
  metres(event, svg = this.svg) {
    const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return { x: place.x / UNITS, y: -place.y / UNITS };
  }

  isOver(event) {
    const box = this.svg.getBoundingClientRect();
    return event.clientX >= box.left && event.clientX <= box.right && event.clientY >= box.top
      && event.clientY <= box.bottom;
  }

  hold(ref) { return this.svg.querySelector(`.hold[data-ref="${CSS.escape(ref)}"]`); }

  // Everything that is drawn of a thing; without parts of its own, what lies within its outline.
  groups(ref) { return [...this.svg.querySelectorAll(`.table-piece [data-thing="${CSS.escape(ref)}"]`)]; }

  balloons() { return [...this.svg.querySelectorAll('.table-piece use[href^="#b"]')]; }

  // The middle of a balloon in the room, in drawing units.
  middle(ball) {
    const { e: x, f: y } = placed(ball);
    const shift = this.shift;
    return { x: x + shift.x, y: y + shift.y };
  }

  // Where the picture's own corner lies in the room, in drawing units.
  get shift() {
    const found = /translate\(([-\d.]+) ([-\d.]+)\)/.exec(
      this.svg.querySelector(".table-piece > g")?.getAttribute("transform") ?? "");
    return found ? { x: Number(found[1]), y: Number(found[2]) } : { x: 0, y: 0 };
  }

  // Balloons within a distance of a path, each with how much of a movement it takes.
  near(path, metres) {
    if (!path) return [];
    const length = path.getTotalLength();
    const steps = Array.from({ length: 60 }, (_, k) => path.getPointAtLength(length * k / 59));
    return this.balloons().filter((ball) => {
      const { x, y } = this.middle(ball);
      return steps.some((step) => Math.hypot(step.x - x, step.y - y) < metres * UNITS);
    });
  }

  // What is to be moved in place of these parts while a hand moves them; ends when they are lowered.
  lift(parts) { return this.#lifting.lift(parts); }

  lower() { this.#lifting.lower(); }

  // What moves when a thing is moved: its own drawing, what hangs on a frame, and the balloons along it.
  moving(ref) {
    const hold = this.hold(ref);
    const id = ref.split(":")[1];
    const hung = hold.dataset.kind === "frame"
      ? [...this.svg.querySelectorAll(`.hold[data-frame="${CSS.escape(id)}"]`)] : [];
    const parts = [hold, ...hung, ...this.groups(ref), ...hung.flatMap((each) => this.groups(each.dataset.ref))];
    const balls = hold.dataset.kind === "frame" ? this.near(hold.querySelector(".hold-area"), NEAR_FRAME) : [];
    return [...parts, ...balls];
  }

  guides(lines = [], words = "", at = null) {
    const group = document.getElementById("table-guides");
    group.replaceChildren();
    const box = this.svg.viewBox.baseVal;
    for (const { axis, at: metres } of lines) {
      const line = document.createElementNS(SVG, "line");
      const [x1, y1, x2, y2] = axis === "x"
        ? [metres * UNITS, box.y, metres * UNITS, box.y + box.height]
        : [box.x, -metres * UNITS, box.x + box.width, -metres * UNITS];
      for (const [name, value] of Object.entries({ x1, y1, x2, y2 })) line.setAttribute(name, value);
      line.setAttribute("class", "guide-line");
      group.append(line);
    }
    if (words && at) group.append(this.tag(words, at));
  }

  // A label at a place, as wide as its words.
  tag(words, at) {
    const group = document.createElementNS(SVG, "g");
    group.setAttribute("class", "guide-tag");
    const k = this.pixel;
    const width = (words.length * 7.6 + 16) * k;
    const box = this.svg.viewBox.baseVal;
    const x = Math.min(Math.max(at.x * UNITS - width / 2, box.x + 4), box.x + box.width - width - 4);
    const y = Math.max(-at.y * UNITS - 46 * k, box.y + 4);
    group.setAttribute("transform", `translate(${x} ${y})`);
    const back = document.createElementNS(SVG, "rect");
    back.setAttribute("width", String(width));
    back.setAttribute("height", String(24 * k));
    const text = document.createElementNS(SVG, "text");
    text.setAttribute("x", String(width / 2));
    text.setAttribute("y", String(17 * k));
    text.setAttribute("text-anchor", "middle");
    text.textContent = words;
    group.append(back, text);
    return group;
  }

  // Notes what of a thing is taken hold of; gives what of it was last.
  remember({ thing, ...taken }) {
    if (thing !== this.gripped.thing) this.gripped = { thing };
    for (const name of ["point", "knot"]) if (taken[name] !== undefined) this.gripped[name] = taken[name];
    const { point, knot } = this.gripped;
    return { ...(point !== undefined && { point }), ...(knot !== undefined && { knot }) };
  }

  say(words) {
    const said = document.getElementById("table-said");
    said.hidden = false;
    said.textContent = "";
    requestAnimationFrame(() => { said.textContent = words; });
  }

  // A panel that becomes shorter doesn't make the page shorter: what is looked at stays where it is.
  #keepHeight() { this.side.style.setProperty("min-height", `${this.side.offsetHeight}px`); }

  // Where the column scrolls in itself, a panel that is mostly out of sight is brought up in it.
  #showPanel() {
    const { side } = this;
    const top = this.panel.getBoundingClientRect().top - side.getBoundingClientRect().top;
    const isScrolled = this.#scroller === side && side.scrollHeight > side.clientHeight;
    if (isScrolled && (top < 0 || top > side.clientHeight * PANEL_IN_SIGHT)) side.scrollTop += top;
  }

  // Brings the form of what was taken hold of up from below, within the column alone.
  showForm(act) {
    const scroller = this.#scroller;
    const form = this.panel.querySelector(`form[data-act="${act}"]`);
    if (!form || scroller.scrollHeight <= scroller.clientHeight) return;
    const foot = document.querySelector(".table-foot").getBoundingClientRect().top;
    const hidden = form.getBoundingClientRect().bottom - Math.min(scroller.getBoundingClientRect().bottom, foot);
    if (hidden > 0) scroller.scrollTop += hidden;
  }

  showHint(words) {
    if (!this.hint) return;
    this.hint.hidden = !words;
    this.hint.textContent = words;
  }

  // Keys go on where they were; where that is gone, at the head of the panel.
  #focus(selector) {
    document.querySelector(selector)?.focus({ preventScroll: true });
    if (document.activeElement === document.body) this.focusPanel();
  }

  focusPanel() { document.getElementById("table-panel-head").focus({ preventScroll: true }); }

  // Puts the parts of an answer in their places; what had the focus keeps it, what is folded open stays open.
  put(answer) {
    const focus = focusOf(document.activeElement);
    const open = [...document.querySelectorAll("#table details[open]")].map((each) => each.id);
    const isInPanel = this.panel.contains(document.activeElement);
    const samePanel = this.thing === answer.thing;
    const scrolled = samePanel ? this.panel.scrollTop : 0;
    this.#keepHeight();
    for (const [name, html] of Object.entries(answer.parts)) {
      const old = document.querySelector(`[data-part-of="${name}"]`);
      const made = document.createRange().createContextualFragment(html).querySelector(`[data-part-of="${name}"]`);
      if (old && made) old.replaceWith(made);
    }
    this.thing = answer.thing;
    if (this.table.dataset.thing !== answer.thing && !isInPanel) this.#showPanel();
    this.table.dataset.version = String(answer.version);
    this.table.dataset.thing = answer.thing;
    if (samePanel) for (const id of open) document.getElementById(id)?.setAttribute("open", "");
    this.panel.scrollTop = scrolled;
    this.measure();
    if (focus) this.#focus(focus);
    document.dispatchEvent(new CustomEvent("table:put"));
  }
}

// A selector that finds the same place again in what an answer draws anew.
function focusOf(element) {
  if (!element || element === document.body) return "";
  const hold = element.closest?.(".hold");
  if (hold) {
    const inHold = `.hold[data-ref="${CSS.escape(hold.dataset.ref)}"]`;
    if (element.matches(".hold-body")) return `${inHold} .hold-body`;
    for (const kind of ["grip-point", "grip-corner", "grip-between"]) {
      if (element.matches(`.${kind}`)) return `${inHold} .${kind}[data-index="${element.dataset.index}"]`;
    }
    if (element.matches(".grip-turn")) return `${inHold} .grip-turn`;
    if (element.matches(".grip-size")) return `${inHold} .grip-size[tabindex="0"]`;
    if (element.dataset.at !== undefined) return `${inHold} .grip-thick[data-at="${element.dataset.at}"]`;
  }
  if (element.id) return `#${CSS.escape(element.id)}`;
  const tile = element.closest?.(".table-tiles > li");
  if (tile) return `.table-tiles > li:nth-child(${[...tile.parentElement.children].indexOf(tile) + 1}) .tile`;
  const form = element.closest?.("form[data-act]");
  if (form && element.matches("button")) return `${formOf(form)} button`;
  return element.dataset?.select ? `[data-select="${CSS.escape(element.dataset.select)}"]` : "#table-panel-head";
}

// A selector that finds a form of the panel again: several may be of one act.
function formOf({ dataset, elements }) {
  const key = elements.form?.value;
  const keyed = key ? `:has(input[name=form][value="${CSS.escape(key)}"])` : "";
  return `#table-panel form[data-act="${dataset.act}"]${keyed}`;
}
