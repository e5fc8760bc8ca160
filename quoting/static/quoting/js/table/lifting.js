// Balloons that a hand moves are lifted: one plain disc stands in for each, in a layer above the picture, so that a
// movement paints these alone. When the hand lets go, the picture has its own balloons again, where they were moved to.
const SVG = "http://www.w3.org/2000/svg";
const BALLOON = 'use[href^="#b"]';

export class Lifting {
  #layer = null;

  #lifted = [];

  constructor(scene) { this.scene = scene; }

  // What is to be moved in place of these parts: discs for balloons; beside what has balloons in it, a group of discs.
  lift(parts) { return parts.flatMap((part) => (part.matches(BALLOON) ? this.#alone(part) : this.#within(part))); }

  lower() {
    for (const { ball, disc } of this.#lifted) {
      const moved = disc.getAttribute("transform");
      if (moved) ball.setAttribute("transform", `${moved} ${ball.getAttribute("transform")}`);
      ball.removeAttribute("visibility");
    }
    this.#lifted = [];
    this.#layer?.parentNode.remove();
    this.#layer = null;
  }

  // A balloon of a group that is lifted as a whole goes along with it.
  #alone(ball) {
    if (ball.hasAttribute("visibility")) return [];
    const disc = this.#disc(ball);
    this.#above().append(disc);
    return [disc];
  }

  #within(part) {
    const balls = [...part.querySelectorAll(BALLOON)];
    if (!balls.length) return [part];
    const group = document.createElementNS(SVG, "g");
    if (part.hasAttribute("transform")) group.setAttribute("transform", part.getAttribute("transform"));
    group.append(...balls.map((ball) => this.#disc(ball)));
    this.#above().append(group);
    return [part, group];
  }

  #disc(ball) {
    const { a: r, e: x, f: y } = placed(ball);
    const disc = document.createElementNS(SVG, "circle");
    for (const [name, value] of Object.entries({ cx: x, cy: y, r })) disc.setAttribute(name, String(value));
    disc.setAttribute("fill", `url(${ball.getAttribute("href").replace("#b", "#g")})`);
    ball.setAttribute("visibility", "hidden");
    this.#lifted.push({ ball, disc });
    return disc;
  }

  // Above the picture, below what things are taken hold of by; its corner is the picture's.
  #above() {
    if (this.#layer) return this.#layer;
    const above = document.createElementNS(SVG, "g");
    above.setAttribute("class", "table-lifted");
    this.#layer = document.createElementNS(SVG, "g");
    const { x, y } = this.scene.shift;
    this.#layer.setAttribute("transform", `translate(${x} ${y})`);
    above.append(this.#layer);
    this.scene.svg.querySelector(".table-piece").after(above);
    return this.#layer;
  }
}

// Where a balloon lies in the picture, and how large it is, also when it was moved before.
export function placed(ball) {
  const still = ball.ownerSVGElement.createSVGMatrix();
  return [...ball.transform.baseVal].reduce((all, { matrix }) => all.multiply(matrix), still);
}
