// Selecting: a press on a thing, in the picture or in the list of things.
export class Selecting {
  constructor(scene, sending, drawing) {
    Object.assign(this, { scene, sending, drawing, pressed: "" });
    scene.table.addEventListener("click", (event) => this.#click(event));
  }

  // Shows at once what is selected; its panel follows.
  select(ref) {
    this.#mark(ref);
    if (this.scene.thing === ref) return;
    this.scene.thing = ref;
    this.sending.show(ref ? { thing: ref } : {});
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
    const body = event.target.closest(".hold-body");
    if (listed || body) {
      event.preventDefault();
      this.select(listed ? listed.dataset.select : body.closest(".hold").dataset.ref);
    } else if (event.target.closest("#table-scene") && !event.target.closest(".grip") && !this.drawing.isOn) {
      this.select("");
    }
  }
}
