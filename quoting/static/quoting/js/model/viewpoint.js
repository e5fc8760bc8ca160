// Where the viewer stands: an eye that goes round the middle of a piece, looking at it. Columns first, as WebGL has it.
const FIELD = (28 * Math.PI) / 180; // how much it sees from top to bottom
const LOWEST = 0.15, HIGHEST = Math.PI / 2 - 0.02; // from straight above, as far as just over the floor
const NEAREST = 0.35, FARTHEST = 2; // in shares of the distance from which all of it is seen

const minus = (a, b) => a.map((value, k) => value - b[k]);
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const unit = (a) => { const length = Math.hypot(...a); return a.map((value) => value / length); };
const clamped = (value, low, high) => Math.min(Math.max(value, low), high);

export class Viewpoint {
  constructor({ low, high }, aspect) {
    this.middle = low.map((value, k) => (value + high[k]) / 2);
    this.size = minus(high, low);
    this.round = (12 * Math.PI) / 180;
    this.down = (84 * Math.PI) / 180;
    this.near = 1;
    this.aspect = aspect;
  }

  // From how far the whole box is seen, whichever way it is turned.
  get whole() {
    const [width, height, depth] = this.size;
    const tall = height / 2, wide = Math.hypot(width, depth) / 2;
    const flat = Math.tan(FIELD / 2);
    return 1.05 * Math.max(tall, wide / this.aspect) / flat + depth / 2;
  }

  get eye() {
    const far = this.near * this.whole, level = Math.sin(this.down);
    const way = [Math.sin(this.round) * level, Math.cos(this.down), Math.cos(this.round) * level];
    return this.middle.map((value, k) => value + far * way[k]);
  }

  turn(round, down) {
    this.round += round;
    this.down = clamped(this.down + down, LOWEST, HIGHEST);
  }

  approach(factor) { this.near = clamped(this.near * factor, NEAREST, FARTHEST); }

  axes() {
    const back = unit(minus(this.eye, this.middle));
    const right = unit(cross([0, 1, 0], back));
    return { back, right, up: cross(back, right) };
  }

  // From metres to the picture: 16 numbers.
  lens() {
    const { back, right, up } = this.axes(), { eye } = this;
    const far = this.near * this.whole, reach = Math.hypot(...this.size);
    const first = Math.max(0.05, far - reach), last = far + 2 * reach;
    const flat = 1 / Math.tan(FIELD / 2), range = 1 / (first - last);
    const rows = [
      [right, flat / this.aspect], [up, flat], [back, (first + last) * range],
    ].map(([axis, by]) => [...axis.map((value) => value * by), -dot(axis, eye) * by]);
    rows[2][3] += 2 * first * last * range;
    rows.push([...back.map((value) => -value), dot(back, eye)]);
    return Float32Array.from({ length: 16 }, (_, k) => rows[k % 4][Math.floor(k / 4)]);
  }

  // The ray from the eye through a point of the picture, -1 to 1 from left to right and from bottom to top.
  ray(across, upward) {
    const { back, right, up } = this.axes(), flat = Math.tan(FIELD / 2);
    const way = back.map((value, k) => (
      -value + across * flat * this.aspect * right[k] + upward * flat * up[k]));
    return { from: this.eye, way: unit(way) };
  }
}

// How far along a ray a ball begins; Infinity where it is missed.
export function toBall({ from, way }, { centre, radius }) {
  const off = minus(centre, from), along = dot(off, way);
  const beside = dot(off, off) - along * along;
  if (along < 0 || beside > radius * radius) return Infinity;
  return along - Math.sqrt(radius * radius - beside);
}

// How far along a ray a triangle is met, by Möller and Trumbore's rule (1997); Infinity where it is missed.
export function toTriangle({ from, way }, a, b, c) {
  const first = minus(b, a), second = minus(c, a), p = cross(way, second), size = dot(first, p);
  if (Math.abs(size) < 1e-12) return Infinity;
  const off = minus(from, a), u = dot(off, p) / size, q = cross(off, first), v = dot(way, q) / size;
  if (u < 0 || v < 0 || u + v > 1) return Infinity;
  const along = dot(second, q) / size;
  return along > 0 ? along : Infinity;
}

// What a ray meets first among what is shown, a ball or a solid; null where it goes by.
export function firstMet(ray, things) {
  let found = null, nearest = Infinity;
  for (const thing of things) {
    const away = thing.shape ? toSolid(ray, thing.shape) : toBall(ray, thing);
    if (away < nearest) [found, nearest] = [thing, away];
  }
  return found;
}

function toSolid(ray, { places, triangles }) {
  const corner = (k) => { const at = 3 * triangles[k]; return [places[at], places[at + 1], places[at + 2]]; };
  let nearest = Infinity;
  for (let k = 0; k < triangles.length; k += 3) {
    nearest = Math.min(nearest, toTriangle(ray, corner(k), corner(k + 1), corner(k + 2)));
  }
  return nearest;
}
