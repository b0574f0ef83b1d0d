"""A floor's year in words: joints by season, and the space that it wants at the walls."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from preview.floor.laid import LaidFloor
from preview.paper.words.layer_notes import Row
from preview.paper.words.numbers import and_list
from preview.scene.job import Unit
from preview.units import format_gap, format_length, system
from preview.wood.air import humidity_for
from preview.wood.seasons import InSeason, Space, seasons

MAKER = "The makers' instructions on moisture, fastening and expansion space come first."
NONE = "none"
BOARDS_DIFFER = "Worked out from a species' mean; boards differ."


def year_rows(floor: LaidFloor) -> list[Row]:
    """Return what the layer is told of the floor's year; nothing where its moisture isn't given."""
    year = seasons(floor)
    if year is None:
        return []
    units = floor.job.units
    rows = [("Laid at", f"{year.install:g} % moisture, which {_air(year.install, units)} keeps")]
    rows += [(_name(each), _season(each, units)) for each in (year.summer, year.winter)]
    if floor.layout.border_width:
        changes = " and ".join(f"{_wider(each.border, units)} in {each.name}" for each in (year.summer, year.winter))
        rows.append(("Border", f"{changes}, across itself only"))
    if floor.layout.strip_width:
        changes = " and ".join(f"{_wider(each.strip, units)} in {each.name}" for each in (year.summer, year.winter))
        rows.append(("Feature strip", f"{changes}, across itself only"))
    walls, things = ([each for each in year.spaces if each.wall is wall] for wall in (True, False))
    rows.append(("Space at walls", f"{_wanted(walls, units)}; the layout leaves {_space(floor.room.edge, units)}"))
    rows += [
        (f"At {_the(each)}", f"{_space(each.wanted, units)}; the layout leaves {_space(each.left, units)}")
        for each in things
    ]
    if any(_space(each.wanted, units) != NONE for each in year.spaces):
        rows.append(("", "That is wanted if nothing holds the boards down; boards that are held need less."))
    rows.append(("", BOARDS_DIFFER))
    rows.append(("", MAKER))
    return rows


def year_step(floor: LaidFloor) -> list[str]:
    """Return the layer's card's step on the year: a name and lines, or nothing."""
    year = seasons(floor)
    if year is None:
        return []
    units = floor.job.units
    joints = "; ".join(f"{_name(each).lower()}: {_joint(each, units)}" for each in (year.winter, year.summer))
    wanted = _wanted([each for each in year.spaces if each.wall], units)
    things = "".join(f"; {_space(each.wanted, units)} at {_the(each)}" for each in year.spaces if not each.wall)
    space = f"Space that the floor may need if nothing holds it: {wanted}"
    return [
        "Through the year",
        f"Lay at {year.install:g} % moisture. {joints[:1].upper()}{joints[1:]}.",
        f"{space}{things}. The layout leaves {_space(floor.room.edge, units)} at walls. {MAKER}",
    ]


def year_words(floor: LaidFloor) -> str:
    """Return what the customer is told of the year in a sentence or two, empty where the moisture isn't given."""
    year = seasons(floor)
    if year is None:
        return ""
    units = floor.job.units
    joints = " and ".join(f"{_wide(each, units)} in {each.name}" for each in (year.winter, year.summer))
    driest, dampest = sorted((year.summer.moisture, year.winter.moisture))
    air = f"{100 * humidity_for(driest):.0f} and {100 * humidity_for(dampest):.0f} %"
    return (
        f"Wood shrinks as the air dries and swells as it dampens. Joints between boards are {joints}, as long as the "
        f"room's air keeps between {air} humidity at {_warmth(units)}. In drier air joints open wider, and boards can "
        "cup or crack; in damper air boards press on one another, and can cup or lift. Keep to what the makers of wood "
        "and finish say of humidity and heating."
    )


def _name(season: InSeason) -> str:
    return f"In {season.name}, {season.moisture:g} %"


def _season(season: InSeason, units: Unit) -> str:
    return f"boards {_wider(season.board, units)}: {_joint(season, units)}"


def _wider(change: float, units: Unit) -> str:
    words = format_gap(abs(change), units)
    if words == format_gap(0, units):
        return "as wide as laid"
    return f"{words} {'wider' if change > 0 else 'narrower'}"


def _joint(season: InSeason, units: Unit) -> str:
    words = format_gap(season.joint, units)
    if words != format_gap(0, units):
        return f"joints of {words}"
    return "boards press on one another" if season.push > 0 else "joints closed"


def _wide(season: InSeason, units: Unit) -> str:
    words = joint_text(season.joint, units)
    return f"{words} wide" if words.startswith("about") else words


def joint_text(metres: float, units: Unit) -> str:
    """Return the width of a joint as a tradesman says it: to 1/32 in or 0.1 mm, those finer than
    half of 1/32 in, or than 1/4 mm, a hairline."""
    if round(metres, 9) == 0:
        return "closed"
    if system(units) == "imperial":
        count = Fraction(round(metres / 0.0254 * 32), 32)
        return f'about {count}"' if count else "a hairline"
    tenths = round(metres * 10_000)
    return f"about {tenths / 10:g} mm" if metres >= 0.00025 else "a hairline"


def _space(metres: float, units: Unit) -> str:
    """Return a space as text, one that is too small to print as none."""
    words = format_length(metres, units)
    return NONE if words == format_length(0.0, units) else words


def _wanted(walls: Iterable[Space], units: Unit) -> str:
    """Return the space wanted by wall, walls that want the same together, the most first."""
    by_space: dict[str, list[str]] = {}
    for each in sorted(walls, key=lambda each: -each.wanted):
        by_space.setdefault(_space(each.wanted, units), []).append(each.name.removeprefix("wall "))
    if list(by_space) == [NONE]:
        return NONE
    return ", ".join(
        f"{space} at wall{'s' * (len(names) > 1)} {and_list(sorted(names, key=int))}"
        for space, names in by_space.items()
    )


def _the(space: Space) -> str:
    return space.name if space.name[:1].isupper() else f"the {space.name}"


def _air(moisture: float, units: Unit) -> str:
    return f"air of {100 * humidity_for(moisture):.0f} % humidity at {_warmth(units)}"


def _warmth(units: Unit) -> str:
    return "70 °F" if system(units) == "imperial" else "21 °C"
