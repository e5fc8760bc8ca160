// Reads a binary glTF file as Billowbook writes it (glTF 2.0, ISO/IEC 12113:2022): balloons are nodes with a size that
// share one mesh, florals are nodes of one mesh under a node that names them, all else is a mesh where it stands.
const HEAD = 12, CHUNK_HEAD = 8;
const ARRAYS = { 5126: Float32Array, 5121: Uint8Array, 5123: Uint16Array, 5125: Uint32Array };
const PARTS = { SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4 };
const STRAIGHT = [0, 0, 0, 1];

export function readModel(data) {
  const words = new DataView(data);
  const length = words.getUint32(HEAD, true);
  const file = JSON.parse(new TextDecoder().decode(new Uint8Array(data, HEAD + CHUNK_HEAD, length)));
  const start = HEAD + CHUNK_HEAD + length + CHUNK_HEAD;
  const meshes = file.meshes.map(({ primitives: [primitive] }) => ({
    shape: shapeOf(file, data, start, primitive),
    paint: paintOf(file, data, start, file.materials[primitive.material]),
  }));
  const balls = [], solids = [];
  for (const node of file.scenes[0].nodes.map((number) => file.nodes[number])) {
    const members = node.children?.map((number) => file.nodes[number]);
    const mesh = meshes[members ? members[0].mesh : node.mesh];
    const common = { name: node.name, notes: node.extras ?? {}, paint: mesh.paint };
    if (node.scale) {
      balls.push({ ...common, centre: node.translation, radius: node.scale[0], turn: node.rotation ?? STRAIGHT });
    } else solids.push({ ...common, shape: members ? allOf(mesh.shape, members) : mesh.shape });
  }
  return { balls, solids };
}

// One shape of all the nodes that have it.
function allOf({ places, normals, tones, triangles }, members) {
  const corners = places.length / 3;
  const all = {
    places: new Float32Array(places.length * members.length), normals: new Float32Array(places.length * members.length),
    tones: tones && new Uint8Array(tones.length * members.length), spots: null,
    triangles: new Uint32Array(triangles.length * members.length),
  };
  members.forEach(({ translation, rotation, scale: [size] }, k) => {
    const first = k * corners;
    for (let at = 0; at < places.length; at += 3) {
      const place = turned(rotation, places, at), normal = turned(rotation, normals, at);
      for (let axis = 0; axis < 3; axis += 1) {
        all.places[3 * first + at + axis] = size * place[axis] + translation[axis];
        all.normals[3 * first + at + axis] = normal[axis];
      }
    }
    all.tones?.set(tones, 4 * first);
    triangles.forEach((corner, at) => { all.triangles[k * triangles.length + at] = first + corner; });
  });
  return all;
}

function turned([x, y, z, w], values, at) {
  const [a, b, c] = values.subarray(at, at + 3);
  const p = y * c - z * b + w * a, q = z * a - x * c + w * b, r = x * b - y * a + w * c;
  return [a + 2 * (y * r - z * q), b + 2 * (z * p - x * r), c + 2 * (x * q - y * p)];
}

function shapeOf(file, data, start, { attributes: { POSITION, NORMAL, TEXCOORD_0, COLOR_0 }, indices }) {
  const array = (index) => index === undefined ? null : arrayOf(file, data, start, index);
  return {
    places: array(POSITION), normals: array(NORMAL), spots: array(TEXCOORD_0), tones: array(COLOR_0),
    triangles: array(indices),
  };
}

function arrayOf(file, data, start, index) {
  const { bufferView, componentType, count, type } = file.accessors[index];
  const { byteOffset = 0 } = file.bufferViews[bufferView];
  return new ARRAYS[componentType](data, start + byteOffset, count * PARTS[type]);
}

function paintOf(file, data, start, { pbrMetallicRoughness: pbr, emissiveFactor }) {
  const [red, green, blue, cover] = pbr.baseColorFactor ?? [1, 1, 1, 1];
  return {
    light: [red, green, blue], cover, metal: pbr.metallicFactor ?? 1, rough: pbr.roughnessFactor ?? 1,
    lit: emissiveFactor ? 1 : 0, image: pbr.baseColorTexture && imageOf(file, data, start, pbr.baseColorTexture.index),
  };
}

function imageOf(file, data, start, texture) {
  const { bufferView, mimeType } = file.images[file.textures[texture].source];
  const { byteOffset = 0, byteLength } = file.bufferViews[bufferView];
  return new Blob([new Uint8Array(data, start + byteOffset, byteLength)], { type: mimeType });
}

// The least and the greatest x, y and z of everything in a model.
export function boxOf({ balls, solids }) {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  const take = (value, k) => { low[k] = Math.min(low[k], value); high[k] = Math.max(high[k], value); };
  for (const { centre, radius } of balls) {
    centre.forEach((value, k) => { take(value - radius, k); take(value + radius, k); });
  }
  for (const { shape } of solids) shape.places.forEach((value, k) => take(value, k % 3));
  return { low, high };
}
