// The plan: a thing dragged up or down goes back or forward, to the sides it goes aside.
import { metres } from "./measures.js";
import { UNITS } from "./scene.js";

const STARTS = 4;

export class Plan {
  constructor(scene, sending, selecting) {
    Object.assign(this, { scene, sending, selecting, held: null });
    document.addEventListener("pointerdown", (event) => this.#begin(event));
    document.addEventListener("pointermove", (event) => this.#move(event));
    for (const ends of ["pointerup", "pointercancel"]) document.addEventListener(ends, (event) => this.#end(event));
    document.addEventListener("touchstart", (event) => {
      if (event.target.closest?.(".plan-hold")) event.preventDefault();
    }, { passive: false });
  }

  #begin(event) {
    const hold = event.target.closest?.(".plan-hold");
    if (!hold || event.button > 0 || !event.isPrimary) return;
    event.preventDefault();
    const { clientX: x, clientY: y, pointerId: pointer } = event;
    this.held = { hold, from: this.scene.metres(event, this.scene.plan), to: null, x, y, pointer };
    this.selecting.press(hold.dataset.ref);
  }

  #move(event) {
    const { held } = this;
    if (!held || event.pointerId !== held.pointer) return;
    if (!held.to && Math.hypot(event.clientX - held.x, event.clientY - held.y) < STARTS) return;
    this.scene.isHeld = true;
    held.to = this.scene.metres(event, this.scene.plan);
    const [dx, dz] = [held.to.x - held.from.x, held.from.y - held.to.y];
    held.hold.setAttribute("transform", `translate(${dx * UNITS} ${dz * UNITS})`);
  }

  #end(event) {
    if (!this.held || event.pointerId !== this.held.pointer) return;
    const { hold, from, to } = this.held;
    this.held = null;
    this.scene.isHeld = false;
    if (!to) this.selecting.released();
    else if (event.type === "pointercancel") hold.removeAttribute("transform");
    else this.#act(hold.dataset, to.x - from.x, from.y - to.y);
    this.sending.release();
  }

  #act({ ref, x, z }, dx, dz) {
    if (Math.abs(dz) >= Math.abs(dx) || ref.startsWith("garland:")) {
      this.sending.act("depth", { thing: ref, z_m: metres(Number(z) + dz) });
    } else this.sending.act("move", { thing: ref, x_m: metres(Number(x) + dx) });
  }
}
