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
