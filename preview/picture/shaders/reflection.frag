#version 330 core
// What a clear coat at z = 0 mirrors of the room, and how much: rgb radiance, a the share of light that it turns back.
//
// The room was drawn before, mirrored in the floor and seen by the same eye; alpha holds how far it lies behind the
// floor. The facets that the eye sees of the coat are sampled (GGX; Walter, Marschner, Li and Torrance, "Microfacet models
// for refraction through rough surfaces", EGSR 2007; E. Heitz, "Sampling the GGX distribution of visible normals",
// JCGT 7(4), 2018). Each turned ray is followed to the wall, the piece of furniture or the ceiling
// that it meets, and by a wall by as much nearer or farther as what is found there lies, a window say; what is found is
// looked up in that drawing, in the mipmap as coarse as the sample is wide or lies outside (J. Krivanek and M. Colbert, "Real-time
// shading with filtered importance sampling", EGSR 2008).

in vec3 place;
out vec4 pixel;

const int FACETS = 32;
const int MAX_UPRIGHTS = 48;
const float BEFORE_WALL = 0.2;     // metres that trim and mantels stand out of it
const float FARTHEST = 60.0;       // metres that a ray is followed
const float PI = 3.14159265358979;

uniform mat4 V;
uniform mat4 P;
uniform vec3 cam_pos;
uniform sampler2D mirrored_room;
uniform vec3 facets[FACETS];       // even over the unit disc: x, y
uniform float facet_alpha;
uniform float facet_ior;
uniform int upright_count;         // see uprights.py
uniform vec3 upright_start[MAX_UPRIGHTS];
uniform vec3 upright_run[MAX_UPRIGHTS];
uniform float ceiling_height;

vec3 seen_at(vec3 point) { return (P * V * vec4(point, 1.0)).xyw; }

// Fresnel's equations for unpolarised light and a cosine of incidence, as written by R. Cook and K. Torrance, "A
// reflectance model for computer graphics", ACM TOG 1(1), 1982. Schlick's approximation is a fifth low at 60 degrees.
float turned_back(float cosine) {
    float g = sqrt(facet_ior * facet_ior - 1.0 + cosine * cosine), less = g - cosine, more = g + cosine;
    float ratio = (cosine * more - 1.0) / (cosine * less + 1.0);
    return 0.5 * less * less / (more * more) * (1.0 + ratio * ratio);
}

vec4 looked_up(float far, vec3 turned, float wide) {
    vec3 there = seen_at(place + far * turned);
    vec2 at = there.xy / there.z, outside = max(abs(at) - 1.0, 0.0) * 0.5 * vec2(textureSize(mirrored_room, 0));
    float level = log2(max(max(1.5 * wide * far / there.z, outside.x + outside.y), 1.0));
    return textureLod(mirrored_room, 0.5 + 0.5 * at, level);
}

// How far a ray goes from the floor, and how far round that what it meets may really lie.
float reach(vec3 ray, out vec2 leeway) {
    float far = min(ceiling_height / ray.z, FARTHEST);
    leeway = vec2(0.0);
    for (int i = 0; i < upright_count; i++) {
        vec3 start = upright_start[i], run = upright_run[i];
        vec2 to = start.xy - place.xy;
        float facing = ray.y * run.x - ray.x * run.y;          // below 0 the ray meets it from its front
        float t = (to.y * run.x - to.x * run.y) / facing, s = (to.y * ray.x - to.x * ray.y) / facing;
        bool met = t > 0.0 && t < far && s > 0.0 && s < 1.0 && t * ray.z < start.z;
        if (met && (facing < 0.0 || run.z < 0.0)) {
            far = t;
            float along = length(run.xy);
            leeway = run.z < 0.0 ? vec2(-1.0, 0.0) : vec2(BEFORE_WALL, run.z) * along / max(-facing, 0.5 * along);
        }
    }
    return max(far, 0.02);
}

void main() {
    vec3 eye = normalize(cam_pos - place);
    float a2 = facet_alpha * facet_alpha, nv = max(eye.z, 0.01);
    vec2 size = vec2(textureSize(mirrored_room, 0));
    float focal = 0.5 * size.x * P[0][0];
    float v_masked = sqrt(a2 + (1.0 - a2) * nv * nv), seen = 2.0 * nv / (nv + v_masked);
    vec3 stretched = normalize(vec3(facet_alpha * eye.xy, nv));
    vec3 across = normalize(vec3(-stretched.y, stretched.x + 1e-6, 0.0)), up = cross(stretched, across);
    vec4 total = vec4(0.0);
    for (int k = 0; k < FACETS; k++) {
        float x = facets[k].x, lean = 0.5 * (1.0 + stretched.z);
        float y = mix(sqrt(max(1.0 - x * x, 0.0)), facets[k].y, lean);
        vec3 bump = x * across + y * up + sqrt(max(1.0 - x * x - y * y, 0.0)) * stretched;
        vec3 h = normalize(vec3(facet_alpha * bump.xy, max(bump.z, 1e-3)));
        float vh = dot(eye, h);
        vec3 ray = 2.0 * vh * h - eye;
        if (vh <= 0.0 || ray.z <= 0.0) continue;
        float l_masked = sqrt(a2 + (1.0 - a2) * ray.z * ray.z);
        float masking = 2.0 * ray.z * nv / (ray.z * v_masked + nv * l_masked);
        float weight = turned_back(vh) * masking / seen;
        float round = h.z * h.z * (a2 - 1.0) + 1.0;
        float density = seen * a2 / (PI * round * round) / (4.0 * nv);
        vec3 turned = vec3(ray.xy, -ray.z);
        float wide = sqrt(1.0 / (float(FACETS) * density * PI)) * focal;
        vec2 leeway;
        float far = reach(ray, leeway);
        // The face of a cabinet is smooth: a fine lookup keeps out the windows beside it.
        vec4 met = looked_up(far, turned, leeway.x < 0.0 ? 0.0 : wide);
        if (leeway.x > 0.0) {
            vec3 point = place + far * turned;
            float own = distance(point, cam_pos) * -point.z / (cam_pos.z - point.z);
            far = max(clamp(far * met.a / max(own, 1e-4), far - leeway.x, far + leeway.y), 0.02);
            met = looked_up(far, turned, wide);
        }
        total += weight * vec4(met.rgb, 1.0);
    }
    pixel = total / float(FACETS);
}
