// Finished wood: diffuse wood and a fibre highlight under a clear coat.
//
//   fibres    Marschner, Westin, Arbree and Moon, "Measuring and modeling the appearance of finished wood", ACM TOG
//             24(3), 2005: k g(beta, psi_i + psi_r) / cos^2((psi_i - psi_r) / 2), psi the angle of the refracted ray to
//             the plane normal to the fibre.
//   diffuse   what the fibres leave: with a(psi) the share of light that they return,
//             (1 - a(psi_i)) (1 - a(psi_r)) / (pi (1 - mean a)), which is reciprocal and makes both together return
//             the albedo from every direction (the coupling of Kelemen and Szirmay-Kalos, "A microfacet based coupled
//             specular-matte BRDF model", Eurographics 2001).
//   coat      drawn beforehand, see reflection.frag: what it mirrors, and what it lets through.
//   wood      where the fibres point and how much they shine is the texture's, by the pixel; pores hold no coat and
//             their edges tilt where they are large enough to be seen.
//   joints    two eased edges that meet: a groove whose sides send light to and fro, and each mirror what they face;
//             thinner than a pixel, it fades by its share of it, so that it neither breaks into dashes nor shimmers.

in vec3 place;
in vec3 facing;                    // distances to up to three edges of the board, metres
in vec2 uv;
in vec4 extra;
centroid in vec3 colour_0;
out vec4 pixel;

struct Material { sampler2D base_color_texture; sampler2D normal_texture; };  // see Boards: pages, grain

const int MOST_TAPS = 6;           // FLIP beside 24 0.0000, with 2 up to 0.004 (tests/benchmarks/convergence.py)
// beta, radians: 10 degrees, with which the measured maple, padauk and walnut of Marschner et al. are drawn in
// S. McKenna's port of the authors' shader (github.com/mckennapsean/wood-shader, wood.c, read; the authors' own,
// woodreflectance.sl, says that beta was the same all over each sample). The paper's own figures were not read.
const float FIBRE_WIDTH = 0.1745;
// Besides, a board's fibres all lean out of its face by up to this angle, radians; not measured. Its standard deviation
// is a slope of grain of 1 in 16; 1 in 12 is the most in ladder stock (ANSI A14.1, quoted in Forest Prod. J. 68(4), 459).
const float FIBRE_LEAN = 0.11;
const float PORE_DEPTH = 1.2e-4;   // metres that a finished pore is deep; by eye
const float PORE_OPEN = 0.5;       // share of the coat's mirror that an open pore lacks; by eye
const float MEAN_RETURN = 2.5121;  // of the lobe with k = 1 over the hemisphere, mean by cosine, at this beta, n = 1.5
const float GROOVE = 0.70711;      // opening of a groove with sides at 45 degrees over the sides' width
const float UNEVEN = 0.006;        // radians that a board tilts at most; by eye
const float COAT_LEVEL = 2.0;      // mipmap of what a coat mirrors that the 4 x 4 pixels of reflection.frag are together
const float LEAST_SIDES = 0.03;    // of a pixel, of a groove whose sides are looked at one by one
const float FAINT = 6.0;           // lengths of alpha off a groove's mirrored ray where panes no longer count
const float AROUND = 0.2;          // of the floor's irradiance, what the room sends a groove's side from about it; by eye
const float GAP_LIGHT = 0.08;      // of a board's light that comes out of an open gap; by eye

uniform Material material;
uniform sampler2D irradiance_map;
uniform sampler2D coats;           // what they mirror, one over the other
uniform vec4 coat_page;            // where the field's, the border's and the feature strip's begin there, and how high each is
uniform sampler2D sun_distance_map;         // see sun_distance_map.py
uniform vec4 light_frame;          // plan origin of the light's map, one over its extent
uniform vec4 sun_frame;            // the same of the sun's
uniform vec4 screen;               // from this tile's pixels to the coat's map: scale, offset
uniform vec3 exposure;
uniform float density;             // of the texture, pixels a metre
uniform float fibre_share;         // of the wood's reflection that the fibres carry
uniform vec3 cam_pos;
uniform vec3 parallel_view;        // unit vector to the eye of a parallel projection, zero for a pinhole
uniform vec3 coat_alpha;           // GGX alpha of the field's, the border's and the feature strip's coat
uniform vec3 coat_ior;
uniform vec4 coat_passes[3];       // what each lets through by the cosine, over its mean: a cubic, constant first
uniform float mean_passed;
uniform float bevel;               // how far a joint's groove reaches from a board's edge as laid, metres
uniform float gap;                 // and how far what is open of it
uniform int pane_count;
uniform vec3 pane_corner[MAX_PANES];
uniform vec3 pane_side[MAX_PANES];
uniform vec3 pane_rise[MAX_PANES];
uniform vec3 pane_inward[MAX_PANES];      // unit normal
uniform vec3 pane_extent[MAX_PANES];      // length of side, of rise, area
uniform vec4 pane_above[MAX_PANES];       // radiance over 1 + 2 sin g along a ray that rises by g, what its glass passed
uniform int proxy_count;           // walls and furniture, which rays from the floor meet; see reflection_proxies.py
uniform vec4 proxy_start[MAX_PROXIES];
uniform vec3 proxy_run[MAX_PROXIES];
uniform float ceiling_height;
uniform int screen_count;          // furniture, which stands before panes; see reflection_proxies.py
uniform vec3 screen_start[MAX_SCREENS];
uniform vec3 screen_run[MAX_SCREENS];
uniform int beam_count;
uniform vec3 beam_irradiance[MAX_BEAMS];
uniform vec3 sun_way;
uniform float sun_radius;          // tangent of the angle that its disc subtends from its middle
uniform float evenness;            // a plan is lit this much by the mean
uniform vec3 mean_irradiance;

// The board's colour and the share of pores over the pixel's footprint, which is long and narrow far off: samples along
// its length, each as wide as the footprint. The same on every driver, which anisotropic filtering is not, and quicker
// in software. `longest` is how many of the texture's pixels that is.
vec4 board_colour(out float longest) {
    vec2 size = vec2(textureSize(material.base_color_texture, 0));
    vec2 dx = dFdx(uv), dy = dFdy(uv), in_x = dx * size, in_y = dy * size;
    longest = sqrt(max(dot(in_x, in_x), dot(in_y, in_y)));
    float width = abs(in_x.x * in_y.y - in_x.y * in_y.x) / max(longest, 1e-6);
    int taps = int(clamp(ceil(longest / max(width, 1.0)), 1.0, float(MOST_TAPS)));
    float level = log2(max(max(longest / float(taps), width), 1e-6));
    vec2 along = dot(in_x, in_x) > dot(in_y, in_y) ? dx : dy;
    vec4 total = vec4(0.0);
    for (int k = 0; k < taps; k++) {
        vec2 at = uv + ((float(k) + 0.5) / float(taps) - 0.5) * along;
        total += textureLod(material.base_color_texture, at, level);
    }
    total /= float(taps);
    return vec4(decoded(total.rgb), total.a);
}

// What a pane shows along a ray.
vec3 shown(int pane, vec3 ray) {
    vec4 above = pane_above[pane];
    return above.rgb * (1.0 + 2.0 * max(ray.z, 0.0)) * through_glass(-dot(ray, pane_inward[pane]), above.a);
}

// How much of a tent, as wide as a pixel to either side of its middle, lies before x pixels from there.
float tent_before(float x) {
    float at = clamp(x, -1.0, 1.0);
    return 0.5 + at - 0.5 * at * abs(at);
}

// The share of the pixel that lies within `reach` of an edge, on the far side of it and on this. Tents a pixel apart add
// up to one everywhere, so that a line finer than a pixel is as bright where it runs between two pixels as on one.
vec2 beside(float edge, float wide, float reach) {
    float middle = tent_before(-edge / wide);
    return vec2(middle - tent_before((-reach - edge) / wide), tent_before((reach - edge) / wide) - middle);
}

// The share of a coat's facets about a normal, of those that lean one way or the other, that mirror to the eye what is
// on this side of a way: GGX's slopes, summed up to that way's (the integral over the other slope leaves
// a^2 / (2 (a^2 + s^2)^1.5), whose own is closed).
float facets_up_to(vec3 way, float side, vec3 normal, vec3 eye, float alpha) {
    vec3 h = normalize(normalize(way) + eye);
    float up = max(dot(h, normal), 1e-3), slope = side * sqrt(max(1.0 - up * up, 0.0)) / up;
    return 0.5 + 0.5 * slope * inversesqrt(alpha * alpha + slope * slope);
}

// Whether furniture stands in the way of a ray within so far.
bool screened(vec3 ray, float far) {
    for (int i = 0; i < screen_count; i++) {
        vec2 run = screen_run[i].xy, to = screen_start[i].xy - place.xy;
        float facing = ray.y * run.x - ray.x * run.y;
        float t = (to.y * run.x - to.x * run.y) / facing, s = (to.y * ray.x - to.x * ray.y) / facing;
        if (t > 0.0 && t < far && s > 0.0 && s < 1.0 && t * ray.z < screen_start[i].z) return true;
    }
    return false;
}

// The share of an upright pane that is seen past furniture, from its first corner and its sides relative to here: less
// the shadow of each face that looks this way, a box on the pane's plane.
float unscreened(vec3 corner, vec3 side, float rise, vec2 inward) {
    float far = -dot(corner.xy, inward), length_ = dot(side.xy, side.xy), seen = 1.0;
    for (int i = 0; i < screen_count; i++) {
        vec2 start = screen_start[i].xy - place.xy, end = start + screen_run[i].xy;
        vec2 away = vec2(-dot(start, inward), -dot(end, inward));
        if (start.x * end.y - start.y * end.x <= 0.0 || max(away.x, away.y) < 0.02 || min(away.x, away.y) > far) continue;
        vec2 ahead = max(away, 0.02), on = vec2(dot(start * far / ahead.x - corner.xy, side.xy),
                                                dot(end * far / ahead.y - corner.xy, side.xy)) / length_;
        vec2 wide = clamp(vec2(min(on.x, on.y), max(on.x, on.y)), 0.0, 1.0);
        float high = clamp((screen_start[i].z * 2.0 * far / (ahead.x + ahead.y) - corner.z) / rise, 0.0, 1.0);
        seen -= (wide.y - wide.x) * high;
    }
    return max(seen, 0.0);
}

// What one side of a groove mirrors: the room's mean light, and the panes that it sees.
vec3 mirrored_by(vec3 normal, vec3 eye, vec3 around, float alpha, float ior) {
    float cosine = dot(normal, eye);
    vec3 ray = 2.0 * cosine * normal - eye, met = around;
    for (int i = 0; i < pane_count; i++) {
        float head_on = -dot(ray, pane_inward[i]);
        vec3 to = pane_corner[i] - place;
        float far = -dot(to, pane_inward[i]) / max(head_on, 1e-4);
        if (head_on <= 0.02 || far <= 0.0) continue;
        vec2 size = pane_extent[i].xy;
        vec3 along = pane_side[i] / size.x, up = pane_rise[i] / size.y, from = far * ray - to;
        vec2 at = vec2(dot(from, along), dot(from, up)), inside = clamp(at, vec2(0.0), size), off = at - inside;
        if (dot(off, off) > FAINT * FAINT * alpha * alpha * far * far) continue;
        vec3 level = to + inside.y * up, upright = to + inside.x * along;
        vec2 low_side = sign(at), high_side = sign(size - at);
        float share = facets_up_to(level, low_side.x, normal, eye, alpha)
                    + facets_up_to(level + pane_side[i], high_side.x, normal, eye, alpha) - 1.0;
        share *= facets_up_to(upright, low_side.y, normal, eye, alpha)
               + facets_up_to(upright + pane_rise[i], high_side.y, normal, eye, alpha) - 1.0;
        if (share > 0.0 && !screened(ray, far)) met += share * shown(i, ray);
    }
    return fresnel(max(cosine, 0.0), ior) * met;
}

// A board's light at its joints. A groove's matt sides send some of it to and fro between them (closed form for a
// cavity), and each mirrors another part of the room; out of an open gap little comes.
vec3 at_joints(vec3 edges, vec3 albedo, vec3 wood, vec3 coat, vec3 around, vec3 eye, float alpha, float ior,
               bool plan) {
    vec3 far = abs(edges);
    int nearest = far.x < far.y && far.x < far.z ? 0 : far.y < far.z ? 1 : 2;
    vec3 across = dFdx(edges), down = dFdy(edges);
    vec2 rising = vec2(across[nearest], down[nearest]);
    float edge = edges[nearest], wide = max(max(abs(rising.x), abs(rising.y)), 1e-6);
    vec2 open = beside(edge, wide, gap), groove = beside(edge, wide, bevel) - open;
    float dark = open.x + open.y, sides = groove.x + groove.y, level = 1.0 - sides - dark;
    vec3 kept = GROOVE / (1.0 - (1.0 - GROOVE) * albedo), mirrored = sides * fresnel(1.0, ior) * around;
    mat2 pixel_of_plan = inverse(mat2(dFdx(place.xy), dFdy(place.xy)));
    if (sides > LEAST_SIDES && !plan) {
        mirrored = vec3(0.0);
        rising = normalize(rising * pixel_of_plan);
        vec3 near_side = normalize(vec3(-rising, 1.0)), far_side = normalize(vec3(rising, 1.0));
        vec2 seen = groove * max(vec2(dot(far_side, eye), dot(near_side, eye)), 0.0);
        seen *= sides / max(seen.x + seen.y, 1e-6);
        if (seen.x > 0.0) mirrored += seen.x * mirrored_by(far_side, eye, around, alpha, ior);
        if (seen.y > 0.0) mirrored += seen.y * mirrored_by(near_side, eye, around, alpha, ior);
    }
    return (level + sides * kept + dark * GAP_LIGHT) * wood + level * coat + mirrored;
}

// The angle inside the coat to the plane normal to the fibre; the series of asin, within 0.002 up to 1 / 1.4.
float fibre_angle(float sine, float ior) {
    float x = clamp(sine / ior, -1.0, 1.0), square = x * x;
    return x * (1.0 + square * (0.16667 + square * (0.075 + square * 0.09)));
}

// The lobe towards light that stretches over `wide`, the variance of its angle psi: a Gaussian over a Gaussian.
float fibre_lobe(float psi_i, float psi_r, float wide) {
    float variance = FIBRE_WIDTH * FIBRE_WIDTH + wide;
    float off = psi_i + psi_r, apart = psi_i - psi_r, square = apart * apart;
    return exp(-0.5 * off * off / variance) * inversesqrt(2.0 * PI * variance) / (1.0 - square * (0.25 - square / 48.0));
}

// The share of light along a ray that the lobe returns, by the sine of its angle in air: a fit within 1.4 % of the
// lobe's integral at this beta and n = 1.5.
float fibre_return(float sine, float share) {
    float square = sine * sine;
    return share / MEAN_RETURN * (2.8688 - square * (0.7745 + square * (1.6038 - 0.4814 * square)));
}

float wood_lobe(float sine_i, float sine_r, float psi_r, float wide, float ior, float share) {
    float rest = (1.0 - fibre_return(sine_i, share)) * (1.0 - fibre_return(sine_r, share)) / (PI * (1.0 - share));
    return share / MEAN_RETURN * fibre_lobe(fibre_angle(sine_i, ior), psi_r, wide) + rest;
}

// Irradiance of the floor by the sun: the share of its disc that is seen past a straight edge, the nearest one.
vec3 sunshine() {
    vec2 at = (place.xy - sun_frame.xy) * sun_frame.zw;
    if (beam_count == 0 || any(lessThan(at, vec2(0.0))) || any(greaterThan(at, vec2(1.0)))) return vec3(0.0);
    vec3 found = texture(sun_distance_map, at).rgb;
    float radius = max(found.y * sun_radius, 1e-4);
    float x = clamp(found.x / radius, -1.0, 1.0);
    float share = 0.5 + (x * sqrt(1.0 - x * x) + asin(x)) / PI;
    return share * sun_way.z * beam_irradiance[clamp(int(found.z + 0.5), 0, MAX_BEAMS - 1)];
}

// Cook and Torrance's glint of the sun in the coat, GGX (Walter et al. 2007).
float glint(vec3 eye, float alpha, float ior) {
    vec3 h = normalize(eye + sun_way);
    float square = alpha * alpha, d = h.z * h.z * (square - 1.0) + 1.0;
    float nv = max(eye.z, 0.02), nl = max(sun_way.z, 0.02);
    float masked = nl * sqrt(square + (1.0 - square) * nv * nv) + nv * sqrt(square + (1.0 - square) * nl * nl);
    return fresnel(max(dot(eye, h), 0.0), ior) * square / (PI * d * d) * 0.5 / masked;
}

float passes(vec4 cubic, float cosine) {
    return cubic.x + cosine * (cubic.y + cosine * (cubic.z + cosine * cubic.w));
}

// How far a ray from here goes to the first wall, piece of furniture or ceiling.
float reach(vec3 ray) {
    float far = ceiling_height / max(ray.z, 1e-3);
    for (int i = 0; i < proxy_count; i++) {
        vec2 run = proxy_run[i].xy, to = proxy_start[i].xy - place.xy;
        float facing = ray.y * run.x - ray.x * run.y;
        float t = (to.y * run.x - to.x * run.y) / facing, s = (to.y * ray.x - to.x * ray.y) / facing;
        if (facing < 0.0 && t > 0.0 && t < far && s > 0.0 && s < 1.0 && t * ray.z < proxy_start[i].z) far = t;
    }
    return far;
}

// Boards never lie quite level, so that what they mirror breaks at their edges: how far off, in pixels, a level floor
// would mirror the same. A board that tilts by a towards the eye turns the ray by 2 a, as coming nearer by 2 a d / sin g
// does, g the height at which the eye stands; one that tilts by a aside turns it by 2 a sin g, as going as far aside does.
// Of what stands D away the image moves by as much less as d + D is more than D: at a wall's foot it stays.
vec2 unevenness(float own, vec3 eye) {
    vec2 tilt = UNEVEN * (2.0 * fract(own * vec2(7919.0, 1237.0)) - 1.0) * step(1e-6, fibre_share);
    vec2 nearer = normalize(eye.xy + 1e-6), aside = vec2(-nearer.y, nearer.x);
    vec2 off = dot(tilt, nearer) / max(eye.z, 0.1) * nearer + dot(tilt, aside) * eye.z * aside;
    mat2 plan_of_pixel = mat2(dFdx(place.xy), dFdy(place.xy));
    float from_eye = distance(cam_pos, place), far = reach(vec3(-eye.xy, eye.z));
    return clamp(inverse(plan_of_pixel) * (2.0 * from_eye * far / (from_eye + far) * off), -40.0, 40.0);
}

vec4 coat_at(int which, vec2 at, float level) {
    float rim = 0.5 / (float(textureSize(coats, int(level)).y) * coat_page.w);
    return textureLod(coats, vec2(at.x, coat_page[which] + coat_page.w * clamp(at.y, rim, 1.0 - rim)), level);
}

// What the coat mirrors so many pixels off: where that is hidden, what it mirrors here, or about here.
vec3 mirrored_there(int which, vec2 off) {
    vec2 here = gl_FragCoord.xy * screen.xy + screen.zw;
    vec4 found = coat_at(which, here + off * screen.xy, COAT_LEVEL);
    if (found.a < 0.5) found = coat_at(which, here, COAT_LEVEL);
    if (found.a < 0.05) found = coat_at(which, here, COAT_LEVEL + 3.0);
    return found.rgb / max(found.a, 0.01);
}

void main() {
    bool flat_view = dot(parallel_view, parallel_view) > 0.0;
    vec3 eye = flat_view ? parallel_view : normalize(cam_pos - place);
    int which = int(extra.z + 0.5);
    float alpha = coat_alpha[which], ior = coat_ior[which];

    vec4 cubic = coat_passes[which];
    vec3 irradiance = texture(irradiance_map, (place.xy - light_frame.xy) * light_frame.zw).rgb;
    irradiance = mix(irradiance, mean_irradiance, evenness);
    float longest;
    vec4 board = board_colour(longest);
    vec3 albedo = board.rgb * colour_0;

    // Fibres lie along the grain and turn and lean by a little; `tilt` is the slope of a pore's side, towards v.
    float share = fibre_share, tilt = 0.0;
    vec2 across = (extra.w < 0.0 ? -1.0 : 1.0) * vec2(-extra.y, extra.x);
    vec3 axis = vec3(extra.xy, 0.0);
    if (fibre_share > 0.0) {
        vec3 fibre = textureLod(material.normal_texture, uv, max(log2(longest) - 1.0, 0.0)).rgb * 255.0;
        vec2 turn = (fibre.xy - LEVEL_FIBRE) * (STEEPEST / FIBRE_BYTES);
        turn.y += FIBRE_LEAN * (2.0 * abs(extra.w) - 1.0);
        share *= min(fibre.z / LEVEL_FIBRE, 1.4);
        axis = normalize(vec3(extra.xy + turn.x * across, turn.y));
        if (longest < 3.0) {
            float row = 1.0 / float(textureSize(material.base_color_texture, 0).y), level = log2(max(longest, 1.0));
            tilt = textureLod(material.base_color_texture, uv + vec2(0.0, row), level).a
                 - textureLod(material.base_color_texture, uv - vec2(0.0, row), level).a;
            tilt *= 0.5 * PORE_DEPTH * density * clamp(3.0 - longest, 0.0, 1.0);
        }
    }
    float sine_r = dot(eye, axis), psi_r = fibre_angle(sine_r, ior);
    vec3 from_wood = vec3(0.0), from_panes = vec3(0.0);
    if (fibre_share > 0.0) {
        for (int i = 0; i < pane_count; i++) {
            vec3 to = pane_corner[i] + 0.5 * (pane_side[i] + pane_rise[i]) - place;
            float square = dot(to, to), area = pane_extent[i].z;
            float near = area * abs(dot(to, pane_inward[i])) * to.z / (square * square);
            if (near * shown(i, to * inversesqrt(square)).g < 0.04 * irradiance.g) continue;  // as well from all round
            float visible = unscreened(pane_corner[i] - place, pane_side[i], pane_extent[i].y, pane_inward[i].xy);
            if (visible <= 0.0) continue;
            bool small = area < 0.2 * square;     // then its middle stands for it, else its two halves
            for (int k = 0; k < (small ? 1 : 2); k++) {
                vec3 way = small ? to : to + (0.5 * float(k) - 0.25) * pane_side[i];
                float part = small ? area : 0.5 * area, far = dot(way, way);
                way *= inversesqrt(far);
                float fill = part * abs(dot(way, pane_inward[i])) * max(way.z, 0.0) / (far + 0.5 * part);
                vec3 arriving = visible * mean_passed * passes(cubic, way.z) * shown(i, way) * fill;
                from_panes += arriving;
                float raised = max(1.0 + tilt * dot(way.xy, across) / max(way.z, 0.2), 0.0);
                float long_side = dot(pane_side[i], axis) * (small ? 1.0 : 0.5), rise = dot(pane_rise[i], axis);
                float wide = (long_side * long_side + rise * rise) / (12.0 * ior * ior * far);
                from_wood += arriving * raised * wood_lobe(dot(way, axis), sine_r, psi_r, wide, ior, share);
            }
        }
    }
    // The bake knows what stands in the way; the panes' share is scaled down where they bring more than it found.
    vec3 trusted = (1.0 - evenness) * min(vec3(1.0), 0.9 * irradiance / max(from_panes, vec3(1e-6)));
    vec3 wood = from_wood * trusted + (irradiance - from_panes * trusted) / PI;
    vec3 coat = mirrored_there(which, unevenness(abs(extra.w), eye));
    if (fibre_share > 0.0) coat *= 1.0 - PORE_OPEN * board.a;
    if (flat_view) coat = fresnel(1.0, ior) * irradiance / PI;
    else if (beam_count > 0) {
        vec3 sun = sunshine();
        float raised = max(1.0 + tilt * dot(sun_way.xy, across) / max(sun_way.z, 0.2), 0.0);
        vec3 entering = mean_passed * passes(cubic, sun_way.z) * sun;
        wood += entering * raised * wood_lobe(dot(sun_way, axis), sine_r, psi_r, 0.0, ior, share);
        coat += sun * glint(eye, alpha, ior);
    }
    float leaving = flat_view ? 1.0 : passes(cubic, eye.z);  // a plan is drawn as seen from all round
    vec3 radiance = at_joints(facing, albedo, leaving * albedo * wood, coat, AROUND * irradiance, eye, alpha, ior,
                              flat_view);
    pixel = resolvable(radiance * exposure);
}
