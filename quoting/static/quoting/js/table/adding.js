// Adding: a press on a tile puts the thing where it usually goes; a tile that is dragged puts it where it is let go.
import { dropClick } from "./dragging.js";
import { fieldsOf } from "./forms.js";
import { metres } from "./measures.js";

const STARTS = 8; // pixels

export class Adding {
  constructor(scene, sending, drawing) {
    Object.assign(this, { scene, sending, drawing, carried: null });
    scene.table.addEventListener("submit", (event) => this.#submit(event));
    scene.table.addEventListener("click", (event) => this.#click(event));
    document.addEventListener("pointerdown", (event) => this.#take(event));
    document.addEventListener("pointermove", (event) => this.#carry(event));
    for (const ends of ["pointerup", "pointercancel"]) document.addEventListener(ends, (event) => this.#drop(event));
  }

  #place(form, at) {
    const { act, ...fields } = fieldsOf(form);
    if (at) {
      fields.x_m = metres(at.x);
      if ("y_m" in fields) fields.y_m = metres(Math.max(at.y, 0.1));
    }
    this.sending.act(act, fields);
  }

  #submit(event) {
    if (!event.target.matches("form[data-tile]")) return;
    event.preventDefault();
    this.drawing.set(false);
    this.#place(event.target);
  }

  #click(event) {
    const link = event.target.closest("[data-add]");
    if (!link || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    this.drawing.set(link.dataset.add === "garland");
    this.scene.thing = `add-${link.dataset.add}`;
    const isByKey = !event.detail;
    this.sending.show({ add: link.dataset.add }).then(() => { if (isByKey) this.scene.focusPanel(); });
  }

  #take(event) {
    const form = event.target.closest?.("form[data-tile]");
    if (!form || !event.isPrimary || event.button > 0) return;
    this.carried = { form, x: event.clientX, y: event.clientY, isMoving: false, pointer: event.pointerId };
  }

  #carry(event) {
    const { carried, scene } = this;
    if (!carried || event.pointerId !== carried.pointer) return;
    carried.isMoving ||= Math.hypot(event.clientX - carried.x, event.clientY - carried.y) >= STARTS;
    if (!carried.isMoving) return;
    const name = carried.form.querySelector(".tile-name").textContent;
    scene.guides([], name, scene.isOver(event) ? scene.metres(event) : null);
  }

  #drop(event) {
    const was = this.carried;
    if (!was || event.pointerId !== was.pointer) return;
    this.carried = null;
    if (!was.isMoving) return;
    this.scene.guides();
    dropClick();
    if (event.type === "pointerup" && this.scene.isOver(event)) this.#place(was.form, this.scene.metres(event));
  }
}
