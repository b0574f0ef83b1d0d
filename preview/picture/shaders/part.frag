// The room shell: matt paint under baked light. Its body colour is seen through a rough surface that returns F0 = 0.04
// of what comes from all round, so L = (albedo + 0.04 (1 - albedo)) E / pi. The tone mapper takes those 0.04 off again.

in vec3 place;
in vec3 facing;
in vec2 uv;                        // sheen, and 1 for stone
in vec4 extra;
centroid in vec3 colour_0;
out vec4 pixel;

const int RAYS = 14;               // FLIP beside 56 0.0000, with 4 0.0002 (tests/benchmarks/convergence.py)

uniform vec3 exposure;
uniform float stone_clouds;        // 0 where stone is to be of one colour
uniform int beam_count;            // as in floor.frag
uniform vec3 beam_corner[MAX_BEAMS];
uniform vec3 beam_side[MAX_BEAMS];
uniform vec3 beam_rise[MAX_BEAMS];
uniform vec3 beam_irradiance[MAX_BEAMS];
uniform vec3 sun_way;
uniform float sun_radius;
uniform sampler2D shadow_map;       // as the sun sees the room: metres from its plane; see shadow_map.py
uniform vec3 sun_right;
uniform vec3 sun_up;
uniform vec4 sun_window;           // lower left corner, pixels a metre, distance of the plane from the origin

// The share of the sun's disc that is seen from here: rays into it, each held against the sun's own view. `travel` is
// how far off the pane lies, and stands for what casts the shadow.
float disc_seen(vec3 n, float travel) {
    vec2 at = (vec2(dot(place, sun_right), dot(place, sun_up)) - sun_window.xy) * sun_window.z;
    vec2 steep = vec2(dot(n, sun_right), dot(n, sun_up)) / max(dot(n, sun_way), 0.1);
    float depth = sun_window.w - dot(place, sun_way), slack = 0.004 + length(steep) / sun_window.z;
    float radius = max(sun_radius * travel * sun_window.z, 0.7), seen = 0.0;
    ivec2 last = textureSize(shadow_map, 0) - 1;
    for (int k = 0; k < RAYS; k++) {
        float reach = sqrt((float(k) + 0.5) / float(RAYS)) * radius, turn = float(k) * GOLDEN;
        vec2 on = at + reach * vec2(cos(turn), sin(turn)) - 0.5, share = fract(on);
        ivec2 texel = clamp(ivec2(floor(on)), ivec2(0), last - 1);
        vec2 off = vec2(texel) + 0.5 - at;
        vec4 stored = vec4(texelFetch(shadow_map, texel, 0).r, texelFetch(shadow_map, texel + ivec2(1, 0), 0).r,
                           texelFetch(shadow_map, texel + ivec2(0, 1), 0).r, texelFetch(shadow_map, texel + 1, 0).r);
        float own = depth + dot(steep, off) / sun_window.z - slack;
        vec4 lit = step(own + vec4(0.0, steep.x, steep.y, steep.x + steep.y) / sun_window.z, stored);
        seen += mix(mix(lit.x, lit.y, share.x), mix(lit.z, lit.w, share.x), share.y);
    }
    return seen / float(RAYS);
}

// Sunshine on a surface in the room: the pane it comes through says how much, the sun's own view where.
vec3 sunshine(vec3 n) {
    float facing_sun = dot(n, sun_way);
    if (beam_count == 0 || facing_sun <= 0.0) return vec3(0.0);
    for (int i = 0; i < beam_count; i++) {
        float side = length(beam_side[i]), rise = length(beam_rise[i]);
        vec3 along = beam_side[i] / side, up = beam_rise[i] / rise, normal = cross(along, up);
        float slope = dot(sun_way, normal);
        float travel = dot(beam_corner[i] - place, normal) / (abs(slope) < 1e-4 ? 1e-4 : slope);
        vec3 hit = place + travel * sun_way - beam_corner[i];
        vec2 on = vec2(dot(hit, along), dot(hit, up));
        if (travel <= 0.0 || any(lessThan(on, vec2(-PANE_FRAME))) || any(greaterThan(on, vec2(side, rise) + PANE_FRAME))) continue;
        return facing_sun * disc_seen(n, travel) * beam_irradiance[i];
    }
    return vec3(0.0);
}

float hash(vec3 cell) {
    cell = fract(cell * vec3(0.1031, 0.1030, 0.0973));
    cell += dot(cell, cell.yzx + 33.33);
    return fract((cell.x + cell.y) * cell.z);
}

float noise(vec3 p) {
    vec3 cell = floor(p), f = fract(p);
    f = f * f * (3.0 - 2.0 * f);
    vec4 low = vec4(hash(cell), hash(cell + vec3(1, 0, 0)), hash(cell + vec3(0, 1, 0)), hash(cell + vec3(1, 1, 0)));
    cell.z += 1.0;
    vec4 high = vec4(hash(cell), hash(cell + vec3(1, 0, 0)), hash(cell + vec3(0, 1, 0)), hash(cell + vec3(1, 1, 0)));
    vec4 z = mix(low, high, f.z);
    vec2 y = mix(z.xy, z.zw, f.y);
    return mix(y.x, y.y, f.x);
}

void main() {
    vec3 albedo = extra.rgb;
    if (stone_clouds > 0.0 && uv.y > 0.5) {
        // A honed slab: clouds of a hand's breadth and a fine grain that fades where it is under a pixel.
        float fine = clamp(0.004 / max(length(fwidth(place)), 1e-6), 0.0, 1.0);
        albedo *= 1.0 + 0.22 * (noise(place * 9.0) - 0.5) + 0.14 * (noise(place * 31.0) - 0.5)
                + 0.10 * fine * (noise(place * 190.0) - 0.5);
    }
    vec3 radiance = mix(albedo, vec3(1.0), uv.x) * (colour_0 + sunshine(normalize(facing))) / PI;
    pixel = resolvable(radiance * exposure);
}
