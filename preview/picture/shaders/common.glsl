// What several shaders say alike.

const float GOLDEN = 2.39996323;   // radians, pi (3 - sqrt 5): points turned by it one after another fill a disc evenly

// Resolving multisamples in a range that is compressed above 1 keeps edges against bright windows smooth, and others
// true (after B. Karis, "Tone mapping", 2013, who weights each sample by 1 / (1 + its brightness)). The engine undoes
// it. Over 1 it rises with the logarithm, which half floats hold to 2 % up to 500.
vec4 resolvable(vec3 exposed) {
    vec3 seen = max(exposed, 0.0);
    float most = max(seen.r, max(seen.g, seen.b)), over = log(max(most, 1.0));
    return vec4(most > 1.0 ? seen * (1.0 + over / (1.0 + 0.5 * over)) / most : seen, 1.0);
}

uniform float outside_known;
uniform vec3 glass_passes[INCIDENCES];  // the share of light that panes let through, by the cosine evenly from 0 to 1

float glass_at(float cosine) {
    float at = clamp(cosine, 0.0, 1.0) * float(INCIDENCES - 1);
    int step = min(int(at), INCIDENCES - 2);
    return mix(glass_passes[step].g, glass_passes[step + 1].g, at - float(step));
}

// How much more comes through a pane that is met at this cosine than the share that is `passed` on the mean; of an
// opening, where that is 1, as much.
float through_glass(float cosine, float passed) {
    return outside_known > 0.5 && passed < 1.0 ? glass_at(cosine) / passed : 1.0;
}

// Radiance of what is outside along a ray, before the glass: by height and bearing, see Outside in lighting.py.
uniform sampler2D outside_map;

vec3 outside_at(vec3 ray) {
    vec2 share = vec2(atan(ray.y, ray.x) / (2.0 * PI) + 0.5, asin(clamp(ray.z, -1.0, 1.0)) / PI + 0.5);
    vec2 size = vec2(textureSize(outside_map, 0));
    return texture(outside_map, (share * (size - 1.0) + 0.5) / size).rgb;
}

// Fresnel's equations for unpolarised light and a cosine of incidence from air, as written by R. Cook and K. Torrance, "A
// reflectance model for computer graphics", ACM TOG 1(1), 1982. Schlick's approximation is a fifth low at 60 degrees.
float fresnel(float cosine, float ior) {
    float g = sqrt(ior * ior - 1.0 + cosine * cosine), less = g - cosine, more = g + cosine;
    float ratio = (cosine * more - 1.0) / (cosine * less + 1.0);
    return 0.5 * less * less / (more * more) * (1.0 + ratio * ratio);
}

// sRGB, IEC 61966-2-1:1999: linear light of code values.
vec3 decoded(vec3 code) {
    return mix(code / 12.92, pow((code + 0.055) / 1.055, vec3(2.4)), step(0.04045, code));
}
