// The room: a piece is dragged to the left or right; on a photo, the ends of the mark, the floor line and the horizon
// are dragged. Letting go fills the form that does the same by typing, and sends it. A drag that is broken off changes
// nothing.
const SVG = "http://www.w3.org/2000/svg";
const LABEL_PX = 14;
const LINES = { floor: "Floor line", horizon: "Horizon" };

// Units of the drawing for one pixel of the screen; the drawing may be narrower than its box.
function scaleOf(svg) {
  return 1 / svg.getScreenCTM().a;
}

function follow(target, event, moved, done) {
  const from = { x: event.clientX, y: event.clientY };
  target.setPointerCapture(event.pointerId);
  const move = (next) => moved(next.clientX - from.x, next.clientY - from.y);
  const end = (last) => {
    target.removeEventListener("pointermove", move);
    target.removeEventListener("pointerup", end);
    target.removeEventListener("pointercancel", end);
    done(last.type === "pointerup", last.clientX - from.x, last.clientY - from.y);
  };
  target.addEventListener("pointermove", move);
  target.addEventListener("pointerup", end);
  target.addEventListener("pointercancel", end);
  event.preventDefault();
}

function dragPiece(piece, event) {
  const form = document.querySelector(`[data-place="${piece.dataset.piece}"]`);
  if (!form) return;
  const svg = piece.ownerSVGElement;
  follow(piece, event, (dx) => {
    piece.setAttribute("transform", `translate(${dx * scaleOf(svg)} 0)`);
  }, (kept, dx) => {
    const metres = dx * scaleOf(svg) / Number(piece.dataset.scale);
    if (!kept || Math.abs(metres) < 0.01) {
      piece.removeAttribute("transform");
      return;
    }
    form.querySelector("[name$=x_m]").value = `${(Number(piece.dataset.x) + metres).toFixed(3)} m`;
    form.requestSubmit();
  });
}

function made(name, attributes) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
}

function field(form, name) {
  return form.elements.namedItem(name);
}

function place(svg, form) {
  const { width, height } = svg.viewBox.baseVal;
  const at = (name, whole) => Number(field(form, name).value) / 100 * whole;
  const ends = [1, 2].map((k) => [at(`mark_x${k}`, width), at(`mark_y${k}`, height)]);
  svg.querySelector(".mark-line").setAttribute("d", `M${ends[0]}L${ends[1]}`);
  for (const node of svg.querySelectorAll("[data-end]")) {
    const [x, y] = ends[Number(node.dataset.end) - 1];
    node.setAttribute("transform", `translate(${x} ${y})`);
  }
  for (const node of svg.querySelectorAll("[data-level]")) {
    node.setAttribute("transform", `translate(0 ${at(node.dataset.level, height)})`);
  }
}

function drawMarks(svg, form) {
  const { width } = svg.viewBox.baseVal;
  const unit = width / 100;
  const marks = made("g", { class: "marks" });
  for (const [name, label] of Object.entries(LINES)) {
    const level = made("g", { class: "mark-level", "data-level": name });
    level.append(made("path", { d: `M0 0H${width}`, class: "mark-hit" }), made("path", { d: `M0 0H${width}` }));
    const words = made("text", { x: unit, y: -unit * 0.6, "font-size": LABEL_PX * scaleOf(svg) });
    words.textContent = label;
    level.append(words);
    marks.append(level);
  }
  marks.append(made("path", { class: "mark-line" }));
  for (const end of ["1", "2"]) {
    const node = made("g", { class: "mark-end", "data-end": end });
    node.append(made("circle", { r: unit * 3, class: "mark-hit" }), made("circle", { r: unit * 1.1 }));
    marks.append(node);
  }
  svg.append(marks);
  place(svg, form);
}

function dragMark(node, event, form) {
  const svg = node.ownerSVGElement;
  const { width, height } = svg.viewBox.baseVal;
  const { end, level } = node.dataset;
  const names = end ? [`mark_x${end}`, `mark_y${end}`] : [null, level];
  const before = names.map((name) => name && Number(field(form, name).value));
  follow(node, event, (dx, dy) => {
    [dx / width, dy / height].forEach((share, k) => {
      if (!names[k]) return;
      const value = before[k] + 100 * share * scaleOf(svg);
      field(form, names[k]).value = Math.min(100, Math.max(0, value)).toFixed(1);
    });
    place(svg, form);
  }, (kept) => {
    if (!kept) names.forEach((name, k) => name && (field(form, name).value = before[k]));
    place(svg, form);
  });
}

function setUp() {
  const svg = document.querySelector(".room-over-photo > svg");
  const form = document.querySelector("[data-marks]");
  if (!svg || !form) return;
  if (!svg.querySelector(".marks")) drawMarks(svg, form);
  svg.querySelector(".marks").toggleAttribute("hidden", !form.querySelector("[data-mark-places]").open);
}

document.addEventListener("pointerdown", (event) => {
  const mark = event.target.closest?.("[data-end], [data-level]");
  const piece = event.target.closest?.("[data-piece]");
  const form = document.querySelector("[data-marks]");
  if (mark && form) dragMark(mark, event, form);
  else if (piece) dragPiece(piece, event);
});
document.addEventListener("toggle", setUp, true);
document.addEventListener("htmx:afterSettle", setUp);
setUp();
