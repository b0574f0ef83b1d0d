// What is seen through a window: an overcast sky (Moon and Spencer 1942: L ~ 1 + 2 sin g), and below it a lawn that
// goes into haze, before a far, soft line of shrubs and trees; out of focus, as one looks at the room. A photographer
// holds the windows back by a second, shorter exposure, and the eye adapts to what is outside by itself: so here the
// pane is brought down to `HELD`, half way to white, and its gradient to a little over half the stops.
// Reflections use the true radiance of the sky, see reflection_atlas.py.

in vec3 place;
centroid in vec3 colour_0;
out vec4 pixel;

uniform vec3 exposure;
uniform vec3 cam_pos;

const float HELD = 0.95;
const float GROUND = 0.5;          // metres that it lies under the floor
const float HEDGE = 16.0;          // metres to the shrubs

float hash(vec2 cell) {
    vec3 p = fract(cell.xyx * vec3(0.1031, 0.1030, 0.0973));
    p += dot(p, p.yzx + 33.33);
    return fract((p.x + p.y) * p.z);
}

float noise(vec2 p) {
    vec2 cell = floor(p), f = fract(p);
    f = f * f * f * (f * (6.0 * f - 15.0) + 10.0);
    vec2 y = mix(vec2(hash(cell), hash(cell + vec2(0, 1))), vec2(hash(cell + vec2(1, 0)), hash(cell + 1.0)), f.x);
    return mix(y.x, y.y, f.y) - 0.5;
}

// A lawn from near to far: patches of a stride and of several, finer near by, paler and flatter in the haze.
vec3 lawn(vec2 at, float away) {
    float patches = 0.55 * noise(at * 0.23) + 0.35 * noise(at * 0.71 + 7.0);
    patches += 0.3 * noise(at * 2.3 + 3.0) * exp(-0.2 * away);
    float haze = 1.0 - exp(-away / 45.0);
    vec3 grass = vec3(0.24, 0.285, 0.15) * (1.0 + 0.75 * patches) + vec3(0.05, 0.02, 0.0) * noise(at * 0.37 + 19.0);
    return mix(grass, vec3(0.50, 0.52, 0.47), haze);
}

void main() {
    vec3 ray = normalize(place - cam_pos);
    float rise = ray.z / max(length(ray.xy), 1e-3);
    float bearing = atan(ray.y, ray.x);
    vec3 sky = mix(vec3(0.95, 0.96, 0.96), vec3(1.62, 1.66, 1.72), smoothstep(0.0, 0.75, ray.z));
    float drop = cam_pos.z + GROUND, away = drop / max(-rise, 1e-3);
    vec3 ground = lawn(cam_pos.xy + normalize(ray.xy) * min(away, 60.0), min(away, 60.0));
    vec2 leaf = vec2(bearing * 16.0, rise * 16.0);
    float crown = 0.08 + 0.035 * noise(vec2(9.0 * bearing, 1.0)) + 0.03 * noise(vec2(27.0 * bearing, 5.0));
    float leaves = noise(leaf) + 0.6 * noise(2.3 * leaf + 4.0);
    crown += 0.03 * leaves;
    vec3 trees = vec3(0.235, 0.27, 0.205) * (1.0 + 0.45 * leaves + 2.2 * clamp(rise + 0.05, 0.0, 0.12));
    vec3 view = mix(trees, sky, smoothstep(crown - 0.014, crown + 0.014, rise));
    float foot = -drop / HEDGE + 0.01 * noise(vec2(23.0 * bearing, 9.0));
    view = mix(ground, view, smoothstep(foot - 0.012, foot + 0.018, rise));
    vec3 light = colour_0 * exposure;
    float brightest = max(light.r, max(light.g, light.b));
    vec3 tint = mix(vec3(1.0), mix(light / brightest, vec3(1.0), 0.5), smoothstep(-0.15, 0.15, rise));
    vec3 seen = tint * min(brightest, HELD) * 1.45 * pow(view / 1.6, vec3(0.58));
    pixel = resolvable(seen);
}
