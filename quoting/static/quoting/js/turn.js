// A set piece that is turned: the viewer and the model are loaded only once somebody asks for them. The picture stays
// where this browser can't show a model. A tap on a balloon says which one it is.
const SAYS = {
  loading: "Loading the model…",
  shown: "Drag to turn it, pinch or scroll to come nearer. Tap a balloon to see which one it is.",
  failed: "This browser can’t show the model. The picture stays; the file can be opened in another program.",
};

function canDraw() {
  const canvas = document.createElement("canvas");
  return Boolean(canvas.getContext("webgl2"));
}

function viewerFor(figure) {
  const viewer = document.createElement("model-viewer");
  const attributes = {
    src: figure.dataset.model, alt: figure.dataset.words, "camera-controls": "", ar: "", "ar-scale": "fixed",
    "ar-modes": "webxr scene-viewer quick-look", "shadow-intensity": "0.7", "shadow-softness": "0.9",
    "camera-orbit": "12deg 84deg 105%", "touch-action": "pan-y", "interaction-prompt": "none",
    "tone-mapping": "neutral", exposure: "1.05",
  };
  for (const [name, value] of Object.entries(attributes)) viewer.setAttribute(name, value);
  return viewer;
}

function say(figure, words) {
  figure.querySelector("[data-says]").textContent = words;
}

// The nodes of a binary glTF file, from its JSON part (glTF 2.0, 4.4): a balloon is one with a size.
async function balloonsOf(address) {
  const data = await (await fetch(address)).arrayBuffer();
  const length = new DataView(data).getUint32(12, true);
  const document = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 20, length)));
  return document.nodes.filter((node) => node.scale).map((node) => (
    { name: node.name, centre: node.translation, radius: node.scale[0] }));
}

function nearest(balloons, { x, y, z }) {
  const off = ({ centre, radius }) => Math.abs(Math.hypot(x - centre[0], y - centre[1], z - centre[2]) - radius);
  return balloons.reduce((best, each) => (off(each) < off(best) ? each : best));
}

function tellTapped(figure, viewer, balloons, event) {
  const hit = viewer.positionAndNormalFromPoint(event.clientX, event.clientY);
  if (!hit || !balloons.length) return;
  const ball = nearest(balloons, hit.position);
  const { x, y, z } = hit.position;
  const off = Math.hypot(x - ball.centre[0], y - ball.centre[1], z - ball.centre[2]) - ball.radius;
  if (Math.abs(off) < 0.2 * ball.radius) say(figure, ball.name);
}

async function show(figure, button) {
  button.disabled = true;
  say(figure, SAYS.loading);
  try {
    if (!canDraw()) throw new Error("no WebGL");
    await import(figure.dataset.viewer);
    const viewer = viewerFor(figure);
    await new Promise((done, failed) => {
      viewer.addEventListener("load", done, { once: true });
      viewer.addEventListener("error", failed, { once: true });
      figure.querySelector("[data-stage]").append(viewer);
    });
    figure.dataset.shown = "";
    const balloons = await balloonsOf(figure.dataset.model);
    viewer.addEventListener("click", (event) => tellTapped(figure, viewer, balloons, event));
    button.hidden = true;
    say(figure, SAYS.shown);
    viewer.focus?.();
  } catch {
    figure.querySelector("model-viewer")?.remove();
    button.disabled = false;
    say(figure, SAYS.failed);
  }
}

function prepare(root) {
  for (const figure of root.querySelectorAll("[data-turned]:not([data-ready])")) {
    const button = figure.querySelector("[data-turn]");
    figure.dataset.ready = "";
    button.hidden = false;
    button.addEventListener("click", () => show(figure, button));
  }
}

prepare(document);
document.addEventListener("htmx:load", (event) => prepare(event.detail.elt.parentElement ?? document));
