// What is seen through a window: the sky that lights the room and the ground under it, at the radiance that they shed,
// through the glass. The picture is developed afterwards, see highlights.py.

in vec3 place;
in vec3 facing;                     // into the room
centroid in vec3 colour_0;         // the pane's mean radiance, where what is outside is not known
out vec4 pixel;

uniform vec3 exposure;
uniform vec3 cam_pos;
uniform float outside_known;
uniform sampler2D outside_map;     // radiance by height and bearing, see Outside in lighting.py
uniform vec3 glass_passes[INCIDENCES];

vec3 seen_outside(vec3 ray) {
    vec2 share = vec2(atan(ray.y, ray.x) / (2.0 * PI) + 0.5, asin(clamp(ray.z, -1.0, 1.0)) / PI + 0.5);
    vec2 size = vec2(textureSize(outside_map, 0));
    vec3 radiance = texture(outside_map, (share * (size - 1.0) + 0.5) / size).rgb;
    float at = clamp(-dot(ray, normalize(facing)), 0.0, 1.0) * float(INCIDENCES - 1);
    int step = min(int(at), INCIDENCES - 2);
    return radiance * mix(glass_passes[step], glass_passes[step + 1], at - float(step));
}

void main() {
    vec3 radiance = outside_known > 0.5 ? seen_outside(normalize(place - cam_pos)) : colour_0;
    pixel = resolvable(radiance * exposure);
}
