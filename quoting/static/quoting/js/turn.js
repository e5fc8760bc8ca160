// A set piece that is turned: the model is loaded only once somebody asks for it. The picture stays where this browser
// can't show a model. A tap on a balloon says which one it is; a build sheet goes through its steps.
// Its sentences stand in the page, in the reader's language.
function say(figure, words) {
  figure.querySelector("[data-says]").textContent = words;
}

function tell(figure, thing) {
  const { says } = thing?.notes ?? {};
  say(figure, thing ? [thing.name, says].filter(Boolean).join(": ") : figure.dataset.sayNothing);
}

function stageCanvas(figure) {
  const canvas = document.createElement("canvas");
  for (const [name, value] of Object.entries({ tabindex: "0", role: "img", "aria-label": figure.dataset.words })) {
    canvas.setAttribute(name, value);
  }
  figure.querySelector("[data-stage]").append(canvas);
  return canvas;
}

async function loaded(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(`No model: ${answer.status}`);
  return answer.arrayBuffer();
}

async function show(figure, button) {
  button.disabled = true;
  say(figure, figure.dataset.sayLoading);
  try {
    const [{ Turning }, data] = await Promise.all([import("./model/turning.js"), loaded(figure.dataset.model)]);
    const turning = new Turning(stageCanvas(figure), data, { tapped: (thing) => tell(figure, thing) });
    figure.dataset.shown = "";
    button.hidden = true;
    say(figure, figure.dataset.sayShown);
    goThroughSteps(figure, turning);
    turning.canvas.focus({ preventScroll: true });
  } catch {
    figure.querySelector("[data-stage] canvas")?.remove();
    button.disabled = false;
    say(figure, figure.dataset.sayFailed);
  }
}

// Step by step: what is up already is solid, what this step puts up is ringed, everything later is absent. After the
// last step the whole piece stands.
function goThroughSteps(figure, turning) {
  const bar = figure.querySelector("[data-steps]");
  const list = bar && document.getElementById(bar.dataset.steps);
  if (!list) return;
  const steps = [...list.children], words = bar.querySelector("[data-step-words]");
  const [back, on] = [bar.querySelector("[data-step-back]"), bar.querySelector("[data-step-on]")];
  let now = 0;
  const go = (by) => {
    now = Math.min(Math.max(now + by, 0), steps.length);
    steps.forEach((step, k) => step.setAttribute("aria-current", k + 1 === now ? "step" : "false"));
    const text = now ? steps[now - 1].textContent.trim().replace(/\s+/g, " ") : "";
    words.textContent = now
      ? bar.dataset.sayStep.replace("{now}", now).replace("{count}", steps.length).replace("{step}", text)
      : bar.dataset.sayWhole;
    [back.disabled, on.disabled] = [now === 0, now === steps.length];
    turning.show(({ notes: { step = 0 } }) => lookAt(step, now));
  };
  back.addEventListener("click", () => go(-1));
  on.addEventListener("click", () => go(1));
  turning.canvas.addEventListener("keydown", ({ key }) => {
    if (key === "PageUp") go(-1);
    if (key === "PageDown") go(1);
  });
  bar.hidden = false;
  go(0);
}

export function lookAt(step, now) {
  if (!now || step < now) return "shown";
  return step === now ? "marked" : "absent";
}

// The button for the room appears where there is a viewer for it; elsewhere the page says what would have one.
async function offerRoom(figure) {
  const button = figure.querySelector("[data-room]");
  if (!button) return;
  const { canStand, stand } = await import("./model/in_room.js");
  if (!await canStand()) {
    say(figure, figure.dataset.sayNoRoom);
    return;
  }
  button.hidden = false;
  const stage = figure.querySelector("[data-stage]");
  button.addEventListener("click", () => stand(button, stage, figure.dataset.words, (words) => say(figure, words)));
}

function prepare(root) {
  for (const figure of root.querySelectorAll("[data-turned]:not([data-ready])")) {
    const button = figure.querySelector("[data-turn]");
    figure.dataset.ready = "";
    button.hidden = false;
    button.addEventListener("click", () => show(figure, button));
    offerRoom(figure);
  }
}

prepare(document);
document.addEventListener("htmx:load", (event) => prepare(event.detail.elt.parentElement ?? document));
