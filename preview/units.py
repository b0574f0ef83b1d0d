"""Lengths, angles and areas as people write them, and back.

Inside the program a length is metres and an angle is radians anticlockwise from +x; feet, inches and degrees
live only here, in scene files and on paper. Sums are exact (fractions) until the one rounding to a float, so
that what is printed is read back as the very same number.

What a length may look like: ``12' 7 1/2"``, ``12 ft 7.5 in``, ``12'-7½"``, ``4 3/4"``, ``3.85 m``, ``3,85 m``,
``3 m 85 cm``, ``4" + 3/4"``, ``8 × 90 mm``. A number alone, in a text too (``"3/4"``), is in the unit of the scene;
once a sum names a unit, every part of it must. Only after feet may the inches go without theirs: ``6 ft 10``.
"""

from __future__ import annotations

import itertools
import math
import re
import unicodedata
from fractions import Fraction
from functools import lru_cache
from typing import Literal

Unit = Literal["in", "ft", "mm", "cm", "m"]
System = Literal["imperial", "metric"]

_INCH = Fraction(254, 10000)  # exact since the international yard and pound agreement of 1959
_METRES = {
    "in": _INCH,
    "ft": 12 * _INCH,
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": Fraction(1),
}
UNITS: tuple[Unit, ...] = ("in", "ft", "mm", "cm", "m")
NAMES: dict[str, str] = {
    **{name: "in" for name in ('"', "in", "inch", "inches")},
    **{name: "ft" for name in ("'", "ft", "foot", "feet")},
    **{name: "mm" for name in ("mm", "millimetre", "millimetres", "millimeter", "millimeters")},
    **{name: "cm" for name in ("cm", "centimetre", "centimetres", "centimeter", "centimeters")},
    **{name: "m" for name in ("m", "metre", "metres", "meter", "meters")},
}
SQUARE_FOOT = 0.3048**2
_STEP = {"imperial": _INCH / 16, "metric": Fraction(1, 1000)}
_INCHES_ALONE = 24  # inches: below two feet, inches alone are what one reads off the tape
SMALL = {"m": 1.0, "cm": 0.01}  # metres: a length below this is told in mm, not in m or cm
EXACT = 1e-6  # of a part: what floating point leaves of a size that was given in whole parts

MARKS = str.maketrans(
    {
        **dict.fromkeys("′’‘ʹ´`", "'"),
        **dict.fromkeys("″”“ʺ", '"'),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\t", " "),
        **dict.fromkeys("−–‒", "-"),
        "⁄": "/",
        "\u00d7": " × ",
    }
)
NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_VALUE = rf"(?:(?P<whole>[0-9]+)(?:\s*-\s*|\s+))?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)|(?P<number>{NUMBER})"
_TERM = re.compile(rf"\s*(?:{_VALUE})\s*(?P<unit>'|\"|[^\W\d_]+\.?)?\s*")
_TIMES = re.compile(r"\s+[×xX]\s+|\s*×\s*")

POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
BEARINGS = {name: 22.5 * step for step, name in enumerate(POINTS)} | {
    name: 45.0 * step
    for step, name in enumerate(
        ("NORTH", "NORTHEAST", "EAST", "SOUTHEAST", "SOUTH", "SOUTHWEST", "WEST", "NORTHWEST"),
    )
}


class MeasureError(ValueError):
    """A length or an angle that can't be read: `found` says what stands there, `remedy` what is accepted."""

    def __init__(self, found: str, remedy: str) -> None:
        self.found, self.remedy = found, remedy
        super().__init__(f"{found}; {remedy}")


def system(unit: Unit) -> System:
    """Return whether `unit` is imperial or metric."""
    return "imperial" if unit in ("in", "ft") else "metric"


def parse_length(value: str | float, unit: Unit) -> float:
    """Return a length in metres, either sign.

    Args:
        value: a number, in `unit`, or a text such as ``12' 7 1/2"``.
        unit: what a number without a unit of its own is in.

    Raises:
        MeasureError: what was found and what is accepted.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise MeasureError(f"{_shown(value)} instead of a length", f"write a number or a text such as {_example(unit)}")
    if isinstance(value, str):
        metres = _written(value, unit)
    elif math.isfinite(value):
        metres = Fraction(value) * _METRES[unit]
    else:
        raise MeasureError(f"{value} instead of a length", "write a finite number")
    if abs(metres) > 1_000_000:
        raise MeasureError(f"a length of {_shown(value)}", "no floor is a thousand kilometres long")
    return float(metres)


@lru_cache(maxsize=4096)
def _written(text: str, unit: Unit) -> Fraction:
    """Return a length that is written; a scene is read once for each of its variants, at the table at each change."""
    return _sum(_plain(text), text, unit)


def split_pair(text: str) -> tuple[str, str]:
    """Return the two lengths written as ``10" × 4"`` or ``10 x 4 in`` (the last unit then goes for both), as texts."""
    parts = _TIMES.split(_plain(text))
    if len(parts) != 2:
        raise MeasureError(f"{_shown(text)} instead of two lengths", 'write them as "10 × 4 in"')
    first, second = parts
    lone, last = _TERM.fullmatch(first), _TERM.fullmatch(second)
    if lone and last and last["unit"] and not lone["unit"]:
        first = f"{first} {last['unit']}"
    return first, second


def round_length(metres: float, unit: Unit) -> float:
    """Return `metres` rounded as `format_length` prints it: to 1/16 in or 1 mm."""
    step = _STEP[system(unit)]
    return float(round(Fraction(metres) / step) * step)


def format_length(metres: float, unit: Unit) -> str:
    """Return a length as text, to the nearest 1/16 in (``12' 7 1/2"``) or 1 mm, which `parse_length` reads back; in mm
    where one of less than a metre would be in m."""
    if system(unit) == "imperial":
        return _imperial(round(Fraction(metres) / _STEP["imperial"]), 16)
    millimetres = round(Fraction(metres) / _STEP["metric"])
    if unit == "m" and abs(millimetres) < 1000 * SMALL[unit]:
        return f"{millimetres} mm"
    decimals = {"mm": 0, "cm": 1, "m": 3}[unit]
    return f"{millimetres / 10**decimals:.{decimals}f} {unit}"


def format_fine(metres: float, unit: Unit) -> str:
    """Return a distance that lines are struck by as text, to the nearest 1/32 in or 0.5 mm: half of what a tape is
    marked in, so that a line found by two of them is still true a room's width away."""
    if system(unit) == "imperial":
        return _imperial(round(Fraction(metres) / (_INCH / 32)), 32)
    halves = round(Fraction(metres) * 2000)
    if unit == "m" and abs(halves) < 2000 * SMALL[unit]:
        unit = "mm"
    return _decimal(Fraction(halves, 2000) / _METRES[unit], {"mm": 0, "cm": 1, "m": 3}[unit]) + f" {unit}"


def format_exact(metres: float, unit: Unit) -> str:
    """Return a size that repeats from board to board as text, without rounding, in the unit in which it was given.

    Rounded to a sixteenth of an inch, 90 mm drifts by 0.7 mm a board. What is no whole number of 1/64 in or of
    0.01 mm in the system of `unit` is told in the other system, with what it is about in `unit`: ``90 mm (about
    3 9/16")``; what is neither is told in decimals. Small sizes are told in mm, where larger ones are in m or cm.
    """
    if metres < SMALL.get(unit, 0.0):
        unit = "mm"
    sixtyfourths, hundredths = Fraction(metres) / (_INCH / 64), Fraction(metres) * 100_000
    imperial, metric = (abs(each - round(each)) < EXACT for each in (sixtyfourths, hundredths))
    if system(unit) == "imperial":
        if imperial:
            return _imperial(round(sixtyfourths), 64)
        if metric:
            return f"{_decimal(Fraction(round(hundredths), 100), 0)} mm" + _about(metres, unit)
        return f'{_decimal(Fraction(metres) / _INCH, 0)}"'
    if metric or not imperial:
        return _decimal(Fraction(metres) / _METRES[unit], {"mm": 0, "cm": 1, "m": 3}[unit]) + f" {unit}"
    return _imperial(round(sixtyfourths), 64) + _about(metres, unit)


def _about(metres: float, unit: Unit) -> str:
    rounded = format_length(metres, unit)
    return f" (about {rounded})" if rounded != format_length(0.0, unit) else ""


def _decimal(value: Fraction, least: int) -> str:
    """Return a number with `least` decimals, and more, up to five, where it has them."""
    text = f"{float(value):.5f}".rstrip("0")
    whole, _, part = text.partition(".")
    part = part.ljust(least, "0")
    return f"{whole}.{part}" if part else whole


def format_gap(metres: float, unit: Unit) -> str:
    """Return a gap too fine for a tape as text, to 0.001 in or 0.1 mm: ``0.022"`` or ``0.6 mm``."""
    if system(unit) == "imperial":
        return f'{metres / float(_INCH):.3f}"'
    return f"{1000 * metres:.1f} mm"


def format_count(count: int, what: str) -> str:
    """Return a count of things: ``1 course``, ``1,200 courses``."""
    return f"{count:,} {what}{'' if count == 1 else 's'}"


def format_area(square_metres: float, unit: Unit) -> str:
    """Return an area as text: ``251.8 sq ft`` or ``23.39 m²``."""
    if system(unit) == "imperial":
        return f"{square_metres / SQUARE_FOOT:.1f} sq ft"
    return f"{square_metres:.2f} m²"


SQUARES: dict[str, float] = {
    **dict.fromkeys(("sq ft", "sqft", "ft2", "ft²", "square feet", "square foot"), SQUARE_FOOT),
    **dict.fromkeys(("m2", "m²", "sq m", "sqm", "square metres", "square meters", "square metre", "square meter"), 1.0),
}


def parse_area(value: str | float, unit: Unit) -> float:
    """Return an area in square metres from a number, in square feet or square metres by the system of `unit`, or a
    text such as ``20 sq ft`` or ``1,86 m²``.

    Raises:
        MeasureError: what was found and what is accepted.
    """
    example = {"imperial": "20 sq ft", "metric": "1.86 m²"}[system(unit)]
    plain = {"imperial": SQUARE_FOOT, "metric": 1.0}[system(unit)]
    if isinstance(value, str):
        match = re.fullmatch(rf"({NUMBER})\s*(.*)", value.translate(MARKS).strip())
        name = " ".join(match[2].lower().replace(".", "").split()) if match else ""
        if match is None or (name and name not in SQUARES):
            raise MeasureError(f"{_shown(value)} instead of an area", f'write one such as "{example}"')
        return float(match[1].replace(",", ".")) * (SQUARES[name] if name else plain)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise MeasureError(f"{_shown(value)} instead of an area", f'write a number or a text such as "{example}"')
    return value * plain


def parse_angle(value: str | float) -> float:
    """Return an angle in radians from degrees: a number, or a text such as ``45°`` or ``22.5 deg``."""
    text = value
    if isinstance(value, str):
        match = re.fullmatch(rf"\s*(?P<sign>[-+]?)\s*(?P<number>{NUMBER})\s*(?:°|deg|degrees?)?\s*", _plain(value))
        text = float(match["sign"] + match["number"].replace(",", ".")) if match else math.nan
    if isinstance(text, bool) or not isinstance(text, int | float) or not abs(text) <= 3600:
        raise MeasureError(f"{_shown(value)} instead of an angle", "write degrees, such as 45 or 22.5")
    return math.radians(text)


def parse_bearing(word: str) -> float:
    """Return a direction in the drawing, radians anticlockwise from +x in [0, 2 pi).

    Compass letters (E is +x, N is +y, NE halfway between), or a number, the surveyor's bearing: degrees clockwise
    from N, so that 90 is E and 180 is S.
    """
    bearing = BEARINGS.get(word.strip().upper().replace("-", ""))
    if bearing is None:
        number = re.fullmatch(rf"({NUMBER})°?", word.strip())
        bearing = float(number[1].replace(",", ".")) if number else math.nan
    if not 0 <= bearing <= 360:
        raise MeasureError(
            f"{_shown(word)} is not a direction",
            "write compass letters, such as E or NE, or a bearing in degrees clockwise from N, such as 90",
        )
    return math.radians((90 - bearing) % 360)


def parse_leg(text: str, unit: Unit) -> tuple[float, float]:
    """Return one wall of a tape walk, ``E 15' 6"`` or ``112.5 3.20 m``, as (bearing, length).

    The first word says where one walks, as `parse_bearing` reads it, in radians; the rest is the length, in metres and
    above zero.
    """
    if not isinstance(text, str):
        raise MeasureError(
            f"{_shown(text)} instead of a wall", f'write where it runs and how long, "E {_example(unit)}"'
        )
    word, _, rest = text.translate(MARKS).strip().replace("°", "° ").partition(" ")
    try:
        bearing = parse_bearing(word)
    except MeasureError as error:
        found = f"{_shown(text)} does not begin with a direction"
        raise MeasureError(found, f"{error.remedy}, then the length: E {_example(unit)}") from None
    if not rest.strip():
        raise MeasureError(f"{_shown(text)} has no length", f"write it after the direction: {word} {_example(unit)}")
    length = parse_length(rest, unit)
    if length <= 0:
        raise MeasureError(f"a wall of {_shown(rest.strip())}", "give a length above zero")
    return bearing, length


def format_bearing(radians: float) -> str:
    """Return a direction (radians anticlockwise from +x) in compass letters where they fit, else as a bearing."""
    bearing = round((90 - math.degrees(radians)) % 360, 6) % 360
    step, rest = divmod(bearing, 22.5)
    return POINTS[int(step)] if rest == 0 else f"{bearing:g}"


def _plain(text: str) -> str:
    """Return `text` with typographic marks and vulgar fractions as plain ones."""
    if len(text) > 200:
        raise MeasureError("a length of more than 200 letters", "write a length alone")
    spelled = (
        f" {unicodedata.normalize('NFKD', mark)}" if unicodedata.decomposition(mark).startswith("<fraction>") else mark
        for mark in text
    )
    return "".join(spelled).translate(MARKS).replace("''", '"').strip()


def _sum(plain: str, text: str, unit: Unit) -> Fraction:
    """Return the metres of a whole text: an optional sign, then parts joined by +."""
    sign = -1 if plain.startswith("-") else 1
    parts = plain.lstrip("-").split("+") if plain[:1] == "-" else plain.removeprefix("+").split("+")
    if not plain or not all(part.strip() for part in parts):
        raise MeasureError(f"{_shown(text)} instead of a length", f"write one such as {_example(unit)}")
    lone = len(parts) == 1
    return sign * sum((_product(part, text, unit, lone) for part in parts), Fraction(0))


def _product(part: str, text: str, unit: Unit, lone: bool) -> Fraction:
    """Return the metres of ``8 × 90 mm``, or of a part without a times mark."""
    factors = _TIMES.split(part)
    if len(factors) == 1:
        return _part(part, text, unit, lone)
    count = _TERM.fullmatch(factors[0])
    if len(factors) != 2 or count is None or count["unit"]:
        raise MeasureError(
            f"{_shown(text)} instead of one length", f'write one length, or a count times one: "8 × {_example(unit)}"'
        )
    return _value(count, "m", text) * _part(factors[1], text, unit, lone)


def _part(part: str, text: str, unit: Unit, lone: bool) -> Fraction:
    """Return the metres of one length such as ``12' 7 1/2"``: units of one system, each smaller than the one before."""
    terms: list[tuple[re.Match[str], str | None]] = []
    at = 0
    while at < len(part):
        match = _TERM.match(part, at)
        if match is None:
            raise MeasureError(f"{_shown(text)} is not a length", f"write one such as {_example(unit)}")
        name = (match["unit"] or "").rstrip(".").lower()
        if name and name not in NAMES:
            raise MeasureError(f"unknown unit {match['unit']!r} in {_shown(text)}", "write in, ft, mm, cm or m")
        terms.append((match, NAMES.get(name)))
        at = match.end()
        if name in ("'", "ft", "foot", "feet") and part[at : at + 1] == "-":
            at += 1  # 12'-7", as drawings have it
            if at == len(part):
                raise MeasureError(f"{_shown(text)} ends in a dash", f"write one such as {_example(unit)}")
    names = [name for _, name in terms]
    if lone and names == [None]:
        return _value(terms[0][0], unit, text) * _METRES[unit]
    if names[-2:] == ["ft", None] and _inches(terms[-1][0], text):
        names[-1] = "in"
    metres = Fraction(0)
    for place, ((match, _), name) in enumerate(zip(terms, names, strict=True)):
        if name is None:
            raise MeasureError(f"a number without its unit in {_shown(text)}", _hint(names, place, match))
        metres += _value(match, name, text) * _METRES[name]
    sizes = [_METRES[name] for name in names if name]
    if any(small >= large for large, small in itertools.pairwise(sizes)):
        raise MeasureError(
            f"units out of order in {_shown(text)}", 'write the larger unit first, each once: "3 m 85 cm"'
        )
    if len({name in ("in", "ft") for name in names}) > 1:
        raise MeasureError(f"feet or inches beside metres in {_shown(text)}", "keep to one of them")
    return metres


def _inches(match: re.Match[str], text: str) -> bool:
    """Whether a bare number after feet is inches: a whole one or a fraction, under a foot, as a tape is read out. After
    metres nothing is taken so: 3 m 85 could be 3.85 m, or a slip."""
    return (match["number"] or "0").isdigit() and _value(match, "in", text) < 12


def _value(match: re.Match[str], unit: str, text: str) -> Fraction:
    """Return the number in a term; a comma is a decimal comma unless it could as well part thousands."""
    if match["number"] is None:
        if int(match["bottom"]) == 0:
            raise MeasureError(f"a fraction over zero in {_shown(text)}", "write one such as 3/4")
        return int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"]))
    number = match["number"]
    if unit != "m" and re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", number):
        joined, point = number.replace(",", ""), number.replace(",", ".")
        raise MeasureError(f"{number} in {_shown(text)} can be read in two ways", f"write {joined} or {point}")
    return Fraction(number.replace(",", "."))


def _hint(names: list[str | None], place: int, match: re.Match[str]) -> str:
    number = match[0].strip()
    below = {"m": "cm", "cm": "mm", "ft": "in"}
    previous = names[place - 1] if place else None
    if previous in below:
        return f"say what it is in, such as {number} {below[previous]}"
    following = next((name for name in names[place + 1 :] if name), None)
    return f"say what it is in, such as {number} {'ft' if following == 'in' else following or 'in'}"


def _imperial(count: int, parts: int) -> str:
    """Return `count` parts of an inch, `parts` to the inch, in feet, inches and a fraction."""
    sign, size = ("-" if count < 0 else ""), abs(count)
    feet, rest = divmod(size, 12 * parts) if size >= _INCHES_ALONE * parts else (0, size)
    whole, part = divmod(rest, parts)
    fraction = Fraction(part, parts)
    inches = " ".join(str(each) for each in (whole, fraction) if each) or "0"
    if not feet:
        return f'{sign}{inches}"'
    return f"{sign}{feet}'" if not rest else f"{sign}{feet}' {inches}\""


def _example(unit: Unit) -> str:
    return {"in": "12 ft 7 1/2 in", "ft": "12 ft 7 1/2 in", "mm": "3850 mm", "cm": "385 cm", "m": "3.85 m"}[unit]


def _shown(value: object) -> str:
    text = str(value).lower() if isinstance(value, bool) else str(value)
    text = text if len(text) <= 60 else text[:57] + "..."
    if not isinstance(value, str) or ('"' in text and "'" in text):
        return text
    return f"'{text}'" if '"' in text else f'"{text}"'
