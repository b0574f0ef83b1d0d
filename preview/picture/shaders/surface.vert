// One vertex shader for everything drawn. The locations are those of pyrender's `Primitive`; `tangent` and `color_0` carry
// whatever the fragment shader of the surface calls them below.

layout(location = 0) in vec3 position;
layout(location = 1) in vec3 normal;
layout(location = 2) in vec4 tangent;
layout(location = 3) in vec2 texcoord_0;
layout(location = 4) in vec4 color_0;
layout(location = 5) in mat4 instance;

uniform mat4 V;
uniform mat4 P;

out vec3 place;      // metres, world
out vec3 facing;     // unit normal, world; floor: distances to edges; panes: what the floor sees
out vec2 uv;         // floor: of the texture; parts: sheen, and 1 for stone
out vec4 extra;      // floor: direction of u, coat, a number of the board's own; parts: albedo
centroid out vec3 colour_0; // floor: tint; parts: irradiance; panes: radiance

void main() {
    vec4 world = instance * vec4(position, 1.0);
    gl_Position = P * V * world;
    place = world.xyz;
    facing = normal;
    uv = texcoord_0;
    extra = tangent;
    colour_0 = color_0.rgb;
}
