#version 330 core
// One vertex shader for everything drawn. The locations are filled in by the engine; `tangent` and `color_0` carry
// whatever the fragment shader of the surface calls them below.

layout(location = 0) in vec3 position;
layout(location = NORMAL_LOC) in vec3 normal;
layout(location = TANGENT_LOC) in vec4 tangent;
layout(location = TEXCOORD_0_LOC) in vec2 texcoord_0;
layout(location = COLOR_0_LOC) in vec4 color_0;
layout(location = INST_M_LOC) in mat4 instance;

uniform mat4 V;
uniform mat4 P;

out vec3 place;      // metres, world
out vec3 facing;     // unit normal, world; floor: distances to edges; panes: what the floor sees
out vec2 uv;
out vec4 extra;      // floor: direction of u, coat, a number of the board's own; parts: albedo, surface kind
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
