"""The scene file: schema, reading with positions, variants."""

from preview.scene.document import MOST_BYTES
from preview.scene.read import load_scene, read_scene

__all__ = ["MOST_BYTES", "load_scene", "read_scene"]
