// What is seen through a window: the sky that lights the room and the ground under it, at the radiance that they shed,
// through the glass. The picture is developed afterwards, see highlights.py.

in vec3 place;
in vec3 facing;                     // into the room
centroid in vec3 colour_0;         // the pane's mean radiance, where what is outside is not known
out vec4 pixel;

uniform vec3 exposure;
uniform vec3 cam_pos;

void main() {
    vec3 ray = normalize(place - cam_pos);
    vec3 radiance = outside_known > 0.5 ? outside_at(ray) * glass_at(-dot(ray, normalize(facing))) : colour_0;
    pixel = resolvable(radiance * exposure);
}
