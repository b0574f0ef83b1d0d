"""Cutting lists read back from the text that is printed: what somebody at the saw makes of every line."""

from __future__ import annotations

import re
from dataclasses import dataclass

from preview.units import SQUARE_FOOT, parse_length


@dataclass(frozen=True)
class Line:
    """A line of a list: what stands over it, courses, pieces in all, the area of one, by how much rounding may miss
    that, and the words."""

    group: str
    courses: tuple[int, ...]
    count: int
    area: float
    slack: float
    words: str


def section(text: str, heading: str) -> list[str]:
    """Return the lines under a heading of the printed layout, down to the next one."""
    lines = text.split(f"\n\n{heading}\n")[1].splitlines()
    return lines[: next((n for n, line in enumerate(lines) if line and not line.startswith(" ")), len(lines))]


def read_list(text: str, heading: str, width: float, unit: str) -> list[Line]:
    """Return the lines of a printed cutting list; `width` of its pieces in metres."""
    found, group = [], ""
    for line in section(text, heading):
        if re.match(r"  (Along|In) ", line):
            group = line.strip()
        row = re.match(r"    (courses? [\d, ]+(?:\.\.\. \d+|[\dtoand ,]+)?|\d+ of)  +(?:(\d+)(?: each)?: )?(.*)$", line)
        if row and group:
            label, each, words = row.groups()
            courses = read_courses(label) if label.startswith("course") else ()
            count = int(each) * len(courses) if courses else int(label.split()[0])
            area, slack = area_of(words, width, unit)
            found.append(Line(group, courses, count, area, slack, words))
    return found


def read_courses(label: str) -> tuple[int, ...]:
    """Return the courses of ``courses 1, 3, 5 ... 11`` or ``courses 1 to 4 and 7``."""
    words = label.removeprefix("courses").removeprefix("course").strip()
    if "..." in words:
        listed, last = words.split("...")
        first, second, *_ = (int(each) for each in listed.split(","))
        return tuple(range(first, int(last) + 1, second - first))
    found: list[int] = []
    for part in re.split(r",| and ", words):
        low, _, high = part.partition(" to ")
        found += range(int(low), int(high or low) + 1)
    return tuple(found)


def area_of(words: str, width: float, unit: str) -> tuple[float, float]:
    """Return the area (square metres) of a piece drawn from its printed words, and what rounding may miss."""
    step = 0.0254 / 32 if unit in ("in", "ft") else 0.0005

    def read(length: str) -> float:
        return parse_length(length.strip(), bare)

    named = re.match(r"corners in (\w+):", words)
    bare = named[1] if named else unit
    if words.startswith("corners"):
        area, slack = 0.0, 0.0
        for ring in re.split(r"; a hole, ", words.split(";")[0] if "hole" not in words else words):
            points = [
                tuple(read(each) for each in pair.split("×"))
                for pair in re.sub(r"^corners (in \w+: )?", "", ring.split("; ")[0]).split(",")
            ]
            pairs = list(zip(points, points[1:] + points[:1], strict=True))
            part = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2
            area += part if area == 0 else -part
            slack += sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairs) / 2 * step
        return area, slack + 4 * step**2
    patterns = (
        (r"sliver too small to saw: leave it out", lambda: 0.0),
        (r"sliver (.+?) × (.+?): leave it out", lambda a, b: a * b / 2),
        (r"triangle, (.+?) along the edge, (.+?) (?:across the end|deep)", lambda a, b: a * b / 2),
        (r"(.+?) long, ripped from (.+?) to (.+?),", lambda a, b, c: a * (b + c) / 2),
        (r"long (.+?), short (.+?), .*far end (.+?) wide", lambda a, b, c: a * width - (a - b) * (width - c) / 2),
        (r"(?:long|left edge) (.+?), (?:short|right edge) (.+?),.* ripped to (.+?),", lambda a, b, c: (a + b) / 2 * c),
        (r"(?:long|left edge) (.+?), (?:short|right edge) (.+?),", lambda a, b: (a + b) / 2 * width),
        (r"(.+?) (?:long, square|along each edge).*ripped to (.+?),", lambda a, b: a * b),
        (r"(.+?) (?:long, square|along each edge)", lambda a: a * width),
    )
    for pattern, area in patterns:
        match = re.match(pattern, words)
        if match:
            sizes = [read(each) for each in match.groups()]
            missed = [
                abs(area(*(size + step * (n == k) for n, size in enumerate(sizes))) - area(*sizes))
                for k in range(len(sizes))
            ]
            return area(*sizes), sum(missed) + 2 * step**2
    raise AssertionError(f"nobody could saw this: {words}")


def read_area(text: str) -> float:
    """Return square metres of ``12.3 sq ft`` or ``1.14 m²``."""
    number, feet = re.match(r"([\d.,]+) (sq ft)?", text).groups()
    return float(number.replace(",", "")) * (SQUARE_FOOT if feet else 1.0)
