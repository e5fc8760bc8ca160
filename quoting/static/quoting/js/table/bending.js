// A frame bent by hand: its corners, and the places between them where a hand adds one.
import { metres, written } from "./measures.js";
import { UNITS } from "./scene.js";

const SVG = "http://www.w3.org/2000/svg";

export function cornerTool(scene, grip, hold) {
  const { ref } = hold.dataset;
  const index = Number(grip.dataset.index);
  const isNew = grip.matches(".grip-between");
  const corners = [...hold.querySelectorAll(".grip-corner")].map(({ dataset }) => [
    Number(dataset.x), Number(dataset.y)]);
  const start = [Number(grip.dataset.x), Number(grip.dataset.y)];
  const line = document.createElementNS(SVG, "polyline");
  line.setAttribute("class", "guide-bend");
  let place = start;
  return {
    start() { grip.classList.add("is-held"); },
    show(dx, dy, to) {
      place = [start[0] + dx, Math.max(start[1] + dy, 0)];
      const bent = [...corners.slice(0, isNew ? index + 1 : index), place, ...corners.slice(index + 1)];
      line.setAttribute("points", bent.map(([x, y]) => `${x * UNITS},${-y * UNITS}`).join(" "));
      grip.setAttribute("transform", `translate(${dx * UNITS} ${(start[1] - place[1]) * UNITS})`);
      const words = place[1] < 0.005 ? "on the floor" : `${written(place[1], scene.units)} high`;
      scene.guides([], words, to);
      document.getElementById("table-guides").append(line);
    },
    undo() {
      grip.classList.remove("is-held");
      grip.removeAttribute("transform");
    },
    act(sending) {
      const fields = { thing: ref, index: String(index), x_m: metres(place[0]), y_m: metres(place[1]) };
      sending.act(isNew ? "add-corner" : "move-corner", fields);
    },
  };
}
