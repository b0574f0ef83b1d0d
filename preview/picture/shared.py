"""Constants that Python and the shaders share: every name in capitals here stands in every shader, see `header`.

A number that both need stands here or is imported here, and nowhere else.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE as LUMINANCE
from preview.light.sources.glass import INCIDENCES as INCIDENCES
from preview.model.opening_parts import CASING_THICKNESS as CASING_THICKNESS
from preview.model.walls import BASEBOARD_HEIGHT as BASEBOARD_HEIGHT
from preview.wood.strip import FIBRE_BYTES as FIBRE_BYTES
from preview.wood.strip import LEVEL_FIBRE as LEVEL_FIBRE
from preview.wood.strip import STEEPEST as STEEPEST

PI = float(np.pi)

MAX_PANES = 16  # that the floor is lit by one by one; of more, those that send most
MAX_BEAMS = 8  # of the sun
MAX_PROXIES = 48  # that rays from the floor may meet; of more, the largest
MAX_SCREENS = 24  # of those, pieces of furniture that stand before panes

BEFORE_WALL = 0.2  # metres that trim and mantels stand out of a wall
PAST_PANES = 0.05  # metres by which a wall says that one sees farther in than to its panes
PANE_FRAME = 0.03  # metres round a pane that its frame covers
HALVINGS = 5  # of the reflection atlas to its coarsest mipmap

Value = int | float | NDArray[np.float64]


def header() -> str:
    """Return the constants as GLSL, a line each."""
    return "".join(f"const {_kind(value)} {name} = {_written(value)};\n" for name, value in table().items())


def table() -> dict[str, Value]:
    """Return the constants by their names."""
    return {name: value for name, value in globals().items() if name.isupper()}


def _kind(value: Value) -> str:
    return "int" if isinstance(value, int) else "float" if isinstance(value, float) else f"vec{len(value)}"


def _written(value: Value) -> str:
    return f"{_kind(value)}({', '.join(map(repr, value.tolist()))})" if isinstance(value, np.ndarray) else repr(value)
