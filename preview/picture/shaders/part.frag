#version 330 core
// The room shell: a diffuse surface under baked light, L = albedo E / pi.

in vec3 place;
in vec3 facing;
in vec4 extra;
in vec3 colour_0;
out vec4 pixel;

uniform float exposure;

const float PI = 3.14159265358979;
const float STONE = 3.0;

// Resolving multisamples in a compressed range keeps edges against bright windows smooth
// (B. Karis, "Tone mapping", 2013: weight each sample by 1 / (1 + its brightness)). The engine undoes it.
vec4 resolvable(vec3 radiance) {
    vec3 seen = max(radiance * exposure, 0.0);
    return vec4(seen / (1.0 + max(seen.r, max(seen.g, seen.b))), 1.0);
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
    if (abs(extra.a - STONE) < 0.5) {
        // A honed slab: clouds of a hand's breadth and a fine grain that fades where it is under a pixel.
        float fine = clamp(0.004 / max(length(fwidth(place)), 1e-6), 0.0, 1.0);
        albedo *= 1.0 + 0.22 * (noise(place * 9.0) - 0.5) + 0.14 * (noise(place * 31.0) - 0.5)
                + 0.10 * fine * (noise(place * 190.0) - 0.5);
    }
    pixel = resolvable(albedo * colour_0 / PI);
}
