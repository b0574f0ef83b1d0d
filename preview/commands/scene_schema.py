"""The command that prints the JSON Schema of scenes."""

from __future__ import annotations

from pathlib import Path


def print_schema(materials: Path | None = None) -> bytes:
    """Return the JSON Schema of a scene as a document in UTF-8; names in the folder `materials` may be given too."""
    import json

    from preview.scene.json_schema import scene_schema

    return (json.dumps(scene_schema(materials), indent=2, ensure_ascii=False) + "\n").encode()
