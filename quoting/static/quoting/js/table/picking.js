// What a pointer is on in the picture: of all that is drawn there the foremost thing.
const LARGE = new Set(["frame", "wall", "garland"]); // small things are taken a little beside what is drawn of them too

const REACH = 22; // pixels about the middle of what is taken hold of
const NEAR = 13; // a mouse that presses without dragging means what it points at

// What of the selected thing a pointer takes hold of, the nearest of all; null where it is near none, or nearer to the
// middle of a small thing, which is moved by it.
export function gripAt(scene, at, isExact = false) {
  const hold = scene.svg.querySelector(".hold.is-selected");
  let best = null;
  for (const dot of hold?.querySelectorAll(".grip-dot, .grip-square-dot") ?? []) {
    const away = distance(dot, at);
    if (away <= (best?.away ?? (isExact ? NEAR : REACH))) best = { grip: dot.closest(".grip"), away };
  }
  if (!best?.grip.matches(".grip-size, .grip-turn")) return best;
  return distance(hold.querySelector(".hold-box"), at) < best.away ? null : best;
}

function distance(element, { clientX, clientY }) {
  const box = element.getBoundingClientRect();
  if (!box.width && !box.height) return Infinity; // not shown
  return Math.hypot(box.x + box.width / 2 - clientX, box.y + box.height / 2 - clientY);
}

// The hold of the thing under a pointer; null where there is none.
export function picked(scene, { clientX, clientY }) {
  const under = document.elementsFromPoint(clientX, clientY).filter((each) => scene.svg.contains(each));
  const holds = under.map((each) => each.closest(".hold-body")?.parentElement).filter(Boolean);
  const drawn = under.map((each) => each.closest(".table-piece [data-thing]")).find(Boolean);
  const front = drawn ? scene.hold(drawn.dataset.thing) : null;
  if (front && !LARGE.has(front.dataset.kind)) return front;
  const isGarland = front?.dataset.kind === "garland";
  const small = holds.find((hold) => !LARGE.has(hold.dataset.kind) && !(isGarland && !isBefore(scene, hold, drawn)));
  return small ?? front ?? holds[0] ?? null;
}

// Whether something of a thing is drawn over that: a fern is taken in its gaps too, unless balloons are before it.
function isBefore(scene, hold, drawn) {
  return scene.groups(hold.dataset.ref).some((group) =>
    drawn.compareDocumentPosition(group) & Node.DOCUMENT_POSITION_FOLLOWING);
}

// What a drag there carries: the selected thing everywhere within its dashed box, else what lies in front.
export function carried(scene, at) {
  const selected = scene.hold(scene.thing);
  const box = selected?.querySelector(".hold-box")?.getBoundingClientRect();
  const isInside = box && at.clientX >= box.left && at.clientX <= box.right && at.clientY >= box.top
    && at.clientY <= box.bottom;
  return isInside ? selected : picked(scene, at);
}

// Shows what a press would take while the pointer passes over it.
export function showNear(scene) {
  document.addEventListener("pointermove", (event) => {
    if (scene.isHeld || event.pointerType === "touch") return;
    const near = scene.svg.contains(event.target) && !event.target.closest(".grip") ? picked(scene, event) : null;
    for (const each of scene.svg.querySelectorAll(".hold.is-near")) if (each !== near) each.classList.remove("is-near");
    near?.classList.add("is-near");
  });
}
