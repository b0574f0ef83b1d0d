#version 330 core
// What is seen through a window: an overcast sky above the horizon (Moon and Spencer 1942: L ~ 1 + 2 sin g),
// a soft bright haze below it. A photographer holds the windows back by a second, shorter exposure; so does this:
// the brightness seen is brought under `held`, the gradient stays. Reflections use the true radiance.

in vec3 place;
in vec3 colour_0;
out vec4 pixel;

uniform float exposure;
uniform vec3 cam_pos;

const float HELD = 1.3;

void main() {
    vec3 ray = normalize(place - cam_pos);
    float sky = (1.0 + 2.0 * max(ray.z, 0.0)) / 1.5;
    float ground = 0.42 + 0.12 * smoothstep(-0.6, 0.0, ray.z);
    float gradient = mix(ground, sky, smoothstep(-0.10, 0.05, ray.z));
    vec3 seen = colour_0 * exposure * gradient;
    seen *= HELD * (0.78 + 0.22 * min(gradient, 1.0)) / (HELD + max(seen.r, max(seen.g, seen.b)));
    pixel = vec4(seen / (1.0 + max(seen.r, max(seen.g, seen.b))), 1.0);
}
