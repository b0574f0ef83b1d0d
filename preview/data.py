"""Where the data that rides with the program lies: in the wheel, or beside the package in a checkout."""

from __future__ import annotations

from pathlib import Path
from typing import Literal


def data_folder(name: Literal["materials", "scenes"]) -> Path:
    """Return the folder of the program's own materials or demo scenes."""
    package = Path(__file__).resolve().parent
    inside = package / "data" / name
    return inside if inside.is_dir() else package.parent / name
