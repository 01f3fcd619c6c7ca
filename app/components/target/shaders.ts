/** How a bead is inked: bone, a light from the upper left as on drawings, an outline, and the pattern of its verdict before its colour. */
import { LAID_GLSL } from "./laid.ts";
import { SEEN } from "./looks.ts";

export const BODY_VERTEX = `
uniform mat4 projectionMatrix, viewMatrix;
in vec3 position;
in vec4 face;
in vec2 place;
out vec3 seen, stands, where, facing;
out vec2 on;
flat out float look;
void main() {
  where = position;
  facing = face.xyz;
  vec4 at = viewMatrix * vec4(position, 1.0);
  seen = mat3(viewMatrix) * face.xyz;
  stands = at.xyz;
  on = place;
  look = floor(face.w * 127.0 + 0.5);
  gl_Position = projectionMatrix * at;
}`;

/** The same body a little larger, of which only what faces away is drawn: what stands out of the body itself is its outline. */
export const OUTLINE_VERTEX = `
uniform mat4 projectionMatrix, viewMatrix;
uniform vec2 outline;
in vec3 position;
in vec4 face;
void main() {
  vec2 out2 = (mat3(viewMatrix) * face.xyz).xy;
  gl_Position = projectionMatrix * viewMatrix * vec4(position, 1.0);
  gl_Position.xy += outline * out2 / max(length(out2), 0.05);
}`;
/** Lines on a body's own edges, a little nearer to the viewer than it. */
export const EDGE_VERTEX = `
uniform mat4 projectionMatrix, viewMatrix;
in vec3 position;
void main() {
  gl_Position = projectionMatrix * viewMatrix * vec4(position, 1.0);
  gl_Position.z -= 1e-5;
}`;
export const OUTLINE_FRAGMENT = `
precision highp float;
uniform vec3 sheet, edgeInk;
uniform float buried;
out vec4 inked;
void main() { inked = vec4(mix(edgeInk, sheet, buried), 1.0); }`;

/** Patterns in the order of LOOKS after "seen": hatch, dots, uprights, waves (lib/model/marks.ts). */
export const BODY_FRAGMENT = `
precision highp float;
in vec3 seen, stands, where, facing;
in vec2 on;
flat in float look;
uniform vec3 sheet, bone, boneShade, markGround, marks[4];
uniform float perMm, patterned, buried;
out vec4 inked;
${LAID_GLSL}
const vec3 LIGHT = vec3(-0.45, 0.68, 0.58);
float line(float x, float share) {
  float away = abs(fract(x) - 0.5) * 2.0, soft = 2.0 * fwidth(x);
  return 1.0 - smoothstep(share - soft, share + soft, away);
}
float pattern(int which, vec2 p) {
  if (which == 0) return line(p.x + p.y, 0.42);
  if (which == 1) {
    vec2 cell = vec2(p.x + 0.5 * mod(floor(p.y), 2.0), p.y);
    float away = length(fract(cell) - 0.5), soft = fwidth(p.x) + fwidth(p.y);
    return 1.0 - smoothstep(0.3 - soft, 0.3 + soft, away);
  }
  if (which == 2) return line(p.x, 0.45);
  return line(p.y + 0.22 * sin(6.2832 * p.x * 0.7), 0.42);
}
void main() {
  vec3 n = normalize(seen), flatly = normalize(cross(dFdx(stands), dFdy(stands)));
  if (abs(dot(n, flatly)) < 0.5) n = flatly; // the end of a strand is cut square
  float lit = smoothstep(-0.15, 0.85, dot(n, LIGHT));
  vec3 body = mix(boneShade, bone, lit);
  int which = int(look) - ${SEEN + 1};
  if (which >= 0) {
    float cover = mix(1.0, pattern(which, on * perMm), patterned);
    float shade = mix(0.78, 1.0, lit);
    body = mix(markGround * shade, marks[which] * shade, cover);
  }
  vec3 colour;
  if (buried < 0.01 && laid(where, facing, colour)) body = colour;
  inked = vec4(mix(body, sheet, buried), 1.0);
}`;

/** The picture on the ground; nothing where the camera does not see it. \`outward\`: away from the target. */
export const LAID_VERTEX = `
uniform mat4 projectionMatrix, viewMatrix;
in vec3 position;
out vec3 where;
void main() {
  where = position;
  gl_Position = projectionMatrix * viewMatrix * vec4(position, 1.0);
}`;
export const LAID_FRAGMENT = `
precision highp float;
in vec3 where;
uniform vec3 outward;
out vec4 inked;
${LAID_GLSL}
void main() {
  vec3 n = normalize(cross(dFdx(where), dFdy(where))), colour;
  if (!laid(where, dot(n, outward) < 0.0 ? -n : n, colour)) discard;
  inked = vec4(colour, 1.0);
}`;

export const PLAIN_VERTEX = `
uniform mat4 projectionMatrix, viewMatrix;
uniform vec2 aside;
in vec3 position;
in float along;
out float at;
void main() {
  at = along;
  gl_Position = projectionMatrix * viewMatrix * vec4(position, 1.0);
  gl_Position.xy += aside;
}`;

/** A line of one ink: \`at\` is its strength where \`dashMm\` is 0, else the arc length that dashes are counted by. */
export const LINE_FRAGMENT = `
precision highp float;
in float at;
uniform vec3 sheet, ink;
uniform float dashMm, buried;
out vec4 inked;
void main() {
  if (dashMm > 0.0 && fract(at / dashMm) > 0.6) discard;
  inked = vec4(mix(ink, sheet, dashMm > 0.0 ? buried : 1.0 - at * (1.0 - buried)), 1.0);
}`;
