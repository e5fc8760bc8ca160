// The soft shadow on the floor under a piece, worked out once: few points, for it has no edges.
const FINE = 64, BEYOND_M = 0.6, LOW_M = 0.4, SOFT_M = 0.12;
const TONE = [40, 30, 20], DARKEST = 0.5;

// A flat mesh on the floor, and its shadow as a print of as many points either way.
export function floorShadow(model, { low, high }) {
  const left = low[0] - BEYOND_M, back = low[2] - BEYOND_M;
  const right = high[0] + BEYOND_M, front = high[2] + BEYOND_M;
  const dark = new Float32Array(FINE * FINE);
  const grid = { dark, left, back, across: (right - left) / FINE, along: (front - back) / FINE };
  model.balls.forEach((ball) => addBall(grid, ball));
  model.solids.forEach(({ shape }) => addSolid(grid, shape.places));
  const image = new Uint8ClampedArray(4 * FINE * FINE);
  dark.forEach((value, k) => image.set([...TONE, 255 * DARKEST * (1 - Math.exp(-value))], 4 * k));
  const shape = {
    places: Float32Array.of(left, 0, back, right, 0, back, right, 0, front, left, 0, front),
    normals: Float32Array.of(0, 1, 0, 0, 1, 0, 0, 1, 0, 0, 1, 0),
    spots: Float32Array.of(0, 0, 1, 0, 1, 1, 0, 1), triangles: Uint16Array.of(0, 2, 1, 0, 3, 2),
  };
  return { shape, image: new ImageData(image, FINE, FINE) };
}

function darken({ dark, left, back, across, along }, [fromX, toX], [fromZ, toZ], much) {
  const first = Math.max(0, Math.floor((fromX - left) / across)), last = Math.min(FINE, (toX - left) / across);
  const start = Math.max(0, Math.floor((fromZ - back) / along)), end = Math.min(FINE, (toZ - back) / along);
  for (let row = start; row < end; row += 1) {
    for (let k = first; k < last; k += 1) {
      dark[row * FINE + k] += much(left + (k + 0.5) * across, back + (row + 0.5) * along);
    }
  }
}

// The higher something hangs, the wider and fainter its shadow.
function addBall(grid, { centre: [x, y, z], radius }) {
  const wide = 1.2 * radius + 0.3 * Math.max(y, 0), most = 0.9 * (radius / wide) ** 2;
  darken(grid, [x - wide, x + wide], [z - wide, z + wide], (atX, atZ) => (
    most * Math.max(0, 1 - ((atX - x) ** 2 + (atZ - z) ** 2) / (wide * wide))));
}

function addSolid(grid, places) {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  places.forEach((value, k) => {
    low[k % 3] = Math.min(low[k % 3], value);
    high[k % 3] = Math.max(high[k % 3], value);
  });
  if (low[1] > LOW_M) return;
  const off = (value, from, to) => Math.max(from - value, value - to, 0);
  darken(grid, [low[0] - SOFT_M, high[0] + SOFT_M], [low[2] - SOFT_M, high[2] + SOFT_M], (x, z) => (
    0.5 * Math.max(0, 1 - Math.hypot(off(x, low[0], high[0]), off(z, low[2], high[2])) / SOFT_M)));
}
