"""What was measured of a room as fields to be filled in, and what was filled in as edits of the scene file."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, get_args

import numpy as np

from preview.errors import Place, SceneError
from preview.live.compass import north_of, told_compass
from preview.live.scene_version import SceneVersion
from preview.live.tape_ends import from_beginning, is_from_end, wall_length
from preview.live.usual_sizes import usual_sizes
from preview.room.along_walls import SQUARE, along_wall
from preview.scene.edit import Edit, value_at
from preview.scene.job import Job, ObstacleKind, OpeningKind, Unit, Vent
from preview.scene.taped_wall import Wall
from preview.scene.write import plan_point, typed_length
from preview.units import MeasureError, format_exact, parse_length, round_length, split_pair

Json = dict[str, Any]

SINGLE = ("height", "baseboard", "wall_thickness")
OPENING = ("offset", "width", "sill", "height", "beyond")
TAPED_OBSTACLE = ("offset", "width", "depth", "clear")
TAPED_VENT = ("offset", "clear", "along", "across")
MOST_THINGS = 200
"""Of walls, diagonals, openings and so on; no room has so many."""

ROUNDED = 5e-6
"""Metres by which the corners of a thing that was taped may be off its tapes: the file has them rounded."""


def room_form(version: SceneVersion, walls: Sequence[Wall]) -> Json:
    """Return what was measured of the base's room, every length as the file has it."""
    document, job = version.document, version.jobs[0]
    room = document.get("room", {})
    walk, corners = room.get("walk"), room.get("corners")
    return {
        "title": str(document.get("title", "")),
        "units": job.units,
        "how": "walk" if walk else "corners",
        "walk": [str(each) for each in walk] if walk else [],
        "corners": [_texts(each) for each in corners] if corners else [],
        **{key: _text(room.get(key)) for key in SINGLE},
        "compass": told_compass(document, job, walls),
        "usual": usual_sizes(job),
        "diagonals": [
            {"from": each.get("from"), "to": each.get("to"), "length": _text(each.get("length"))}
            for each in room.get("diagonals", [])
        ],
        "openings": [
            {
                "name": str(each["name"]),
                "kind": str(each["kind"]),
                "wall": each["wall"],
                **{key: _text(each.get(key)) for key in OPENING},
            }
            for each in document.get("openings", [])
        ],
        "obstacles": [
            {
                "name": str(each["name"]),
                "kind": str(each["kind"]),
                "height": _text(each.get("height")),
                "corners": [_texts(corner) for corner in each["corners"]],
                "taped": _obstacle_taped(np.array(read.corners), walls, job.units),
            }
            for each, read in zip(document.get("obstacles", []), job.obstacles, strict=True)
        ],
        "vents": [
            {
                "name": read.name,
                "center": _texts(each["center"]),
                "size": _texts(each["size"]),
                "angle": _text(each.get("angle", 0)),
                "taped": _vent_taped(read, walls, job.units),
            }
            for each, read in zip(document.get("vents", []), job.vents, strict=True)
        ],
        "kinds": {"openings": get_args(OpeningKind), "obstacles": get_args(ObstacleKind)},
    }


def room_edits(
    sent: Mapping[str, Any], version: SceneVersion, walls_of: Callable[[list[Edit]], Sequence[Wall]]
) -> list[Edit]:
    """Return the edits of the file that make the room what a page sent; what stands there already stays as written.

    walls_of: returns the walls that there are once edits are made; raises where the room doesn't close.

    Raises:
        SceneError: a field has no form that the file could have; its key is the field's.
    """
    document, job = version.document, version.jobs[0]
    edits = _outline(sent, document, job.file)
    for key in SINGLE:
        if key in sent:
            edits += _changed(f"room.{key}", _length(sent[key], f"room.{key}", job), document)
    if "compass" in sent:
        edits += _changed("north", north_of(sent["compass"], walls_of(list(edits)), job), document)
    if "title" in sent:
        edits += _changed("title", str(sent["title"])[:300].strip() or None, document)
    if "openings" in sent:
        there = document.get("openings", [])
        found = _things(sent, "openings", job)
        walls = walls_of(list(edits)) if any(is_from_end(each) for each in found) else ()
        found = [from_beginning(each, walls, f"openings[{n}]", job) for n, each in enumerate(found, 1)]
        known = zip(found, _known(found, there), strict=True)
        made = [_opening(each, n, at, there, job) for n, (each, at) in enumerate(known, 1)]
        edits += [*_changed("openings", made, document), *_renamed("opening", there, made, document)]
    outline = list(edits)
    for key, kind, make in (("obstacles", "obstacle", _obstacle), ("vents", "vent", _vent)):
        if key in sent:
            there = document.get(key, [])
            found = _things(sent, key, job)
            walls = walls_of(outline) if any(_is_taped(each) for each in found) else ()
            found = [from_beginning(each, walls, f"{key}[{n}]", job) for n, each in enumerate(found, 1)]
            known = zip(found, _known(found, there), strict=True)
            made = [make(each, n, at, there, walls, job) for n, (each, at) in enumerate(known, 1)]
            edits += [*_changed(key, made, document), *_renamed(kind, there, made, document)]
    return edits


def _outline(sent: Mapping[str, Any], document: Mapping[str, Any], file: str) -> list[Edit]:
    """Return the edits of walk or corners, and of diagonals."""
    edits: list[Edit] = []
    if "walk" in sent:
        walk = [str(each).strip()[:200] for each in _list(sent["walk"], "room.walk", file)]
        if len(walk) < 3:
            walls = ("no wall", "one wall", "two walls")[len(walk)]
            raise SceneError(Place(file, "room.walk"), f"{walls} so far", "a room has three or more")
        before = value_at(document, "room.walk")
        if isinstance(before, list) and len(before) == len(walk):
            pairs = zip(before, walk, strict=True)
            edits += [Edit(f"room.walk[{n}]", _leg(now)) for n, (old, now) in enumerate(pairs, 1) if str(old) != now]
        else:
            edits.append(Edit("room.walk", [_leg(each) for each in walk]))
        edits += [Edit("room.corners", None)] if value_at(document, "room.corners") is not None else []
    elif "corners" in sent:
        corners = _list(sent["corners"], "room.corners", file)
        made = [_pair(each, f"room.corners[{n}]", file) for n, each in enumerate(corners, 1)]
        before = value_at(document, "room.corners")
        written = [_texts(each) for each in before or []]
        if not _equal(written, [_texts(each) for each in made]):
            edits.append(Edit("room.corners", made))
        edits += [Edit("room.walk", None)] if value_at(document, "room.walk") is not None else []
    if "diagonals" in sent:
        made_diagonals = []
        for n, each in enumerate(_list(sent["diagonals"], "room.diagonals", file), 1):
            key = f"room.diagonals[{n}]"
            if not isinstance(each, Mapping):
                raise _wrong(file, key, each, "give two corners and a length")
            ends = {end: _whole(each.get(end), f"{key}.{end}", file) for end in ("from", "to")}
            made_diagonals.append({**ends, "length": _required(each.get("length"), f"{key}.length", file)})
        edits += _changed("room.diagonals", made_diagonals or None, document)
    return edits


def _opening(sent: Mapping[str, Any], n: int, at: int | None, there: Sequence[Mapping[str, Any]], job: Job) -> Json:
    key, file = f"openings[{n}]", job.file
    made: Json = {
        "name": str(sent.get("name", "")).strip()[:300],
        "kind": str(sent.get("kind", "")),
        "wall": _whole(sent.get("wall"), f"{key}.wall", file),
    }
    for name in OPENING:
        value = _length(sent.get(name), f"{key}.{name}", job)
        if value is not None or name in ("offset", "width"):
            made[name] = _required(value, f"{key}.{name}", file)
    return _as_written(made, there, at)


def _obstacle(
    sent: Mapping[str, Any], n: int, at: int | None, there: Sequence[Mapping[str, Any]], walls: Sequence[Wall], job: Job
) -> Json:
    key, file = f"obstacles[{n}]", job.file
    made: Json = {"name": str(sent.get("name", "")).strip()[:300], "kind": str(sent.get("kind", ""))}
    if _is_taped(sent):
        wall, (offset, width, depth, clear) = _taped(sent["taped"], TAPED_OBSTACLE, walls, key, job)
        ends = ((offset, clear), (offset + width, clear), (offset + width, clear + depth), (offset, clear + depth))
        made["corners"] = [plan_point(wall.point(*each), job.units) for each in ends]
        if at is not None and _near(made["corners"], job.obstacles[at].corners, job.units):
            made["corners"] = there[at]["corners"]
    else:
        corners = _list(sent.get("corners"), f"{key}.corners", file)
        made["corners"] = [_pair(each, f"{key}.corners[{m}]", file) for m, each in enumerate(corners, 1)]
    if (height := _length(sent.get("height"), f"{key}.height", job)) is not None:
        made["height"] = height
    if at is not None and "baseboard" in there[at]:
        made["baseboard"] = there[at]["baseboard"]
    return _as_written(made, there, at)


def _vent(
    sent: Mapping[str, Any], n: int, at: int | None, there: Sequence[Mapping[str, Any]], walls: Sequence[Wall], job: Job
) -> Json:
    key, file = f"vents[{n}]", job.file
    made: Json = {}
    if name := str(sent.get("name", "")).strip()[:300]:
        made["name"] = name
    if _is_taped(sent):
        wall, (offset, clear, along, across) = _taped(sent["taped"], TAPED_VENT, walls, key, job)
        made["center"] = plan_point(wall.point(offset, clear), job.units)
        made["size"] = [_required(sent["taped"].get(each), f"{key}.{each}", file) for each in ("along", "across")]
        made["angle"] = round(math.degrees(math.atan2(wall.along[1], wall.along[0])) % 180, 2)
        read = job.vents[at] if at is not None else None
        if (
            at is not None
            and read
            and _near([made["center"]], [read.center], job.units)
            and _same_size(read, along, across)
        ):
            before = there[at]
            made |= {each: before[each] for each in ("center", "size", "angle") if each in before}
            made = {each: value for each, value in made.items() if each != "angle" or each in before}
    else:
        made["center"] = _pair(sent.get("center"), f"{key}.center", file)
        made["size"] = _pair(sent.get("size"), f"{key}.size", file)
        made["angle"] = _number(sent.get("angle", 0), f"{key}.angle", file)
    if at is not None and "name" not in there[at] and job.vents[at].name == name:
        made.pop("name", None)
    return _as_written(made, there, at)


def _same_size(vent: Vent, along: float, across: float) -> bool:
    return abs(vent.size[0] - along) < 1e-6 and abs(vent.size[1] - across) < 1e-6


def _is_taped(sent: Mapping[str, Any]) -> bool:
    return isinstance(sent.get("taped"), Mapping)


def _taped(
    taped: Mapping[str, Any], fields: Sequence[str], walls: Sequence[Wall], key: str, job: Job
) -> tuple[Wall, list[float]]:
    """Return the wall that something was taped along, and its lengths, metres."""
    number = _whole(taped.get("wall"), f"{key}.wall", job.file)
    if not 1 <= number <= len(walls):
        raise _wrong(job.file, f"{key}.wall", number, f"the room has walls 1 to {len(walls)}")
    found = []
    for each in fields:
        text = str(taped.get(each, "")).strip()
        if not text and each == "clear":
            text = "0"
        if not text:
            raise SceneError(Place(job.file, f"{key}.{each}"), "nothing yet", "type its length")
        try:
            found.append(parse_length(text, job.units))
        except MeasureError as error:
            raise SceneError(Place(job.file, f"{key}.{each}"), error.found, error.remedy) from None
    return walls[number - 1], found


def _obstacle_taped(corners: Any, walls: Sequence[Wall], units: Unit) -> Json | None:  # noqa: ANN401 (an array)
    """Return a rectangle as it would be taped from the wall that it stands along, None where it is no such."""
    at = along_wall(np.array([wall.corner for wall in walls]), corners) if walls else None
    if at is None:
        return None
    lengths = (at.low, at.high - at.low, at.far - at.clear, at.clear)
    return {"wall": at.wall + 1, **_said(TAPED_OBSTACLE, lengths, units)}


def _vent_taped(vent: Vent, walls: Sequence[Wall], units: Unit) -> Json | None:
    """Return a grille as it would be taped from the nearest wall that its length runs along; None where none does."""
    best: tuple[float, Json] | None = None
    for number, wall in enumerate(walls, 1):
        along, clear = _frame(np.array([vent.center]), wall)
        turned = (vent.angle - math.atan2(wall.along[1], wall.along[0])) % math.pi
        beside = clear[0] > 0 and 0 <= along[0] <= wall_length(walls, number)
        if min(turned, math.pi - turned) < math.radians(0.1) and beside and (best is None or clear[0] < best[0]):
            lengths = (along[0], clear[0], *vent.size)
            best = float(clear[0]), {"wall": number, **_said(TAPED_VENT, lengths, units)}
    return best[1] if best else None


def _frame(points: Any, wall: Wall) -> tuple[Any, Any]:  # noqa: ANN401 (arrays)
    out = points - np.array(wall.corner)
    return out @ np.array(wall.along), out @ np.array(wall.inward)


def _said(fields: Sequence[str], lengths: Sequence[float], units: Unit) -> Json:
    return dict(zip(fields, (_as_taped(abs(float(each)), units) for each in lengths), strict=True))


def _as_taped(length: float, units: Unit) -> str:
    """Return a length to 1/16 in or 1 mm where it is that but for what corners are rounded to, else as it is."""
    plain = round_length(length, units)
    return format_exact(plain if abs(plain - length) < ROUNDED else round(length, 6), units).partition(" (")[0]


def _near(made: Sequence[Sequence[float]], there: Sequence[Sequence[float]], units: Unit) -> bool:
    """Whether corners in `units` are where others are that stand there in metres, whichever comes first."""
    one = parse_length(1, units)
    if len(made) != len(there):
        return False
    return all(min(math.dist((x * one, y * one), each) for each in there) < SQUARE for x, y in made)


def _known(sent: Sequence[Mapping[str, Any]], there: Sequence[Mapping[str, Any]]) -> list[int | None]:
    """Return for each thing that was sent which one of the file it is, from 0: that of its name, else that in its
    place where there are as many; None for a new one."""
    names = {str(each["name"]): n for n, each in enumerate(there) if "name" in each}
    in_place = range(len(there)) if len(sent) == len(there) else [None] * len(sent)
    return [names.get(str(each.get("name", "")), at) for each, at in zip(sent, in_place, strict=True)]


def _as_written(made: Json, there: Sequence[Mapping[str, Any]], at: int | None) -> Json:
    """Return what was made, each value as the file has it where it says the same."""
    if at is None:
        return made
    before = there[at]
    return {key: before[key] if key in before and _equal(before[key], value) else value for key, value in made.items()}


def _equal(before: object, now: object) -> bool:
    if isinstance(before, list) and isinstance(now, list):
        return len(before) == len(now) and all(_equal(*pair) for pair in zip(before, now, strict=True))
    return before == now or typed_length(_text(before)) == typed_length(_text(now))


def _changed(key: str, value: object, document: Mapping[str, Any]) -> list[Edit]:
    before = value_at(document, key)
    value = value or None if isinstance(value, list) else value
    alike = before == value if before is None or value is None else _equal(before, value)
    return [] if alike else [Edit(key, value)]


def _renamed(
    kind: str, there: Sequence[Mapping[str, Any]], made: Sequence[Json], document: Mapping[str, Any]
) -> list[Edit]:
    """Return the edits by which whatever names something of a kind goes on naming it under its new name."""
    if len(there) != len(made):
        return []
    names = {
        str(before.get("name")): now["name"]
        for before, now in zip(there, made, strict=True)
        if "name" in now and before.get("name") not in (None, now["name"])
    }
    edits: list[Edit] = []

    def walk(value: object, key: str) -> None:
        if isinstance(value, Mapping):
            if set(value) == {kind} and value[kind] in names:
                edits.append(Edit(key, {kind: names[value[kind]]}))
            for name, each in value.items():
                walk(each, f"{key}.{name}" if key else name)
        elif isinstance(value, list):
            for number, each in enumerate(value, 1):
                walk(each, f"{key}[{number}]")

    if names:
        walk(document, "")
    return edits


def _things(sent: Mapping[str, Any], key: str, job: Job) -> list[Mapping[str, Any]]:
    found = _list(sent[key], key, job.file)
    for n, each in enumerate(found, 1):
        if not isinstance(each, Mapping):
            raise _wrong(job.file, f"{key}[{n}]", each, "give its fields")
    return found


def _list(value: object, key: str, file: str) -> list[Any]:
    if not isinstance(value, list) or len(value) > MOST_THINGS:
        raise _wrong(file, key, value, f"send a list, of {MOST_THINGS} at most")
    return value


def _leg(text: str) -> str:
    """Return a wall as a walk has it: inch marks as words, since quotes need escapes."""
    direction, _, length = text.partition(" ")
    return f"{direction} {typed_length(length)}" if length.strip() else text


def _length(value: object, key: str, job: Job) -> object:
    """Return a typed length as the file has it, None for an empty field."""
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise _wrong(job.file, key, value, "write a length")
    return typed_length(value[:100]) if isinstance(value, str) else value


def _required(value: object, key: str, file: str) -> object:
    if value is None or (isinstance(value, str) and not value.strip()):
        raise SceneError(Place(file, key), "nothing yet", "type its length")
    return typed_length(value[:100]) if isinstance(value, str) else value


def _pair(value: object, key: str, file: str) -> list[object]:
    if not isinstance(value, list) or len(value) != 2:
        raise _wrong(file, key, value, "give two lengths, x and y")
    return [_required(each, key, file) for each in value]


def _whole(value: object, key: str, file: str) -> int:
    text = str(value).strip()
    if not re.fullmatch(r"\d{1,5}", text, re.ASCII):
        raise _wrong(file, key, value, "give a number, counted from 1")
    return int(text)


def _number(value: object, key: str, file: str) -> float | int:
    try:
        found = float(str(value).strip().removesuffix("°"))
    except ValueError:
        raise _wrong(file, key, value, "give a number") from None
    if not math.isfinite(found):
        raise _wrong(file, key, value, "give a number")
    return int(found) if found.is_integer() else found


def _wrong(file: str, key: str, value: object, remedy: str) -> SceneError:
    found = f'"{str(value)[:60]}"' if isinstance(value, str | int | float) else "nothing that can be read"
    return SceneError(Place(file, key), found, remedy)


def _text(value: object) -> str:
    return "" if value is None else str(value)


def _texts(pair: object) -> list[str]:
    """Return the two lengths of a pair, which may be written as one text."""
    return [_text(each) for each in pair] if isinstance(pair, list | tuple) else list(split_pair(str(pair)))
