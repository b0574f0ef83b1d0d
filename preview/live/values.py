"""The value of each control in each variant, as it is shown; and what was typed, as a scene file has it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from urllib.parse import quote

from preview.errors import Place, SceneError
from preview.live.controls import Control, meant
from preview.paper.words.paint_words import OWN
from preview.paper.words.run_words import angle_text
from preview.scene.edit import value_at
from preview.scene.job import BorderChoice, Job
from preview.scene.write import typed_length
from preview.units import format_area, format_exact, parse_length

Json = dict[str, Any]

PAINTED = frozenset(f"paint.{surface}" for surface in OWN)
NOT_GIVEN = {
    "wood.moisture": "not given",
    "stock.lengths": "none",
    "stock.shortest": "not given",
    "stock.longest": "not given",
    "stock.bundle": "not given",
}
"""What is said of keys that the program does without."""


def values(
    controls: Sequence[Control], document: Mapping[str, Any], number: int, jobs: Sequence[Job]
) -> dict[str, Json]:
    """Return by key what variant `number` (0 the base) has: `value` as a page sends it back, None where the
    scene leaves it to the program; `text` as it is shown; whether it is the variant's `own`;
    whether it is to be `shown` at all."""
    job = jobs[number]
    own = document if number == 0 else value_at(document, f"variants[{number}]")
    found = {}
    for each in controls:
        here = value_at(own, each.key)
        value = here if here is not None or number == 0 else value_at(document, each.key)
        found[each.key] = {
            "value": _sent(value),
            "text": shown_text(each, job),
            **_pictured(each, job),
            "own": here is not None,
            "shown": meant(each.key, job),
        }
    return found


def _pictured(control: Control, job: Job) -> Json:
    """Return where there is a picture of the colour that a surface has, whether the scene gives it or not."""
    if control.key not in PAINTED:
        return {}
    return {"picture": f"/swatch/paint/{quote(_of_job(control.key, job), safe='')}"}


def shown_text(control: Control, job: Job) -> str:
    """Return what a job has under a control's key, in the scene's units; empty where the program finds it later."""
    value = _of_job(control.key, job)
    if control.key == "floor.center":
        center = job.floor.center
        if center.point is not None:
            return f"a point, {' and '.join(_length(each, job) for each in center.point)}"
        return "the room" if center.opening is None else f"the {center.opening}"
    if control.key in NOT_GIVEN and value in (None, ()):
        return NOT_GIVEN[control.key]
    if control.key == "stock.lengths":
        return ", ".join(f"{each.count} of {_length(each.length, job)}" for each in job.stock.lengths)
    if control.key == "stock.bundle":
        return format_area(value, job.units)
    if control.key == "wood.moisture":
        return ", ".join(f"{each:g}" for each in vars(value).values())
    if value is None:
        return ""
    if isinstance(value, tuple):
        return ", ".join(_length(each, job) for each in value)
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, str):
        return next((each.label for each in control.options if each.value == value), value)
    if control.kind in ("length", "lengths"):
        return "none" if value == 0 and control.key in ("border.width", "floor.gap") else _length(value, job)
    if control.kind == "direction":
        return _direction(value, control)
    if control.key in ("floor.angle", "north"):
        return f"{round(math.degrees(value), 2):g}°"
    return f"{value:g}"


def _direction(angle: float, control: Control) -> str:
    """Return the option that a direction is, radians, or its angle."""
    turned = math.degrees(angle) % 360
    named = (each.label for each in control.options if abs((float(str(each.value)) - turned + 180) % 360 - 180) < 0.01)
    return next(named, angle_text(angle))


def _of_job(key: str, job: Job) -> Any:  # noqa: ANN401 (values of many kinds)
    table, _, name = key.rpartition(".")
    if key == "floor.board_length":
        return job.floor.lengths or job.floor.board_length or "fit"
    if key in PAINTED:
        return getattr(job.paint, name) or OWN[name]
    if key.startswith("border.strip"):
        return _of_strip(name, job.border)
    if table == "floor" and not hasattr(job.floor, name):
        return job.floor.of_pattern(name)
    found: Any = job
    for part in key.split("."):
        found = getattr(found, part, None)
    return found


def _of_strip(name: str, border: BorderChoice) -> Any:  # noqa: ANN401
    if border.strip is None:
        return "none" if name == "width" else None
    return border.strip.width if name == "width" else getattr(border.strip.wood, name)


def _length(metres: float, job: Job) -> str:
    return format_exact(metres, job.units).partition(" (")[0]


def _sent(value: Any) -> Any:  # noqa: ANN401
    """Return a value of a file as JSON has it."""
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: _sent(each) for key, each in value.items()}
    return [_sent(each) for each in value] if isinstance(value, list) else value


def toml_value(control: Control, sent: object, file: str, job: Job) -> object:
    """Return what a page sent for a control as the scene file is to have it; None takes the key out.

    What it means is found out when the file is read again: here only its form is.

    Raises:
        SceneError: it has no form that the file could have.
    """

    def wrong(remedy: str) -> SceneError:
        written = sent if isinstance(sent, str) else type(sent).__name__
        found = f'"{str(written)[:60]}"' if isinstance(sent, str) else "something else than a text or a number"
        return SceneError(Place(file, control.key), found, remedy)

    if sent is None or (isinstance(sent, str) and not sent.strip() and control.kind != "text"):
        return None
    if control.kind == "place":
        return _place(sent, job, wrong)
    if isinstance(sent, bool) or not isinstance(sent, str | int | float):
        raise wrong("send a text or a number")
    if isinstance(sent, float) and not math.isfinite(sent):
        raise wrong("send a finite number")
    if not isinstance(sent, str):
        return int(sent) if isinstance(sent, float) and sent.is_integer() else sent
    text = sent.strip()
    if not text:
        return None
    if len(text) > 500:
        raise wrong("keep it short")
    match control.kind:
        case "length" | "lengths":
            return _lengths(text, control)
        case "number" | "direction":
            return _number(text, control, wrong)
        case "date":
            return _moment(text, wrong)
    if control.kind == "picture-choice":
        return _named(text, control) or text
    if control.key == "wood.moisture":
        return _moisture(text, wrong)
    if control.key == "stock.lengths":
        return _sticks(text, wrong)
    return text


def _named(text: str, control: Control) -> str | None:
    """Return the option that a typed text names, by its value or by what it is called."""
    for each in control.options:
        if text.casefold() in (str(each.value).casefold(), each.label.casefold()):
            return str(each.value)
    return None


def _lengths(text: str, control: Control) -> object:
    name = _named(text, control)
    if name is not None and not any(letter.isnumeric() for letter in name):
        return name
    parts = [text] if control.kind == "length" else [each for each in re.split(r"\s*[;,]\s+|\s*;\s*", text) if each]
    read = [typed_length(name if len(parts) == 1 and name else each) for each in parts]
    return read[0] if len(read) == 1 else read


def _number(text: str, control: Control, wrong: Any) -> object:  # noqa: ANN401
    if (name := _named(text, control)) is not None:
        return name
    plain = text.replace(",", ".").replace("\u2212", "-").removesuffix("°").strip()
    if re.fullmatch(r"[-+]?\d{1,12}", plain):
        return int(plain)
    if re.fullmatch(r"[-+]?\d{1,12}\.\d{1,12}", plain):
        return float(plain)
    if control.options or control.unit == "degrees":
        return text  # a letter of the compass, or a slip: the reader says what is accepted
    raise wrong("write a number")


def _moment(text: str, wrong: Any) -> datetime:  # noqa: ANN401
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        raise wrong("write date, time and offset from UTC: 2026-10-14T16:00:00+01:00") from None
    if found.tzinfo is None:
        raise wrong("write date, time and offset from UTC: 2026-10-14T16:00:00+01:00")
    return found.replace(microsecond=0)


def _moisture(text: str, wrong: Any) -> object:  # noqa: ANN401
    numbers = re.findall(r"\d+(?:\.\d+)?", text)
    if len(numbers) != 3:
        raise wrong("write three numbers in per cent: when laid, in summer, in winter, such as 8, 11, 5")
    read = [float(each) for each in numbers]
    return dict(
        zip(("install", "summer", "winter"), (int(each) if each.is_integer() else each for each in read), strict=True)
    )


def _sticks(text: str, wrong: Any) -> object:  # noqa: ANN401
    found = []
    for part in re.split(r"\s*[;,]\s*", text):
        match = re.fullmatch(r"(\d{1,7})\s*(?:of|×|x|\*)\s*(.+)", part, re.IGNORECASE)
        if match is None:
            raise wrong("write how many of which length: 12 of 7 ft, 20 of 5 ft 6 in")
        found.append({"length": typed_length(match[2]), "count": int(match[1])})
    return found


def _place(sent: object, job: Job, wrong: Any) -> object:  # noqa: ANN401
    remedy = "choose the room, an opening, or a point on the plan"
    if isinstance(sent, str):
        if sent.strip().casefold() in ("room", "the room"):
            return "room"
        raise wrong(remedy)
    if not isinstance(sent, dict) or len(sent) != 1:
        raise wrong(remedy)
    kind, value = next(iter(sent.items()))
    if kind == "opening" and isinstance(value, str):
        return {"opening": value}
    if kind in ("point", "metres") and isinstance(value, list) and len(value) == 2:
        if kind == "metres":
            if not all(isinstance(each, int | float) and math.isfinite(each) and abs(each) < 1e4 for each in value):
                raise wrong(remedy)
            return {"point": [in_units(float(each), job) for each in value]}
        if all(isinstance(each, str | int | float) and not isinstance(each, bool) for each in value):
            return {"point": [typed_length(each) if isinstance(each, str) else each for each in value]}
    raise wrong(remedy)


def in_units(metres: float, job: Job) -> float | int:
    """Return a length found on the plan as a bare number of the scene's units, to 1/8 in or 1 mm."""
    one = parse_length(1, job.units)
    step = parse_length("1/8 in", job.units) if job.units in ("in", "ft") else 0.001
    found = round(round(metres / step) * step / one, 6)
    return int(found) if found.is_integer() else found
