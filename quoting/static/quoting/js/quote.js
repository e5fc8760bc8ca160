// The quote page: a change is sent as soon as a field is left or Enter is pressed; arrow keys step a length or a share;
// Control+Z undoes where nobody is typing. What is being typed, what has the focus and what is folded open stay.
const STEPS = { feet: 0.0254, metric: 0.05 };

if (window.Idiomorph) {
  window.Idiomorph.defaults.callbacks.beforeAttributeUpdated = (name, node) =>
    !(name === "open" && node instanceof HTMLDetailsElement);
}

let sent = null;
let changedAt = -Infinity;

function sketchOf(target) {
  return target.closest?.("#sketch");
}

document.addEventListener("change", (event) => {
  if (sketchOf(event.target)) changedAt = event.timeStamp;
}, true);

// Enter would load the page anew. Where something was typed the browser tells of the change just before it submits, and
// that has been sent already; a second one, sent after the answer, would put the old value back.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.id !== "sketch" || !window.htmx) return;
  event.preventDefault();
  event.stopPropagation();
  if (event.submitter?.dataset.again !== undefined) window.htmx.ajax("POST", form.action, {
    source: form, target: "#quote", swap: "morph:outerHTML", values: { again: "1" },
  });
  else if (event.timeStamp - changedAt > 100) window.htmx.trigger(form, "change");
}, true);

document.addEventListener("htmx:beforeRequest", (event) => {
  const active = document.activeElement;
  if (sketchOf(event.detail.elt)) sent = { id: active?.id, value: active?.value };
});

// A change asks for those fragments only that say something else than the page does; one in which something was typed
// is asked for in any case, since the answer writes every field as the studio does.
function isTyped(field) {
  if (field.type === "checkbox") return field.checked !== field.defaultChecked;
  if (field.localName === "select") return [...field.options].some((each) => each.selected !== each.defaultSelected);
  return field.type !== "hidden" && field.value !== field.defaultValue;
}

function shownFragments(quote) {
  const kept = [...quote.querySelectorAll("[data-digest]")].filter(
    (each) => ![...each.querySelectorAll("input, select, textarea")].some(isTyped),
  );
  const digests = kept.map((each) => `${each.id}:${each.dataset.digest}`);
  return [`frame:${quote.dataset.frame}`, ...digests].join(" ");
}

document.addEventListener("htmx:configRequest", (event) => {
  const quote = document.getElementById("quote");
  if (quote?.dataset.frame) event.detail.headers["X-Fragments"] = shownFragments(quote);
});

// An answer that was overtaken by a later one says what is so no longer.
document.addEventListener("htmx:beforeSwap", (event) => {
  const quote = document.getElementById("quote");
  const version = Number(event.detail?.xhr?.getResponseHeader("X-Version"));
  if (quote && version && version < Number(quote.dataset.version)) event.detail.shouldSwap = false;
});

// Fragments that stay name the version that they came with: the next change is made to the present one.
document.addEventListener("htmx:afterRequest", (event) => {
  const quote = document.getElementById("quote");
  const version = event.detail?.xhr?.getResponseHeader("X-Version");
  if (!quote || !version || Number(version) < Number(quote.dataset.version)) return;
  quote.dataset.version = version;
  for (const field of quote.querySelectorAll("input[name=version]")) field.value = version;
});

// Other shares move no balloon: the answer brings each one's place in the palette, in the order of the picture.
function colourBalloons() {
  const said = document.getElementById("balloon-colours");
  const picture = document.querySelector(".size-picture svg");
  if (!said || !picture) return;
  const places = [...said.dataset.colours];
  const isBalloon = (each) => each.getAttribute("href").startsWith("#b");
  const balloons = [...picture.querySelectorAll("use")].filter(isBalloon);
  if (balloons.length !== places.length) return;
  for (const [number, balloon] of balloons.entries()) {
    balloon.setAttribute("href", `#b${Number.parseInt(places[number], 16)}`);
  }
  picture.setAttribute("aria-label", said.dataset.words);
}

document.addEventListener("htmx:afterRequest", colourBalloons);

// The answer writes every field as the studio does, but for the one in which somebody has gone on typing meanwhile.
let typing = null;

document.addEventListener("htmx:beforeSwap", () => {
  const active = document.activeElement;
  const isField = active?.matches("#sketch input[type=text]");
  const wentOn = isField && (!sent || active.id !== sent.id || active.value !== sent.value);
  typing = wentOn && active.value !== active.defaultValue
    ? { id: active.id, value: active.value, start: active.selectionStart, end: active.selectionEnd }
    : null;
});

document.addEventListener("htmx:afterSwap", () => {
  const field = typing && document.getElementById(typing.id);
  if (!field) return;
  field.value = typing.value;
  field.setSelectionRange(typing.start, typing.end);
});

document.addEventListener("keydown", (event) => {
  const writing = event.target.matches?.("input:not([type=checkbox]), textarea");
  if ((event.ctrlKey || event.metaKey) && event.key === "z" && !writing) {
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
    const most = Math.max(Number(field.dataset.most ?? Infinity), Math.round(number));
    if (Number.isFinite(number)) field.value = String(Math.min(Math.max(0, Math.round(number) + direction), most));
  } else if (field.dataset.metres) {
    const metres = Number(field.dataset.metres) + direction * STEPS[field.dataset.units];
    field.value = `${metres.toFixed(4)} m`;
    field.dataset.metres = String(metres);
  } else return;
  clearTimeout(step.timer);
  step.timer = setTimeout(() => field.dispatchEvent(new Event("change", { bubbles: true })), 250);
}
