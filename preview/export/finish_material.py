"""What a floor's finish is in glTF: wood with its fibre highlight under a clear coat.

| here | glTF | extension |
|---|---|---|
| coat, GGX alpha | clearcoatRoughnessFactor, its root | KHR_materials_clearcoat, whose coat has F0 = 0.04: n = 1.5 |
| its refractive index | ior | KHR_materials_ior |
| fibres' share of the wood's reflection | specularFactor, specularColorFactor | KHR_materials_specular |
| fibres' lobe | roughness, anisotropyStrength | KHR_materials_anisotropy, whose tangent lies along the board |

The extensions' texts are in Khronos' registry (KhronosGroup/glTF, extensions/2.0/Khronos); alpha = roughness^2 and
alpha_t = mix(alpha, 1, strength^2) are theirs. A fibre mirrors as a cylinder does: narrowly along itself, widely round
about. Anisotropy widens the highlight along its direction, so that lies across the board.
"""

from __future__ import annotations

from preview.export.gltf_file import Properties
from preview.wood.material_types import Finish

# Widths of the lobe that floor.frag draws, 10 degrees inside the coat, as slopes of facets outside it; by eye.
FIBRE_ALPHA = 0.2
FIBRE_STRENGTH = 0.75
MEAN_FIBRE_ALPHA = (FIBRE_ALPHA * (FIBRE_ALPHA + (1 - FIBRE_ALPHA) * FIBRE_STRENGTH**2)) ** 0.5  # of both directions
# F0 = 0.04 returns 0.092 of light from all round (n = 1.5, the integral of Fresnel's equations); of floor.frag's fibre
# share, 0.12 of wood that returns about 0.3, this makes as much.
FIBRE_SPECULAR = 0.4
ACROSS = 1.5707963  # radians from the tangent


def finish_material(finish: Finish, name: str, texture: int) -> Properties:
    """Return the material of boards under a finish, their colours in `texture`."""
    made = _material(finish, name, {"baseColorTexture": {"index": texture}}, FIBRE_ALPHA)
    made["extensions"]["KHR_materials_anisotropy"] = {
        "anisotropyStrength": FIBRE_STRENGTH,
        "anisotropyRotation": ACROSS,
    }
    return made


def plain_finish_material(finish: Finish, name: str, albedo: tuple[float, float, float]) -> Properties:
    """Return the material of wood of one colour, linear, whose fibres lie in no one direction."""
    return _material(finish, name, {"baseColorFactor": [*albedo, 1.0]}, MEAN_FIBRE_ALPHA)


def _material(finish: Finish, name: str, colour: Properties, fibres: float) -> Properties:
    return {
        "name": name,
        "pbrMetallicRoughness": {**colour, "metallicFactor": 0.0, "roughnessFactor": round(fibres**0.5, 4)},
        "extensions": {
            "KHR_materials_clearcoat": {
                "clearcoatFactor": 1.0,
                "clearcoatRoughnessFactor": round(finish.roughness**0.5, 4),
            },
            "KHR_materials_specular": {"specularFactor": FIBRE_SPECULAR},
            "KHR_materials_ior": {"ior": finish.ior},
        },
    }


def unlit_material(name: str, texture: int | None = None) -> Properties:
    """Return the material of what a viewer is not to light: its colours in `texture`, or in its vertices alone.

    KHR_materials_unlit; a viewer without it shows something rough.
    """
    colour = {} if texture is None else {"baseColorTexture": {"index": texture}}
    return {
        "name": name,
        "pbrMetallicRoughness": {**colour, "metallicFactor": 0.0, "roughnessFactor": 1.0},
        "extensions": {"KHR_materials_unlit": {}},
    }
