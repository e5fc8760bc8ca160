// The quote page: a change is sent as soon as a field is left or Enter is pressed; arrow keys step a length or a share;
// Control+Z undoes where nobody is typing. What is being typed, what has the focus and what is folded open stay.
const STEPS = { feet: 0.0254, metric: 0.05 };

if (window.Idiomorph) {
  window.Idiomorph.defaults.ignoreActiveValue = true;
  window.Idiomorph.defaults.callbacks.beforeAttributeUpdated = (name, node) =>
    !(name === "open" && node instanceof HTMLDetailsElement);
}

let sent = null;

function sketchOf(target) {
  return target.closest?.("#sketch");
}

// Enter would load the page anew; the change itself has been sent already, or is sent now.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.id !== "sketch" || !window.htmx) return;
  event.preventDefault();
  if (event.submitter?.dataset.again !== undefined) window.htmx.ajax("POST", form.action, {
    source: form, target: "#quote", swap: "morph:outerHTML", values: { again: "1" },
  });
  else if (!sent || sent.done) window.htmx.trigger(form, "change");
}, true);

document.addEventListener("htmx:beforeRequest", (event) => {
  const active = document.activeElement;
  if (sketchOf(event.detail.elt)) sent = { id: active?.id, value: active?.value, done: false };
});

document.addEventListener("htmx:afterRequest", () => { if (sent) sent.done = true; });

// The field that was sent is written as the studio writes it, unless somebody went on typing in it.
document.addEventListener("htmx:afterSwap", () => {
  const active = document.activeElement;
  if (!sent || !active || active.id !== sent.id || !active.matches("#sketch input[type=text]")) return;
  if (active.value !== sent.value || active.getAttribute("aria-invalid")) return;
  active.value = active.getAttribute("value") ?? active.value;
  active.select();
});

document.addEventListener("keydown", (event) => {
  const typing = event.target.matches?.("input, textarea, select");
  if ((event.ctrlKey || event.metaKey) && event.key === "z" && !typing) {
    const undo = document.getElementById("undo");
    if (undo) { event.preventDefault(); undo.click(); }
    return;
  }
  if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
  const field = event.target;
  if (!field.matches?.("#sketch input[data-kind]")) return;
  event.preventDefault();
  step(field, event.key === "ArrowUp" ? 1 : -1);
});

// A share goes by whole per cent, a length by an inch or five centimetres.
function step(field, direction) {
  if (field.dataset.kind === "percent") {
    const number = Number.parseFloat(field.value.replace(",", "."));
    if (Number.isFinite(number)) field.value = String(Math.max(0, Math.round(number) + direction));
  } else if (field.dataset.metres) {
    const metres = Number(field.dataset.metres) + direction * STEPS[field.dataset.units];
    field.value = `${metres.toFixed(4)} m`;
    field.dataset.metres = String(metres);
  } else return;
  clearTimeout(step.timer);
  step.timer = setTimeout(() => field.dispatchEvent(new Event("change", { bubbles: true })), 250);
}
