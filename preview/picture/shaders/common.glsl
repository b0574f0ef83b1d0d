// What several shaders say alike.

// Resolving multisamples in a range that is compressed above 1 keeps edges against bright windows smooth, and others
// true (after B. Karis, "Tone mapping", 2013, who weights each sample by 1 / (1 + its brightness)). The engine undoes it.
vec4 resolvable(vec3 exposed) {
    vec3 seen = max(exposed, 0.0);
    float most = max(seen.r, max(seen.g, seen.b));
    return vec4(most > 1.0 ? seen * (2.0 - 1.0 / most) / most : seen, 1.0);
}
