// What a clear coat at z = 0 mirrors of the room: rgb radiance, times a, the share of it that could be found; 4 x 4
// pixels are to be taken together (A. Keller and W. Heidrich, "Interleaved sampling", EGWR 2001).
//
// The facets that the eye sees of the coat are sampled (GGX; Walter, Marschner, Li and Torrance, "Microfacet models for
// refraction through rough surfaces", EGSR 2007; E. Heitz, "Sampling the GGX distribution of visible normals", JCGT
// 7(4), 2018). Each turned ray is followed to the wall, the piece of furniture or the ceiling that it meets, and by a
// wall by as much nearer or farther as what is found there lies, a window say. What is there was drawn before, see
// reflection_atlas.py, and is looked up in the mipmap as coarse as the sample is wide (J. Krivanek and M. Colbert, "Real-time
// shading with filtered importance sampling", EGSR 2008).

in vec3 place;
out vec4 pixel;

const int FACETS = 16;             // of each pixel; 4 x 4 neighbours have each their own. FLIP beside 64 0.005 to 0.011,
                                   // with 4 0.009 to 0.021 (tests/benchmarks/convergence.py)
const float SEEN_THROUGH = 0.6;    // metres behind a wall: what lies farther back than glass does
const float FLUSH = 0.01;          // metres that don't matter
const float SPREAD = 1.0;          // of the width for which a sample stands, that it is looked up over
const float FARTHEST = 60.0;       // metres that a ray is followed
const float CHANCES = 0.75487767;  // its multiples, less whole ones, fill 0 to 1 evenly, whatever the facets' turns

uniform vec3 cam_pos;
uniform sampler2D reflection_atlas;      // see reflection_atlas.py: radiance, and how far behind its face what is seen lies
uniform float atlas_pixel;         // metres
uniform float facet_alpha;
uniform float facet_ior;
uniform int proxy_count;         // see reflection_proxies.py
uniform vec4 proxy_start[MAX_PROXIES];  // besides, the luminance that its panes show over 1 + 2 sin g
uniform vec3 proxy_run[MAX_PROXIES];
uniform vec4 proxy_page[MAX_PROXIES];   // where it is on the sheet: corner, extent
uniform vec4 ceiling_page;
uniform vec4 ceiling_frame;        // its plan: corner, one over its extent
uniform float ceiling_height;
uniform vec3 unseen;               // the room's mean, for rays that meet nothing

// What a page of the sheet shows at a share of its extent, over a width in metres. Of the two mipmaps between which that
// lies one is looked up, by chance the nearer more often: half the work, and the mean over all samples is the same.
vec4 drawn(vec4 page, vec2 share, float wide, float chance) {
    float level = floor(clamp(log2(max(wide / atlas_pixel, 1.0)) + chance, 0.0, float(HALVINGS)));
    vec2 rim = min(0.5 * exp2(level) / vec2(textureSize(reflection_atlas, 0)), 0.5 * page.zw);
    return textureLod(reflection_atlas, clamp(page.xy + share * page.zw, page.xy + rim, page.xy + page.zw - rim), level);
}

// How far a ray goes from the floor, which upright it meets, -1 for the ceiling, and whether from within furniture.
float reach(vec3 ray, out int which, out bool within) {
    float far = min(ceiling_height / max(ray.z, 1e-6), FARTHEST);
    which = -1;
    within = false;
    for (int i = 0; i < proxy_count; i++) {
        vec3 start = proxy_start[i].xyz, run = proxy_run[i];
        vec2 to = start.xy - place.xy;
        float facing = ray.y * run.x - ray.x * run.y;          // below 0 the ray meets it from its front
        float t = (to.y * run.x - to.x * run.y) / facing, s = (to.y * ray.x - to.x * ray.y) / facing;
        if (run.z < 0.0 && t * ray.z < BASEBOARD_HEIGHT) {     // its baseboard stands out at both ends
            float foot = -run.z * inversesqrt(dot(run.xy, run.xy));
            s = (s + foot) / (1.0 + 2.0 * foot);
        }
        bool met = t > 0.0 && t < far && s > 0.0 && s < 1.0 && t * ray.z < start.z;
        if (met && (facing < 0.0 || run.z < 0.0)) {
            far = t;
            which = i;
            within = facing > 0.0;
        }
    }
    return max(far, 0.02);
}

// Whether the eye can't see this place: for furniture, or as it lies beyond a wall, and not beyond an opening.
bool hidden() {
    vec2 ray = cam_pos.xy - place.xy;
    for (int i = 0; i < proxy_count; i++) {
        vec3 start = proxy_start[i].xyz, run = proxy_run[i];
        vec2 to = start.xy - place.xy;
        float facing = ray.y * run.x - ray.x * run.y;
        float t = (to.y * run.x - to.x * run.y) / facing, s = (to.y * ray.x - to.x * ray.y) / facing;
        vec2 share = vec2(s, t * cam_pos.z / start.z);
        bool between = t > 0.0 && t < 1.0 && s > 0.0 && s < 1.0 && share.y < 1.0;
        if (!between) continue;
        if (run.z < 0.0 || facing > 0.0 && drawn(proxy_page[i], share, 0.0, 0.0).a < SEEN_THROUGH) return true;
    }
    return false;
}

// What a ray meets, as wide as a cone of so many radians, and 1; nothing for a ray that begins within furniture.
vec4 met(vec3 ray, float wide, float chance) {
    int which;
    bool within;
    float far = reach(ray, which, within);
    if (within) return vec4(0.0);
    wide *= SPREAD * far;
    bool above = which < 0;            // one lookup for either takes a tenth less
    which = max(which, 0);
    vec4 start = proxy_start[which], page = proxy_page[which];
    vec3 run = proxy_run[which];
    vec2 from = place.xy - start.xy, along = run.xy / dot(run.xy, run.xy);
    vec2 share = vec2(dot(from + far * ray.xy, along), far * ray.z / start.z);
    if (above) share = (place.xy + far * ray.xy - ceiling_frame.xy) * ceiling_frame.zw;
    vec4 found = drawn(above ? ceiling_page : page, share, wide, chance);
    if (above) return vec4(far < FARTHEST ? found.rgb : unseen, 1.0);
    if (run.z < 0.0) return vec4(found.rgb, 1.0);
    float cosine = abs(ray.x * run.y - ray.y * run.x) * inversesqrt(dot(run.xy, run.xy)), head_on = max(cosine, 0.15);
    if (start.w > 0.0) {     // trim that stands out of the wall may be met before
        float before = max(far - CASING_THICKNESS / head_on, 0.02);
        vec2 nearer = vec2(dot(from + before * ray.xy, along), before * ray.z / start.z);
        vec4 trim = drawn(page, nearer, wide, chance);
        if (trim.a < -0.7 * CASING_THICKNESS) return vec4(trim.rgb, 1.0);
    }
    if (abs(found.a) > FLUSH) {
        far = max(far + clamp(found.a, -BEFORE_WALL, run.z) / head_on, 0.02);
        share = vec2(dot(from + far * ray.xy, along), far * ray.z / start.z);
        found = drawn(page, share, wide, chance);
    }
    if (start.w > 0.0) {               // the share of it that comes through panes is as the ray sees it
        float bright = max(dot(found.rgb, LUMINANCE), 1e-6);
        float panes = min(clamp(found.a / (run.z - PAST_PANES), 0.0, 1.0) * start.w, bright);
        vec3 through = outside_known > 0.5 ? panes / start.w * glass_at(cosine) * outside_at(ray)
                                           : panes / bright * found.rgb * (1.0 + 2.0 * ray.z);
        found.rgb = (1.0 - panes / bright) * found.rgb + through;
    }
    return vec4(found.rgb, 1.0);
}

void main() {
    vec3 eye = normalize(cam_pos - place);
    if (hidden()) discard;
    float a2 = facet_alpha * facet_alpha, nv = max(eye.z, 0.01);
    float v_masked = sqrt(a2 + (1.0 - a2) * nv * nv), seen = 2.0 * nv / (nv + v_masked);
    vec3 stretched = normalize(vec3(facet_alpha * eye.xy, nv));
    vec3 across = normalize(vec3(-stretched.y, stretched.x + 1e-6, 0.0)), up = cross(stretched, across);
    vec4 total = vec4(0.0);
    ivec2 at = ivec2(gl_FragCoord.xy) & 3;
    int own = (at.x & 1) + 2 * (at.y & 1) + 2 * (at.x & 2) + 4 * (at.y & 2);
    for (int k = 0; k < FACETS; k++) {
        float number = float(16 * k + own), turn = number * GOLDEN;
        vec2 disc = sqrt((number + 0.5) / float(16 * FACETS)) * vec2(cos(turn), sin(turn));  // even over the unit disc
        float x = disc.x, lean = 0.5 * (1.0 + stretched.z);
        float y = mix(sqrt(max(1.0 - x * x, 0.0)), disc.y, lean);
        vec3 bump = x * across + y * up + sqrt(max(1.0 - x * x - y * y, 0.0)) * stretched;
        vec3 h = normalize(vec3(facet_alpha * bump.xy, max(bump.z, 1e-3)));
        float vh = dot(eye, h);
        vec3 ray = 2.0 * vh * h - eye;
        if (vh <= 0.0 || ray.z <= 0.0) {
            total.a += 1.0;
            continue;
        }
        float l_masked = sqrt(a2 + (1.0 - a2) * ray.z * ray.z);
        float masking = 2.0 * ray.z * nv / (ray.z * v_masked + nv * l_masked);
        float weight = fresnel(vh, facet_ior) * masking / seen;
        float round = h.z * h.z * (a2 - 1.0) + 1.0;
        float density = seen * a2 / (PI * round * round) / (4.0 * nv);
        float wide = sqrt(nv / (16.0 * float(FACETS) * density * PI));
        total += vec4(vec3(weight), 1.0) * met(ray, wide, fract(CHANCES * number));
    }
    pixel = total / float(FACETS);
}
