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
# Sheets, small first, longer side first. A4 to A1: ISO 216. Letter, Tabloid, C and D: ANSI/ASME Y14.1 A to D.
METRIC_SHEETS = (("A4", 297.0, 210.0), ("A3", 420.0, 297.0), ("A2", 594.0, 420.0), ("A1", 841.0, 594.0))
IMPERIAL_SHEETS = (
    ("Letter", 11 * INCH, 8.5 * INCH),
    ("Tabloid", 17 * INCH, 11 * INCH),
    ("ANSI C", 22 * INCH, 17 * INCH),
    ("ANSI D", 34 * INCH, 22 * INCH),
)
COARSEST = 50  # a scale that shows single boards; a coarser one is taken only where no sheet has room for it


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
    """Return the smallest sheet on which a plan of `width` x `depth` metres stands at 1:50 or finer, at the finest
    usual scale that fits it.

    Where none does, it is the smallest sheet at the finest scale that fits any. `aside` mm of paper are kept on every
    side of the plan for dimensions. A room too large for every sheet gets a roll at the coarsest usual scale.
    """
    scales, sheets = (IMPERIAL, IMPERIAL_SHEETS) if imperial(units) else (METRIC, METRIC_SHEETS)
    finest = []
    for name, long, short in sheets:
        for ratio, text in scales:
            fitting = [
                Format(name, w, h, ratio, text)
                for w, h in ((long, short), (short, long))
                if 1000 * width / ratio <= w - 2 * (MARGIN + aside)
                and 1000 * depth / ratio <= h - 2 * (MARGIN + aside) - STRIP
            ]
            if fitting:
                finest.append(fitting[0])
                break
    if finest:
        wanted = max(COARSEST, min(each.ratio for each in finest))
        return next(each for each in finest if each.ratio <= wanted)
    ratio, text = scales[-1]
    paper = max(1000 * width / ratio + 2 * (MARGIN + aside), sheets[0][1])
    return Format("a roll", paper, 1000 * depth / ratio + 2 * (MARGIN + aside) + STRIP, ratio, text)
