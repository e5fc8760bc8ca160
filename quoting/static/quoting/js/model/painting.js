// Paints a model with WebGL 2: all balloons at one go, so that a phone without a quick graphics card turns hundreds.
import { BALL_CORNERS, BALL_POINTS, MESH_CORNERS, MESH_POINTS } from "./shaders.js";
import { floorShadow } from "./shadow.js";

const PLACE = 3, TURN = 4, LIGHT = 5, FINISH = 6, TONE = 7; // where the programs take them
const STANDING = [0, 0, 0, 1]; // neither moved nor turned, as large as it is
const CLOTH = 1, PICTURE = 2; // something printed takes the light as cloth does, or is seen as it is
const LOOKS = { shown: 0, marked: 1 };
const MARK = [0.45, 0.06, 0.01];
const SIDES = 8, NECK_WIDE = 0.3, NECK_FROM = -0.954, NECK_NARROW = 0.06, NECK_TO = -1.16; // in radii of a balloon

export class Painter {
  constructor(canvas, model, box) {
    const gl = canvas.getContext("webgl2", { alpha: true, antialias: false });
    if (!gl) throw new Error("This browser has no WebGL 2");
    Object.assign(this, { gl, canvas, balls: model.balls });
    gl.vertexAttrib4f(TONE, 1, 1, 1, 1); // of what has no tones of its own
    this.meshes = program(gl, MESH_CORNERS, MESH_POINTS);
    this.rounds = program(gl, BALL_CORNERS, BALL_POINTS);
    this.solids = model.solids.map((solid) => ({ ...meshIn(gl, solid.shape), solid, print: null }));
    this.many = gl.createBuffer();
    this.flat = manyIn(gl, FLAT, this.many);
    this.neck = manyIn(gl, neckShape(), this.many);
    const { shape, image } = floorShadow(model, box);
    this.floor = { ...meshIn(gl, shape), print: printIn(gl, image) };
  }

  // Prints come a moment later than everything else.
  async takePrints() {
    for (const each of this.solids) {
      if (each.solid.paint.image) each.print = printIn(this.gl, await createImageBitmap(each.solid.paint.image));
    }
  }

  // What `look(thing)` says: "shown", "marked" or "absent".
  paint(view, look) {
    const { gl } = this;
    gl.viewport(0, 0, this.canvas.width, this.canvas.height);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    const shown = this.balls.filter((ball) => look(ball) !== "absent");
    this.begin(this.meshes, view);
    this.seeThrough(() => this.paintFloor());
    for (const each of this.solids) this.paintSolid(each, look(each.solid));
    this.paintBalls(shown.filter((ball) => ball.paint.cover === 1), view, look);
    const clear = farthestFirst(shown.filter((ball) => ball.paint.cover < 1), view);
    this.seeThrough(() => this.paintBalls(clear, view, look));
    gl.bindVertexArray(null);
  }

  begin(using, view) {
    const { gl } = this;
    gl.useProgram(using.program);
    gl.uniformMatrix4fv(using.at("lens"), false, view.lens());
    gl.uniform3fv(using.at("eye"), view.eye);
    gl.uniform3fv(using.at("mark"), MARK);
  }

  seeThrough(paint) {
    const { gl } = this;
    gl.enable(gl.BLEND);
    gl.depthMask(false);
    paint();
    gl.depthMask(true);
    gl.disable(gl.BLEND);
  }

  paintFloor() {
    this.stand([0, 0, 0, 0], [0, 0, 0, 0]);
    this.drawMesh(this.floor, this.floor.print, PICTURE);
  }

  paintSolid(each, looked) {
    if (looked === "absent") return;
    const { light, metal, rough, lit } = each.solid.paint;
    this.stand([...light, 1], [metal, rough, LOOKS[looked], lit]);
    this.drawMesh(each, each.print, CLOTH);
  }

  // What is no balloon stands where its mesh says.
  stand(light, finish) {
    for (const [location, values] of [[PLACE, STANDING], [TURN, STANDING], [LIGHT, light], [FINISH, finish]]) {
      this.gl.vertexAttrib4fv(location, values);
    }
  }

  drawMesh(mesh, print, how) {
    const { gl } = this;
    gl.bindVertexArray(mesh.array);
    gl.uniform1f(this.meshes.at("printed"), print ? how : 0);
    if (print) gl.bindTexture(gl.TEXTURE_2D, print);
    gl.drawElements(gl.TRIANGLES, mesh.count, mesh.kind, 0);
  }

  paintBalls(balls, view, look) {
    if (!balls.length) return;
    const { gl } = this;
    gl.bindBuffer(gl.ARRAY_BUFFER, this.many);
    gl.bufferData(gl.ARRAY_BUFFER, ballValues(balls, look), gl.DYNAMIC_DRAW);
    for (const [using, { array, count, kind }] of [[this.meshes, this.neck], [this.rounds, this.flat]]) {
      this.begin(using, view);
      if (using === this.meshes) gl.uniform1f(using.at("printed"), 0);
      gl.bindVertexArray(array);
      gl.drawElementsInstanced(gl.TRIANGLES, count, kind, 0, balls.length);
    }
  }
}

// Clear balloons are painted so that one is seen through another.
function farthestFirst(balls, { eye }) {
  const away = ({ centre }) => Math.hypot(centre[0] - eye[0], centre[1] - eye[1], centre[2] - eye[2]);
  return balls.sort((a, b) => away(b) - away(a));
}

function ballValues(balls, look) {
  const values = new Float32Array(16 * balls.length);
  balls.forEach((ball, k) => {
    const { light, cover, metal, rough } = ball.paint;
    values.set([...ball.centre, ball.radius, ...ball.turn, ...light, cover, metal, rough, LOOKS[look(ball)], 0],
      16 * k);
  });
  return values;
}

const FLAT = {
  places: Float32Array.of(-1, -1, 0, 1, -1, 0, 1, 1, 0, -1, 1, 0), triangles: Uint16Array.of(0, 1, 2, 0, 2, 3),
};

// A cone from the ball to the knot.
function neckShape() {
  const places = [], normals = [], triangles = [];
  for (let k = 0; k < SIDES; k += 1) {
    const x = Math.cos((2 * Math.PI * k) / SIDES), z = Math.sin((2 * Math.PI * k) / SIDES);
    places.push(NECK_WIDE * x, NECK_FROM, NECK_WIDE * z, NECK_NARROW * x, NECK_TO, NECK_NARROW * z);
    normals.push(...[0, 1].flatMap(() => [0.65 * x, -0.76, 0.65 * z]));
    const here = 2 * k, next = (2 * k + 2) % (2 * SIDES);
    triangles.push(here, here + 1, next, next, here + 1, next + 1);
  }
  return {
    places: Float32Array.from(places), normals: Float32Array.from(normals), triangles: Uint16Array.from(triangles),
  };
}

function program(gl, corners, points) {
  const made = gl.createProgram(), names = new Map();
  for (const [kind, text] of [[gl.VERTEX_SHADER, corners], [gl.FRAGMENT_SHADER, points]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(made, shader);
  }
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made) || "no program");
  const at = (name) => {
    if (!names.has(name)) names.set(name, gl.getUniformLocation(made, name));
    return names.get(name);
  };
  return { program: made, at };
}

function meshIn(gl, { places, normals, spots, tones, triangles }) {
  const array = gl.createVertexArray();
  gl.bindVertexArray(array);
  [[places, 3], [normals, 3], [spots, 2]].forEach(([values, size], location) => {
    if (!values) return;
    gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
    gl.enableVertexAttribArray(location);
    gl.vertexAttribPointer(location, size, gl.FLOAT, false, 0, 0);
  });
  if (tones) {
    gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ARRAY_BUFFER, tones, gl.STATIC_DRAW);
    gl.enableVertexAttribArray(TONE);
    gl.vertexAttribPointer(TONE, 4, gl.UNSIGNED_BYTE, true, 0, 0);
  }
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, triangles, gl.STATIC_DRAW);
  const kind = triangles instanceof Uint32Array ? gl.UNSIGNED_INT : gl.UNSIGNED_SHORT;
  return { array, count: triangles.length, kind };
}

// A mesh that is painted once for every balloon.
function manyIn(gl, shape, many) {
  const mesh = meshIn(gl, shape);
  gl.bindBuffer(gl.ARRAY_BUFFER, many);
  [PLACE, TURN, LIGHT, FINISH].forEach((location, k) => {
    gl.enableVertexAttribArray(location);
    gl.vertexAttribPointer(location, 4, gl.FLOAT, false, 64, 16 * k);
    gl.vertexAttribDivisor(location, 1);
  });
  return mesh;
}

function printIn(gl, image) {
  const print = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, print);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, image);
  gl.generateMipmap(gl.TEXTURE_2D);
  for (const side of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, side, gl.CLAMP_TO_EDGE);
  return print;
}
