// Stands a model in the room, true to size, where the phone has a viewer of its own for that: by its browser (WebXR),
// by the viewer that Android brings, or by the one that reads USDZ. The browser's library for the first two is loaded
// only after the tap. Its sentences stand on the button, in the reader's language.

function readsUsdz() {
  const link = document.createElement("a");
  return Boolean(link.relList?.supports?.("ar"));
}

export async function canStand() {
  if (readsUsdz() || /android/i.test(navigator.userAgent)) return true;
  return Boolean(await navigator.xr?.isSessionSupported("immersive-ar").catch(() => false));
}

// Size stays as it is: a piece that can be made larger with two fingers says nothing of the room.
function openUsdz({ usdz }) {
  const link = document.createElement("a");
  link.rel = "ar";
  link.href = `${usdz}#allowsContentScaling=0`;
  link.append(document.createElement("img"));
  link.click();
}

async function openViewer(stage, { glb, viewer: script, sayFailed, sayCannot }, words, say) {
  await import(script);
  const viewer = document.createElement("model-viewer");
  const attributes = { src: glb, alt: words, ar: "", "ar-modes": "webxr scene-viewer", "ar-scale": "fixed" };
  for (const [name, value] of Object.entries(attributes)) viewer.setAttribute(name, value);
  viewer.addEventListener("ar-status", ({ detail: { status } }) => {
    if (status === "failed") say(sayFailed);
    if (status === "failed" || status === "not-presenting") viewer.remove();
  });
  await new Promise((done, failed) => {
    viewer.addEventListener("load", done, { once: true });
    viewer.addEventListener("error", failed, { once: true });
    stage.append(viewer);
  });
  if (!viewer.canActivateAR) {
    viewer.remove();
    say(sayCannot);
    return;
  }
  say("");
  await viewer.activateAR();
}

export async function stand(button, stage, words, say) {
  if (readsUsdz()) {
    openUsdz(button.dataset);
    return;
  }
  say(button.dataset.sayLoading);
  await openViewer(stage, button.dataset, words, say).catch(() => {
    stage.querySelector("model-viewer")?.remove();
    say(button.dataset.sayFailed);
  });
}
