"""Light on the floor in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from preview.paper.words.layer_notes import Row
from preview.scene.job import LightChoice, Unit
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


def light_text(light: LightChoice) -> str:
    """Return whose light pictures show: ``clear sky, the sun on 14 October at 16:00 with lamps on``."""
    sun = f", the sun on {light.sun.time:%d %B at %H:%M}" if light.sun else ""
    return f"{light.sky} sky{sun}{' with lamps on' if light.lamps not in ('auto', 0) else ''}"


def _lux(value: float) -> str:
    return f"{value:,.0f} lux"
