// Selecting: a press on a thing, in the picture or in the list of things.
import { picked } from "./picking.js";

export class Selecting {
  constructor(scene, sending, drawing) {
    Object.assign(this, { scene, sending, drawing, pressed: "" });
    scene.table.addEventListener("click", (event) => this.#click(event));
  }

  // Shows at once what is selected; its panel follows.
  async select(ref) {
    this.#mark(ref);
    if (this.scene.thing === ref) return;
    this.scene.thing = ref;
    await this.sending.show(ref ? { thing: ref } : {});
  }

  // A point or a thickness of a garland: its form shows what it is.
  grip(grip) {
    if (!grip.matches(".grip-point, .grip-thick, .grip-corner")) return;
    const thing = grip.closest(".hold").dataset.ref;
    const { index, at } = grip.dataset;
    this.#mark(thing);
    this.scene.thing = thing;
    this.sending.show(grip.matches(".grip-thick") ? { thing, knot: at } : { thing, point: index });
  }

  press(ref) {
    this.pressed = ref;
    this.#mark(ref);
  }

  released() { this.select(this.pressed); }

  #mark(ref) {
    for (const each of this.scene.table.querySelectorAll(".hold, .plan-hold")) {
      each.classList.toggle("is-selected", each.dataset.ref === ref);
    }
  }

  #click(event) {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    const listed = event.target.closest("[data-select]");
    if (listed) {
      event.preventDefault();
      const isByKey = !event.detail;
      this.select(listed.dataset.select).then(() => { if (isByKey) this.scene.focusPanel(); });
    } else if (event.target.closest("#table-scene") && !event.target.closest(".grip") && !this.drawing.isOn) {
      event.preventDefault();
      // Enter on a thing is a click without a place.
      const hold = event.detail ? picked(this.scene, event) : event.target.closest(".hold");
      this.select(hold?.dataset.ref ?? "");
    }
  }
}
