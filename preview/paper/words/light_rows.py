"""Light on the floor in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from preview.paper.words.layer_notes import Row
from preview.scene.job import Unit
from preview.units import format_area

if TYPE_CHECKING:
    from preview.light.result.report import FloorLux


def light_rows(lux: FloorLux, units: Unit) -> list[Row]:
    """Return the illuminance of the floor, sunshine apart, and how much of it the sun reaches."""
    rows = [(lux.source.capitalize(), f"mean {_lux(lux.mean)}, {lux.lowest:,.0f} to {lux.highest:,.0f}")]
    if lux.daylight_factor is not None:
        rows.append(("Daylight factor", f"{lux.daylight_factor:.1f} % of the {_lux(lux.open_lux)} out of doors"))
    if lux.sunlit > 0:
        rows.append(("In the sun", f"{format_area(lux.sunlit, units)}, up to {_lux(lux.sunlit_lux)}"))
    return rows


def _lux(value: float) -> str:
    return f"{value:,.0f} lux"
