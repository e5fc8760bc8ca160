// A model on a canvas that is turned by a finger, a mouse or the arrow keys, and says what is tapped.
import { Painter } from "./painting.js";
import { boxOf, readModel } from "./reading.js";
import { Viewpoint, firstMet } from "./viewpoint.js";

const AT_REST = 2, COARSEST = 0.6; // points painted for each of the page, at rest and at least while it moves
const SLOW_MS = 33;
const A_TAP_PX = 8;
const PER_PX = 0.008; // radians
const KEYS = { ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, -0.1], ArrowDown: [0, 0.1] };
const NEARER = { "+": 0.87, "=": 0.87, "-": 1.15 };

export class Turning {
  // `tapped` is told the balloon or thing that is tapped, null beside all of them.
  constructor(canvas, data, { tapped }) {
    this.canvas = canvas;
    this.model = readModel(data);
    const box = boxOf(this.model);
    this.view = new Viewpoint(box, canvas.clientWidth / canvas.clientHeight);
    this.painter = new Painter(canvas, this.model, box);
    this.tapped = tapped;
    this.look = () => "shown";
    this.fineness = AT_REST;
    this.moving = Math.min(devicePixelRatio, AT_REST);
    this.fingers = new Map();
    this.frames = 0;
    new ResizeObserver(() => this.paint()).observe(canvas);
    this.listen();
    this.paint();
    this.painter.takePrints().then(() => this.paint());
  }

  // What of the model is shown, marked or absent from now on.
  show(look) {
    this.look = look;
    this.paint();
  }

  paint(fineness = this.fineness) {
    const { canvas } = this, width = Math.round(canvas.clientWidth * fineness);
    const height = Math.round(canvas.clientHeight * fineness);
    if (!width || !height) return;
    if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
    this.view.aspect = width / height;
    this.painter.paint(this.view, this.look);
    this.frames += 1;
  }

  // While it moves it may be coarser than at rest: as coarse as this device needs to keep up.
  move() {
    if (this.asked) return;
    this.asked = requestAnimationFrame((now) => {
      this.asked = 0;
      if (this.before && now - this.before < 250) this.keepUp(now - this.before);
      this.before = now;
      this.paint(this.moving);
      clearTimeout(this.resting);
      this.resting = setTimeout(() => this.paint(), 200);
    });
  }

  keepUp(took) {
    this.slow = took > SLOW_MS ? (this.slow ?? 0) + 1 : 0;
    if (this.slow > 2 && this.moving > COARSEST) {
      this.moving = Math.max(COARSEST, 0.75 * this.moving);
      this.slow = 0;
    }
  }

  turn(round, down) {
    this.view.turn(round, down);
    this.move();
  }

  approach(factor) {
    this.view.approach(factor);
    this.move();
  }

  // What is at a point of the window; what is absent is looked through.
  find(x, y) {
    const { left, top, width, height } = this.canvas.getBoundingClientRect();
    const ray = this.view.ray((2 * (x - left)) / width - 1, 1 - (2 * (y - top)) / height);
    const things = [...this.model.balls, ...this.model.solids].filter((thing) => this.look(thing) !== "absent");
    return firstMet(ray, things);
  }

  findMiddle() {
    const { left, top, width, height } = this.canvas.getBoundingClientRect();
    return this.find(left + width / 2, top + height / 2);
  }

  listen() {
    const { canvas } = this;
    canvas.addEventListener("pointerdown", (event) => this.touch(event));
    canvas.addEventListener("pointermove", (event) => this.drag(event));
    for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => this.lift(event));
    canvas.addEventListener("wheel", (event) => this.roll(event), { passive: false });
    canvas.addEventListener("keydown", (event) => this.press(event));
  }

  touch(event) {
    this.canvas.setPointerCapture(event.pointerId);
    this.fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    this.travelled = this.fingers.size > 1 ? Infinity : 0;
  }

  drag(event) {
    const finger = this.fingers.get(event.pointerId);
    if (!finger) return;
    const before = this.spread(), across = event.clientX - finger.x, down = event.clientY - finger.y;
    Object.assign(finger, { x: event.clientX, y: event.clientY });
    this.travelled += Math.abs(across) + Math.abs(down);
    if (this.fingers.size > 1) {
      const now = this.spread();
      if (before && now) this.approach(before / now);
    } else if (this.travelled > A_TAP_PX) this.turn(-across * PER_PX, -down * PER_PX);
  }

  spread() {
    const [one, two] = [...this.fingers.values()];
    return two ? Math.hypot(one.x - two.x, one.y - two.y) : 0;
  }

  lift(event) {
    const was = this.fingers.delete(event.pointerId);
    if (was && event.type === "pointerup" && this.travelled <= A_TAP_PX) {
      this.tapped(this.find(event.clientX, event.clientY));
    }
  }

  // A page that is scrolled past stays a page: the wheel comes nearer only once the model has the focus.
  roll(event) {
    if (document.activeElement !== this.canvas) return;
    event.preventDefault();
    this.approach(event.deltaY < 0 ? 0.93 : 1.07);
  }

  press(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (KEYS[event.key]) this.turn(...KEYS[event.key]);
    else if (NEARER[event.key]) this.approach(NEARER[event.key]);
    else if (event.key === "Enter") this.tapped(this.findMiddle());
    else return;
    event.preventDefault();
  }
}
