"""What must hold between the values of one variant, as far as the file alone can tell; what follows from others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from preview.letters import same
from preview.scene.amounts import check_amounts
from preview.scene.diagonals import check_diagonals
from preview.scene.job import BorderChoice, Job, Opening, RoomMeasure, Target, WoodChoice
from preview.scene.nodes import Source, suggest
from preview.scene.patterns import own_keys, pattern_keys
from preview.units import format_length, system

OPENING_HEIGHT = {"imperial": 80 * 0.0254, "metric": 2.0}  # a common door
WINDOW = {"imperial": (36 * 0.0254, 48 * 0.0254), "metric": (0.9, 1.2)}  # sill and height
OBSTACLE_HEIGHT = {"hearth": 0.0, "island": 0.9, "cabinet": 0.9}
_OVERLAP = {"imperial": 0.25 * 0.0254, "metric": 0.006}  # common practice, no published source


def complete(job: Job) -> Job:
    """Return the job with what was left out and depends on other keys: heights, sills, grille letters, overlap, and
    what of its wood the feature strip takes from the border."""
    units = system(job.units)
    return replace(
        job,
        openings=tuple(_with_height(each, units) for each in job.openings),
        obstacles=tuple(
            each if each.height is not None else replace(each, height=OBSTACLE_HEIGHT.get(each.kind, job.room.height))
            for each in job.obstacles
        ),
        vents=tuple(
            each if each.name is not None else replace(each, name=grille_letter(n)) for n, each in enumerate(job.vents)
        ),
        border=_completed(job.border, job.border_wood, min(_OVERLAP[units], job.room.baseboard)),
    )


def check(job: Job, source: Source) -> None:
    """Raise SceneError for the first thing in `job` that contradicts another."""
    _room(job.room, source)
    check_amounts(job, source)
    check_diagonals(job, source)
    for key, things in (("openings", job.openings), ("obstacles", job.obstacles), ("vents", job.vents)):
        unique(key, [each.name for each in things], source)
    unique("viewpoints", [each.name for each in job.viewpoints], source)
    _openings(job, source)
    _pattern(job, source)
    _lengths(job, source)
    _stock(job, source)
    _seasons(job, source)
    if job.light.sky == "clear" and job.light.sun is None:
        example = "sun = { latitude = 51.5, longitude = -0.1, time = 2026-10-14T16:00:00+01:00 }"
        raise source.error("light.sky", "a clear sky without its sun", f'add {example}, or write "overcast"')
    if job.light.lamps == 0 and not any(each.kind == "window" for each in job.openings):
        raise source.error("light.lamps", "no lamps and no window", "leave it out, or give windows or some lux")
    if job.floor.center.opening is not None:
        _named("floor.center.opening", "opening", job.floor.center.opening, job.openings, source)
    for n, view in enumerate(job.viewpoints, 1):
        key = f"viewpoints[{n}]"
        if view.kind == "plan" and (view.at or view.look):
            raise source.error(
                f"{key}.{'at' if view.at else 'look'}", "a place in a plan", "leave it out: a plan looks straight down"
            )
        if view.kind == "eye" and view.at is None:
            raise source.error(key, 'no "at"', 'add at = { opening = "its name" } or at = [x, y]')
        if view.kind == "eye" and view.eye >= job.room.height:
            found = f"an eye {format_length(view.eye, job.units)} above the floor"
            raise source.error(
                f"{key}.eye", found, f"keep it below the ceiling at {format_length(job.room.height, job.units)}"
            )
        for name, target in (("at", view.at), ("look", view.look)):
            _target(f"{key}.{name}", target, job, source)


def unique(key: str, names: Iterable[str], source: Source) -> None:
    """Raise SceneError where two tables of the array `key` have one name; a command takes them in any case."""
    seen: dict[str, int] = {}
    for n, name in enumerate(names, 1):
        first = seen.setdefault(same(name), n)
        if first != n:
            raise source.error(f"{key}[{n}].name", f'a second "{name}"', f"give it another name than {key}[{first}]")


def _room(room: RoomMeasure, source: Source) -> None:
    if room.corners and room.walk:
        raise source.error("room.walk", "both corners and a walk", "keep the one that was measured")
    if not room.corners and not room.walk:
        raise source.error(
            "room", "a room without walls", 'add corners = [[x, y], ...] or walk = ["E 15 ft 6 in", ...]'
        )


def _openings(job: Job, source: Source) -> None:
    walls = len(job.room.corners or job.room.walk)
    for n, each in enumerate(job.openings, 1):
        key = f"openings[{n}]"
        if each.wall > walls:
            raise source.error(f"{key}.wall", f'"{each.name}" in wall {each.wall}', f"the room has walls 1 to {walls}")
        top = each.sill + each.height
        if top > job.room.height + 1e-9:
            found = f'"{each.name}" reaches {format_length(top, job.units)}'
            raise source.error(
                f"{key}.height", found, f"keep it below the ceiling at {format_length(job.room.height, job.units)}"
            )
        if each.sill > 0 and each.kind != "window":
            raise source.error(
                f"{key}.sill", f'a sill under "{each.name}", a {each.kind}', "leave it out: only a window has one"
            )


def _pattern(job: Job, source: Source) -> None:
    taken = pattern_keys()[job.floor.pattern]
    for key in sorted(own_keys().keys() - taken.keys()):
        if job.floor.of_pattern(key) is not None:
            takers = [f'"{name}"' for name, keys in pattern_keys().items() if key in keys]
            found = f"{key} beside the pattern {job.floor.pattern}"
            raise source.error(f"floor.{key}", found, f"leave it out, or write pattern = {' or '.join(takers)}")


def _lengths(job: Job, source: Source) -> None:
    width = job.floor.board_width
    given = job.floor.lengths if job.floor.board_length is None else (job.floor.board_length,)
    length = min(given, default=width)
    if length < width:
        found = f"a board {format_length(length, job.units)} long and {format_length(width, job.units)} wide"
        raise source.error("floor.board_length", found, "give the longer side as the length")
    overlap, baseboard = job.border.overlap, job.room.baseboard
    if overlap > baseboard + 1e-9:
        found = f"an overlap of {format_length(overlap, job.units)}"
        under = (
            f"the baseboard is {format_length(baseboard, job.units)} thick" if baseboard else "there is no baseboard"
        )
        raise source.error("border.overlap", found, f"keep it within the baseboard: {under}")
    if job.border.strip and not job.border.width:
        raise source.error(
            "border.width" if "border.width" in source.owners else "border.strip",
            "a feature strip without a border",
            'give the border a width, or write strip = "none"; a strip along the walls alone is a border: give its '
            "width as border.width and its wood in [border_wood]",
        )


def _stock(job: Job, source: Source) -> None:
    stock = job.stock
    both = ("stock.shortest", stock.shortest), ("stock.longest", stock.longest)
    given = [key for key, value in both if value is not None]
    if stock.lengths and given:
        raise source.error(given[0], "random lengths beside stock.lengths", "keep the one that one buys")
    if len(given) == 1:
        missing = next(key for key, value in both if value is None)
        raise source.error(given[0], f"no {missing}", "random lengths need their shortest and their longest")
    if stock.shortest is not None and stock.longest is not None and stock.shortest > stock.longest:
        found = f"a longest stick of {format_length(stock.longest, job.units)}"
        raise source.error("stock.longest", found, f"the shortest is {format_length(stock.shortest, job.units)}")
    if job.floor.lengths and (stock.lengths or given):
        raise source.error(
            "stock.lengths" if stock.lengths else given[0],
            "sticks to cut boards from beside blocks that are ready cut",
            'leave one out, or write one board_length, or "fit"',
        )


def _seasons(job: Job, source: Source) -> None:
    wood, strip = job.wood, job.border.strip
    others = [("border_wood", "border", job.border_wood)]
    others += [("border.strip", "feature strip", strip.wood)] if strip else []
    example = "wood.moisture = { install = 8, summer = 11, winter = 5 }"
    for key, name, other in others:
        if wood.moisture is None and other.moisture is not None:
            found = f"the moisture of the {name}'s wood alone"
            raise source.error(f"{key}.moisture", found, f"give the floor's, {example}; the {name} takes it from there")
    if wood.moisture is not None and wood.moisture.summer < wood.moisture.winter:
        found = f"{wood.moisture.summer:g} in summer, less than {wood.moisture.winter:g} in winter"
        raise source.error(
            "wood.moisture", found, f"heated rooms are drier in winter: change them over, as in {example}"
        )
    if wood.moisture is None and wood.season != "install":
        raise source.error("wood.season", f"a floor in {wood.season} without its moisture", f"add {example}")
    for key, name, other in others:
        if other.season != wood.season:
            found = f"a {name} in {other.season} round a floor in {wood.season}".replace("in install", "as laid")
            raise source.error(f"{key}.season", found, f"leave it out: wood.season goes for the {name} too")


def _target(key: str, target: Target | None, job: Job, source: Source) -> None:
    if target is not None and target.name is not None:
        things = {"opening": job.openings, "obstacle": job.obstacles, "vent": job.vents}[target.kind]
        _named(f"{key}.{target.kind}", target.kind, target.name, things, source)


def _named(key: str, kind: str, name: str, things: Iterable[Any], source: Source) -> None:
    known = [each.name for each in things]
    if name not in known:
        raise source.error(key, f'no {kind} is called "{name}"', suggest(name, known))


def _with_height(opening: Opening, units: str) -> Opening:
    sill, height = WINDOW[units] if opening.kind == "window" else (0.0, OPENING_HEIGHT[units])
    return replace(
        opening,
        sill=sill if opening.sill is None else opening.sill,
        height=height if opening.height is None else opening.height,
    )


def _completed(border: BorderChoice, wood: WoodChoice, overlap: float) -> BorderChoice:
    if border.overlap is None:
        border = replace(border, overlap=overlap)
    if border.strip is None:
        return border
    own = {name: value for name, value in vars(border.strip.wood).items() if value is not None}
    return replace(border, strip=replace(border.strip, wood=replace(wood, **own)))


def grille_letter(n: int) -> str:
    """Return A, B, ... Z, AA, AB, ... for 0, 1, ..."""
    return (grille_letter(n // 26 - 1) if n >= 26 else "") + chr(ord("A") + n % 26)
