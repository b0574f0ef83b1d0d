"""Which sheet a plan is drawn on, and at which scale."""

from __future__ import annotations

from dataclasses import dataclass

from preview.scene.job import Unit

INCH = 25.4
MARGIN = 9.0  # mm, more than common office printers leave white (common practice, no published source)
STRIP = 36.0  # mm, the height of the strip of numbers and titles along the foot of the sheet

# Scales in use on building plans in each system (common practice, no published source).
METRIC = ((10, "1:10"), (20, "1:20"), (25, "1:25"), (50, "1:50"), (100, "1:100"), (200, "1:200"), (500, "1:500"))
IMPERIAL = (
    (8, "1 1/2\" = 1'"),
    (12, "1\" = 1'"),
    (16, "3/4\" = 1'"),
    (24, "1/2\" = 1'"),
    (32, "3/8\" = 1'"),
    (48, "1/4\" = 1'"),
    (96, "1/8\" = 1'"),
    (192, "1/16\" = 1'"),
    (384, "1/32\" = 1'"),
)
# Sheets, small first, landscape then upright. A4 and A3: ISO 216. Letter and Tabloid: ANSI/ASME Y14.1 A and B.
METRIC_SHEETS = (("A4", 297.0, 210.0), ("A4", 210.0, 297.0), ("A3", 420.0, 297.0), ("A3", 297.0, 420.0))
IMPERIAL_SHEETS = (
    ("Letter", 11 * INCH, 8.5 * INCH),
    ("Letter", 8.5 * INCH, 11 * INCH),
    ("Tabloid", 17 * INCH, 11 * INCH),
    ("Tabloid", 11 * INCH, 17 * INCH),
)
COARSEST_ON_SMALL = 50  # a coarser scale than this asks for the larger sheet


@dataclass(frozen=True)
class Format:
    """A named sheet of `width` x `height` mm and a scale 1:`ratio`, written `scale_text`."""

    name: str
    width: float
    height: float
    ratio: float
    scale_text: str


def imperial(units: Unit) -> bool:
    """Whether a scene's units are feet or inches."""
    return units in ("in", "ft")


def choose_format(width: float, depth: float, units: Unit, aside: float) -> Format:
    """Return the smallest sheet, and on it the largest usual scale, for a plan of `width` x `depth` metres.

    `aside` mm of paper are kept on every side of the plan for dimensions. A room too large for the largest sheet
    gets a sheet of its own at the coarsest usual scale.
    """
    scales, sheets = (IMPERIAL, IMPERIAL_SHEETS) if imperial(units) else (METRIC, METRIC_SHEETS)
    for limit in (COARSEST_ON_SMALL, float("inf")):
        for name in dict.fromkeys(sheet[0] for sheet in sheets):
            fitting = [
                (ratio, order, Format(name, w, h, ratio, text))
                for order, (each, w, h) in enumerate(sheets)
                if each == name
                for ratio, text in scales
                if ratio <= limit
                and 1000 * width / ratio <= w - 2 * MARGIN - 2 * aside
                and 1000 * depth / ratio <= h - 2 * MARGIN - STRIP - 2 * aside
            ]
            if fitting:
                return min(fitting, key=lambda found: found[:2])[2]
    ratio, text = scales[-1]
    return Format(
        "Roll",
        max(1000 * width / ratio + 2 * (MARGIN + aside), sheets[2][1]),
        1000 * depth / ratio + 2 * (MARGIN + aside) + STRIP,
        ratio,
        text,
    )
