// The programs of the graphics card, in GLSL ES 3.00. A balloon is a flat piece that always faces the eye; for every
// point of it the ray from the eye is met with the ball. So a balloon costs two triangles, and is round.
const PLACED = `#version 300 es
layout(location=0) in vec3 point; layout(location=1) in vec3 normal; layout(location=2) in vec2 spot;
layout(location=3) in vec4 place; layout(location=4) in vec4 turn; layout(location=5) in vec4 light;
layout(location=6) in vec4 finish; layout(location=7) in vec4 tone;
uniform mat4 lens; uniform vec3 eye;
vec3 turned(vec3 v) { return v + 2.0 * cross(turn.xyz, cross(turn.xyz, v) + turn.w * v); }
flat out vec4 colour; flat out vec4 gloss; out vec3 at;
`;

export const MESH_CORNERS = `${PLACED}
out vec3 facing; out vec2 on; out vec3 toned;
void main() {
  at = turned(point) * place.w + place.xyz;
  facing = turned(normal); on = spot; toned = tone.rgb; colour = light; gloss = finish;
  gl_Position = lens * vec4(at, 1.0);
}`;

export const BALL_CORNERS = `${PLACED}
flat out vec4 ball; flat out vec3 knot;
void main() {
  vec3 back = eye - place.xyz;
  float away = length(back);
  back /= away;
  vec3 right = normalize(cross(vec3(0.0, 1.0, 0.0), back)), up = cross(back, right);
  float reach = place.w * inversesqrt(max(1.0 - pow(place.w / away, 2.0), 0.05));
  at = place.xyz + reach * (point.x * right + point.y * up);
  ball = place; knot = turned(vec3(0.0, -1.0, 0.0)); colour = light; gloss = finish;
  gl_Position = lens * vec4(at, 1.0);
}`;

// Daylight from the upper right, the sky and the floor, a lamp that gleams; finish: metal, rough, marked, lit.
const LIT = `#version 300 es
precision highp float;
flat in vec4 colour; flat in vec4 gloss; in vec3 at;
uniform vec3 eye; uniform vec3 mark;
out vec4 seen;
vec4 lit(vec3 base, vec3 n, vec3 v, float open) {
  const vec3 key = vec3(0.406, 0.696, 0.592);
  float metal = gloss.x, rough = gloss.y, facing = max(dot(n, v), 0.0);
  float shade = mix(0.4, 1.0, open), edge = 1.0 - facing;
  vec3 sky = mix(vec3(0.38, 0.36, 0.33), vec3(0.62, 0.63, 0.64), 0.5 + 0.5 * n.y);
  vec3 bounced = base * shade * (0.7 * max(dot(n, key), 0.0) + sky);
  vec3 room = mix(vec3(0.45, 0.42, 0.38), vec3(1.0), smoothstep(-0.3, 0.9, reflect(-v, n).y)) * shade;
  float lamp = pow(max(dot(n, normalize(key + v)), 0.0), mix(220.0, 12.0, rough)) * (1.0 - 0.75 * rough);
  vec3 glint = mix(vec3(0.03), base, metal) + edge * edge * edge * edge * 0.25 * (1.0 - rough);
  vec3 c = bounced * mix(1.0, 0.25, metal) + room * glint * mix(0.5, 1.0, metal)
    + lamp * mix(vec3(0.6), base + 0.2, metal);
  c = mix(c, base * 1.4 + 0.1, gloss.w);
  if (gloss.z > 0.5) c = mix(c, mark, smoothstep(0.34, 0.46, edge));
  vec4 shown = vec4(pow(min(c, vec3(1.0)), vec3(0.4545)), colour.a);
  shown.rgb *= shown.a;
  return shown;
}
`;

export const MESH_POINTS = `${LIT}
in vec3 facing; in vec2 on; in vec3 toned;
uniform float printed; uniform sampler2D print;
void main() {
  if (printed > 1.5) { seen = texture(print, on); seen.rgb *= seen.a; return; }
  vec3 n = normalize(facing), v = normalize(eye - at), base = colour.rgb * toned;
  if (dot(n, v) < 0.0) n = -n;
  if (printed > 0.5) base *= pow(texture(print, on).rgb, vec3(2.2));
  seen = lit(base, n, v, 1.0);
}`;

export const BALL_POINTS = `${LIT}
flat in vec4 ball; flat in vec3 knot;
uniform mat4 lens;
void main() {
  vec3 way = normalize(at - eye), off = ball.xyz - eye;
  float along = dot(off, way), inside = ball.w * ball.w - dot(off, off) + along * along;
  if (inside < 0.0) discard;
  vec3 met = eye + (along - sqrt(inside)) * way, n = (met - ball.xyz) / ball.w;
  vec4 there = lens * vec4(met, 1.0);
  gl_FragDepth = 0.5 * there.z / there.w + 0.5;
  seen = lit(colour.rgb, n, -way, smoothstep(-1.1, 0.35, -dot(n, knot)));
}`;
