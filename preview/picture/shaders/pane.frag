#version 330 core
// What is seen through a window: an overcast sky (Moon and Spencer 1942: L ~ 1 + 2 sin g), and below the horizon
// lawn and paving, in haze towards the horizon and without the sky's blue, before a far, soft line of trees. A
// photographer holds the windows back by a second, shorter exposure, and the eye adapts to what is outside by itself:
// so here the pane is brought down to `HELD`, half way to white, and its gradient to half the stops.
// Reflections use the true radiance of the sky: from the floor one looks up through a window.

in vec3 place;
in vec3 facing;                    // what the floor sees, over 1 + 2 sin g
centroid in vec3 colour_0;
out vec4 pixel;

uniform vec3 exposure;
uniform float mirror;              // see part.frag
uniform vec3 cam_pos;

const float HELD = 0.95;

float wave(float x) { return sin(x) + 0.6 * sin(2.3 * x + 1.0) + 0.4 * sin(5.1 * x + 4.0); }

// See part.frag.
float behind_floor() {
    return distance(cam_pos, place * vec3(1.0, 1.0, mirror)) * max(place.z, 0.0) / (cam_pos.z + max(place.z, 0.0));
}

void main() {
    vec3 eye = cam_pos * vec3(1.0, 1.0, mirror);
    vec3 ray = normalize(place - eye);
    if (mirror < 0.0) {
        pixel = vec4(facing * (1.0 + 2.0 * max(ray.z, 0.0)), behind_floor());
        return;
    }
    float rise = ray.z / max(length(ray.xy), 1e-3);
    float bearing = atan(ray.y, ray.x);
    vec3 sky = mix(vec3(0.72, 0.71, 0.68), vec3(1.62, 1.66, 1.72), smoothstep(-0.05, 0.75, ray.z));
    vec3 ground = mix(vec3(0.25, 0.275, 0.175), vec3(0.60, 0.595, 0.53), smoothstep(-0.65, -0.02, ray.z));
    vec3 trees = vec3(0.30, 0.325, 0.295);
    float crown = 0.055 + 0.016 * wave(9.0 * bearing) + 0.006 * wave(31.0 * bearing);
    vec3 view = mix(trees, sky, smoothstep(crown - 0.035, crown + 0.035, rise));
    view = mix(ground, view, smoothstep(-0.05, 0.015, rise));
    vec3 light = colour_0 * exposure;
    float brightest = max(light.r, max(light.g, light.b));
    vec3 tint = mix(vec3(1.0), mix(light / brightest, vec3(1.0), 0.5), smoothstep(-0.15, 0.15, rise));
    vec3 seen = tint * min(brightest, HELD) * 1.35 * sqrt(view / 1.6);
    pixel = vec4(seen / (1.0 + max(seen.r, max(seen.g, seen.b))), 1.0);
}
