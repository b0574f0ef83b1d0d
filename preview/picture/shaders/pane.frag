#version 330 core
// What is seen through a window: an overcast sky above the horizon (Moon and Spencer 1942: L ~ 1 + 2 sin g),
// a soft bright haze below it. A photographer holds the windows back by a second, shorter exposure; so does this:
// the brightness seen is brought under `held`, the gradient stays. Reflections use the true radiance.

in vec3 place;
in vec3 colour_0;
out vec4 pixel;

uniform float exposure;
uniform vec3 cam_pos;

const float HELD = 1.35;

void main() {
    vec3 ray = normalize(place - cam_pos);
    float sky = (1.0 + 2.0 * max(ray.z, 0.0)) / 1.7;
    float ground = 0.42 + 0.10 * smoothstep(-0.5, 0.0, ray.z);
    float gradient = mix(ground, sky, smoothstep(-0.05, 0.04, ray.z));
    vec3 seen = colour_0 * exposure * gradient;
    float brightest = max(seen.r, max(seen.g, seen.b));
    seen *= HELD * (0.45 + 0.55 * gradient) / (HELD + brightest);
    pixel = vec4(seen / (1.0 + max(seen.r, max(seen.g, seen.b))), 1.0);
}
