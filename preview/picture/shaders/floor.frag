#version 330 core
// Finished wood: diffuse wood and a fibre highlight under a clear coat.
//
//   diffuse   albedo E / pi, E baked on the floor and turned to the bevel's normal by its mean direction
//   fibres    Marschner, Westin, Arbree and Moon, "Measuring and modeling the appearance of finished wood", ACM TOG
//             24(3), 2005: k g(beta, psi_i + psi_r) / cos^2((psi_i - psi_r) / 2), psi the angle of the refracted ray to
//             the plane normal to the fibre. Over the hemisphere it returns about 2 k, so k is half of its albedo.
//   coat      Fresnel (C. Schlick 1994) times what the mirrored eye sees: window panes blurred by the coat's
//             roughness and the distance, the walls and the ceiling as two even tones.

in vec3 place;
in vec3 facing;
in vec2 uv;
in vec4 extra;
in vec3 colour_0;
out vec4 pixel;

struct Material { sampler2D base_color_texture; };

const int MAX_PANES = 16;
const int MAX_BEAMS = 8;
const float PI = 3.14159265358979;
const float FIBRE_WIDTH = 0.30;    // beta, radians; by eye
const float FIBRE_LEAN = 0.11;     // fibres dive in and out of the face by up to this angle, radians; by eye

uniform Material material;
uniform sampler2D irradiance_map;
uniform sampler2D direction_map;
uniform vec4 light_frame;          // plan origin of the maps, one over their extent
uniform float exposure;
uniform float fibre_share;         // of the wood's reflection that the fibres carry
uniform vec3 cam_pos;
uniform vec3 parallel_view;        // unit vector to the eye of a parallel projection, zero for a pinhole
uniform vec2 coat_alpha;           // GGX alpha of the field's and the border's coat
uniform vec2 coat_ior;
uniform float bevel;               // plan width of an eased edge, metres
uniform int pane_count;
uniform vec3 pane_corner[MAX_PANES];
uniform vec3 pane_side[MAX_PANES];
uniform vec3 pane_rise[MAX_PANES];
uniform vec3 pane_inward[MAX_PANES];      // unit normal
uniform vec3 pane_extent[MAX_PANES];      // length of side, of rise, area
uniform vec3 pane_radiance[MAX_PANES];
uniform int beam_count;            // sunshine: the panes it comes through, each as an upright rectangle
uniform vec3 beam_corner[MAX_BEAMS];
uniform vec3 beam_side[MAX_BEAMS];
uniform vec3 beam_rise[MAX_BEAMS];
uniform vec3 beam_irradiance[MAX_BEAMS];
uniform vec3 sun_way;
uniform float sun_blur;            // of a penumbra a metre behind its edge, metres
uniform float evenness;            // a plan is lit this much by the mean
uniform vec3 mean_irradiance;
uniform vec3 room_low;
uniform vec3 room_high;
uniform vec3 wall_radiance;
uniform vec3 ceiling_radiance;

vec4 resolvable(vec3 radiance) {   // see part.frag
    vec3 seen = max(radiance * exposure, 0.0);
    return vec4(seen / (1.0 + max(seen.r, max(seen.g, seen.b))), 1.0);
}

float fresnel_schlick(float f0, float cosine) {
    float low = 1.0 - clamp(cosine, 0.0, 1.0), square = low * low;
    return f0 + (1.0 - f0) * square * square * low;
}

float soft_step(float x) { return smoothstep(-2.12, 2.12, x); }  // Gaussian cdf within 0.021

float soft_span(float x, float width, float blur) { return soft_step(x / blur) - soft_step((x - width) / blur); }

// Wood's normal where the edge is wide enough to be seen; flat where it is thinner than a pixel, so that joints fade
// with distance and don't break into dashes.
vec3 edge_faded_normal(vec3 n) {
    float tilt = length(n.xy);
    if (tilt < 1e-4) return n;
    vec2 across = n.xy / tilt;
    float pixel_width = abs(dot(dFdx(place.xy), across)) + abs(dot(dFdy(place.xy), across));
    float seen = clamp(1.6 * bevel / max(pixel_width, 1e-7), 0.0, 1.0);
    return normalize(mix(vec3(0.0, 0.0, 1.0), n, seen * seen));
}

// The share of the reflected lobe that a pane fills, by the pane's rectangle seen along `ray`.
float pane_coverage(int i, vec3 ray, float alpha, float cosine) {
    float side = pane_extent[i].x, rise = pane_extent[i].y;
    vec3 along = pane_side[i] / side, up = pane_rise[i] / rise;
    float slope = dot(ray, pane_inward[i]);
    float travel = dot(pane_corner[i] - place, pane_inward[i]) / (abs(slope) < 1e-4 ? 1e-4 : slope);
    if (travel <= 0.0) return 0.0;
    vec3 hit = place + travel * ray - pane_corner[i];
    // A facet leaning by d turns the reflection by 2 d in the plane of incidence and by 2 d cos(theta) across it.
    float spread = 1.414 * alpha * travel;
    float blur_up = spread / max(length(ray.xy), 0.35) + 0.004;
    float blur_along = spread * max(cosine, 0.15) + 0.004;
    return soft_span(dot(hit, along), side, blur_along) * soft_span(dot(hit, up), rise, blur_up);
}

// Sunshine on a surface in the room: the share of the sun's disc seen through each pane, its penumbra as a Gaussian.
vec3 sunshine(vec3 n) {
    vec3 total = vec3(0.0);
    float facing_sun = dot(n, sun_way);
    if (beam_count == 0 || facing_sun <= 0.0) return total;
    if (any(lessThan(place, room_low - 0.05)) || any(greaterThan(place, room_high + 0.05))) return total;
    for (int i = 0; i < beam_count; i++) {
        float side = length(beam_side[i]), rise = length(beam_rise[i]);
        vec3 along = beam_side[i] / side, up = beam_rise[i] / rise, normal = cross(along, up);
        float slope = dot(sun_way, normal);
        float travel = dot(beam_corner[i] - place, normal) / (abs(slope) < 1e-4 ? 1e-4 : slope);
        if (travel <= 0.0) continue;
        vec3 hit = place + travel * sun_way - beam_corner[i];
        float blur = sun_blur * travel + 1e-4;
        total += beam_irradiance[i] * soft_span(dot(hit, along), side, blur) * soft_span(dot(hit, up), rise, blur);
    }
    return total * facing_sun;
}

vec3 mirrored_room(vec3 ray, float alpha, float cosine) {
    vec3 gap = (mix(room_low, room_high, step(0.0, ray)) - place) / (sign(ray) * max(abs(ray), 1e-4));
    float travel = min(gap.x, gap.y);
    float height = place.z + travel * ray.z;
    float blur = 1.414 * alpha * travel + 0.02;
    vec3 room = mix(wall_radiance, ceiling_radiance, soft_step((height - room_high.z) / blur));
    for (int i = 0; i < pane_count; i++)
        room = mix(room, pane_radiance[i], pane_coverage(i, ray, alpha, cosine));
    return room;
}

// The angle inside the coat to the plane normal to the fibre; the series of asin, within 0.002 up to 1 / 1.4.
float fibre_angle(vec3 direction, vec3 axis, float ior) {
    float x = clamp(dot(direction, axis) / ior, -1.0, 1.0), square = x * x;
    return x * (1.0 + square * (0.16667 + square * (0.075 + square * 0.09)));
}

float fibre_lobe(float psi_i, float psi_r) {
    float off = (psi_i + psi_r) / FIBRE_WIDTH, c = cos(0.5 * (psi_i - psi_r));
    return exp(-0.5 * off * off) / (FIBRE_WIDTH * 2.506628 * c * c);
}

void main() {
    vec3 n = edge_faded_normal(normalize(facing));
    vec3 eye = dot(parallel_view, parallel_view) > 0.0 ? parallel_view : normalize(cam_pos - place);
    float coat = step(0.5, extra.z);
    float alpha = mix(coat_alpha.x, coat_alpha.y, coat), ior = mix(coat_ior.x, coat_ior.y, coat);
    float f0 = (ior - 1.0) * (ior - 1.0) / ((ior + 1.0) * (ior + 1.0));

    vec2 map_place = (place.xy - light_frame.xy) * light_frame.zw;
    vec3 flat_irradiance = mix(texture(irradiance_map, map_place).rgb, mean_irradiance, evenness);
    vec3 mean_direction = texture(direction_map, map_place).rgb;
    float directional = clamp(length(mean_direction), 0.0, 1.0);
    vec3 from = directional > 1e-3 ? mean_direction / directional : vec3(0.0, 0.0, 1.0);
    float turned = max(dot(n, from), 0.0) / max(from.z, 0.25);
    vec3 irradiance = flat_irradiance * mix(0.5 + 0.5 * n.z, turned, directional);

    vec3 albedo = texture(material.base_color_texture, uv).rgb * colour_0;

    // Fibres lie along the grain and lean out of the face by a little, each board by its own amount.
    float lean = FIBRE_LEAN * (2.0 * extra.w - 1.0);
    vec3 axis = vec3(extra.xy * cos(lean), sin(lean));
    float psi_r = fibre_angle(eye, axis, ior);
    vec3 fibres = vec3(0.0), from_panes = vec3(0.0);
    for (int i = 0; i < pane_count; i++) {
        float area = 0.5 * pane_extent[i].z;
        for (int k = 0; k < 2; k++) {
            vec3 sample_at = pane_corner[i] + (0.25 + 0.5 * float(k)) * pane_side[i] + 0.5 * pane_rise[i];
            vec3 to = sample_at - place;
            float square = dot(to, to);
            vec3 way = to * inversesqrt(square);
            float fill = area * abs(dot(way, pane_inward[i])) * max(way.z, 0.0) / (square + 0.5 * area);
            vec3 arriving = pane_radiance[i] * fill;
            from_panes += arriving;
            fibres += arriving * fibre_lobe(fibre_angle(way, axis, ior), psi_r);
        }
    }
    // The bake knows what stands in the way; the panes' share is scaled down where they bring more than it found.
    vec3 trusted = min(vec3(1.0), 0.9 * flat_irradiance / max(from_panes, vec3(1e-6)));
    vec3 rest = irradiance - from_panes * trusted * irradiance / max(flat_irradiance, vec3(1e-6));
    vec3 fibre_out = 0.5 * fibres * trusted + max(rest, 0.0) / PI;
    vec3 wood = albedo * (mix(irradiance / PI, fibre_out, fibre_share) + sunshine(n) / PI);

    float cosine = max(dot(n, eye), 0.02);
    float mirror = fresnel_schlick(f0, cosine);
    mirror = mix(mirror, f0 + (mirror - f0) * (1.0 - alpha), 0.8);   // a rough coat is seldom met at grazing
    vec3 ray = reflect(-eye, n);
    ray.z = max(ray.z, 0.01);
    vec3 shine = mirror * mirrored_room(normalize(ray), alpha, cosine);
    pixel = resolvable((1.0 - mirror) * wood + shine);
}
