"""Where every tenth board lies along a chalk line, by which a layer checks what small errors add up to."""

from __future__ import annotations

import numpy as np

from preview.floor.layout import ChalkLine
from preview.scene.job import Unit
from preview.units import format_fine


def tens(step: float, line: ChalkLine, units: Unit) -> str:
    """Return where every tenth board or leg begins along a chalk line, measured from its start, in words; those
    beside one another begin `step` metres apart. Nothing where fewer than ten fit.

    A step as it is printed is rounded, which adds up from board to board; each of these is rounded once.
    """
    reach = float(np.hypot(*(line.ends[1] - line.start)))
    return ", ".join(f"{count} on {format_fine(count * step, units)}" for count in range(10, int(reach / step) + 1, 10))
