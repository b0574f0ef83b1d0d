#version 330 core
// What a clear coat at z = 0 mirrors of the room, and how much: rgb radiance, a the share of light that it turns back.
//
// The room was drawn before, mirrored in the floor and seen by the same eye; alpha holds how far it lies behind the
// floor. The coat's facets are sampled (GGX; Walter, Marschner, Li and Torrance, "Microfacet models for refraction
// through rough surfaces", EGSR 2007). Each turned ray is followed as far as the mirror's own goes, then by as much
// nearer or farther as what is found there lies; what is found at last is looked up in that drawing, in the mipmap as
// coarse as the sample is wide (J. Krivanek and M. Colbert, "Real-time shading with filtered importance sampling", EGSR
// 2008). Fresnel by C. Schlick 1994.

in vec3 place;
out vec4 pixel;

const int FACETS = 32;
const int LOOKS = 2;               // a third gains nothing
const float FARTHEST = 12.0;       // metres that a ray is followed
const float PI = 3.14159265358979;

uniform mat4 V;
uniform mat4 P;
uniform vec3 cam_pos;
uniform sampler2D mirrored_room;
uniform vec3 facets[FACETS];       // even over the lobe: cosine and sine of the bearing, slope over alpha
uniform float facet_alpha;
uniform float facet_ior;

vec3 seen_at(vec3 point) { return (P * V * vec4(point, 1.0)).xyw; }

void main() {
    vec3 eye = normalize(cam_pos - place);
    float f0 = (facet_ior - 1.0) * (facet_ior - 1.0) / ((facet_ior + 1.0) * (facet_ior + 1.0));
    float a2 = facet_alpha * facet_alpha, nv = max(eye.z, 0.01);
    vec2 size = vec2(textureSize(mirrored_room, 0));
    vec3 here = seen_at(place);
    float focal = 0.5 * size.x * P[0][0];
    vec4 ahead = textureLod(mirrored_room, 0.5 + 0.5 * here.xy / here.z, log2(1.0 + 0.1 * facet_alpha * focal));
    float travel = max(ahead.a, 0.02);  // blurred, or its steps would show as edges
    float v_masked = sqrt(a2 + (1.0 - a2) * nv * nv);
    vec4 total = vec4(0.0);
    for (int k = 0; k < FACETS; k++) {
        vec3 h = normalize(vec3(facet_alpha * facets[k].z * facets[k].xy, 1.0));
        float vh = dot(eye, h);
        vec3 ray = 2.0 * vh * h - eye;
        if (vh <= 0.0 || ray.z <= 0.0) continue;
        float low = 1.0 - vh, fresnel = f0 + (1.0 - f0) * low * low * low * low * low;
        float l_masked = sqrt(a2 + (1.0 - a2) * ray.z * ray.z);
        float masking = 2.0 * ray.z * nv / (ray.z * v_masked + nv * l_masked);
        float weight = fresnel * masking * vh / (nv * h.z);
        float slope = facets[k].z * facets[k].z, spread = 1.0 + slope, h4 = h.z * h.z * h.z * h.z;
        float density = h.z / (PI * a2 * h4 * spread * spread) / (4.0 * vh);
        vec3 turned = vec3(ray.xy, -ray.z);
        float wide = sqrt(1.0 / (float(FACETS) * density * PI)) * focal;
        float far = travel;
        vec3 found = ahead.rgb;
        for (int look = 0; look < LOOKS; look++) {
            vec3 point = place + far * turned, there = seen_at(point);
            if (there.z < 0.05) break;
            float level = log2(max(1.5 * wide * far / there.z, 1.0));
            vec4 met = textureLod(mirrored_room, 0.5 + 0.5 * there.xy / there.z, level);
            found = met.rgb;
            float own = distance(point, cam_pos) * -point.z / (cam_pos.z - point.z);
            far = clamp(far * met.a / max(own, 1e-4), 0.02, FARTHEST);
        }
        total += weight * vec4(found, 1.0);
    }
    pixel = total / float(FACETS);
}
