"""What has to be set or taken out together with a key, so that one choice at a time can be made."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from preview.scene.edit import Edit, value_at
from preview.scene.job import Job
from preview.scene.patterns import own_keys, pattern_keys
from preview.units import system

WHOLE = ("light.sun", "wood.moisture")
"""Tables that a variant sets whole: one of their keys is changed by writing them all."""

RANDOM = {"imperial": ("15 in", "7 ft"), "metric": ("400 mm", "2.1 m")}
"""Random lengths, shortest and longest, as they hold where a scene gives none (see README)."""


def with_companions(key: str, value: object, document: Mapping[str, Any], number: int, job: Job) -> list[Edit]:
    """Return the edits that set `key` to `value` (None: take it out) in variant `number`, 0 for the base.

    document: the scene as it is; job: that variant's job.
    """
    prefix = f"variants[{number}]." if number else ""

    def here(path: str) -> Any:  # noqa: ANN401 (what a file holds)
        own = value_at(document, prefix + path)
        return own if own is not None or not number else value_at(document, path)

    if key == "floor.pattern" and isinstance(value, str):
        own = pattern_keys().get(value.casefold(), {})
        others = [each for each in own_keys() if each not in own]
        return [Edit(f"{prefix}{key}", value), *(Edit(f"{prefix}floor.{each}", None) for each in others)]
    if key.startswith("border.strip."):
        return _strip(key, value, prefix, here("border.strip"), number)
    for table in WHOLE:
        if key.startswith(f"{table}."):
            return _whole(table, key, value, prefix, here(table), number)
    edits = [Edit(f"{prefix}{key}", value)]
    if key == "light.sky" and value == "clear" and here("light.sun") is None:
        edits.append(Edit(f"{prefix}light.sun", some_sun()))
    if key == "stock.lengths" and value is not None:
        edits = [Edit(f"{prefix}stock.shortest", None), Edit(f"{prefix}stock.longest", None), *edits]
    if key in ("stock.shortest", "stock.longest"):
        edits += _random(key, value, prefix, here, job)
    return edits


def some_sun() -> dict[str, object]:
    """Return a sun for a clear sky of which nothing is said yet: this afternoon, at this computer's clock; the place is
    guessed from its zone, half way up the hemisphere, until the latitude is given."""
    now = datetime.now().astimezone().replace(hour=15, minute=0, second=0, microsecond=0)
    offset = now.utcoffset() or timedelta()
    return {"latitude": 45, "longitude": round(offset.total_seconds() / 240), "time": now}


def _whole(table: str, key: str, value: object, prefix: str, there: object, number: int) -> list[Edit]:
    if number == 0 and isinstance(there, Mapping):
        return [Edit(key, value)]
    name = key.rpartition(".")[2]
    changed = dict(there) if isinstance(there, Mapping) else some_sun() if table == "light.sun" else {}
    changed.pop(name, None)
    if value is not None:
        changed[name] = value
    return [Edit(f"{prefix}{table}", changed)]


def _strip(key: str, value: object, prefix: str, there: object, number: int) -> list[Edit]:
    name = key.rpartition(".")[2]
    if name == "width" and (value is None or value == 0 or str(value).casefold() == "none"):
        return [Edit(f"{prefix}border.strip", "none" if number and value is not None else None)]
    if isinstance(there, Mapping):
        return [Edit(f"{prefix}{key}", value)]
    return [Edit(f"{prefix}border.strip", {name: value})] if value is not None else []


def _random(key: str, value: object, prefix: str, here: Any, job: Job) -> list[Edit]:  # noqa: ANN401
    """Random lengths come in twos, and not beside pieces at hand."""
    other = "stock.longest" if key == "stock.shortest" else "stock.shortest"
    if value is None:
        return [Edit(f"{prefix}{other}", None)]
    edits = [Edit(f"{prefix}stock.lengths", None)] if here("stock.lengths") is not None else []
    if here(other) is None:
        edits.append(Edit(f"{prefix}{other}", RANDOM[system(job.units)][other == "stock.longest"]))
    return edits
