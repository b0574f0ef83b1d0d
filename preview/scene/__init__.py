"""The scene file: schema, reading with positions, variants."""

from preview.scene.read import MOST_BYTES, load_scene, read_scene

__all__ = ["MOST_BYTES", "load_scene", "read_scene"]
