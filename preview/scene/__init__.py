"""The scene file: schema, reading with positions, variants."""

from preview.scene.read import load_scene, read_scene

__all__ = ["load_scene", "read_scene"]
