"""The layout as text: what whoever lays the floor reads at the saw and on the floor."""

from __future__ import annotations

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout
from preview.paper.words.boards_text import boards_text, growth_rows
from preview.paper.words.cutting_list import cutting_lists
from preview.paper.words.ends_text import ends_text
from preview.paper.words.obstacle_text import obstacle_rows
from preview.paper.words.rows_text import table
from preview.paper.words.setting_out_text import grille_row, setting_out_text
from preview.paper.words.stock_text import stock_text
from preview.paper.words.year import year_rows
from preview.room.room import Room
from preview.scene.job import Unit

ONE_LINE = 10_000
"""Columns of a piece in a cutting list, ticked off line by line."""

CAUTIONS = (
    "Saw with the guard on and the stop block fixed; keep hands clear of the blade. Wear eye, ear and dust protection.",
    "Saw short pieces off the end of a longer board that is clamped; never hold a small piece at the blade by hand.",
    "Wood dust and adhesive fumes harm lungs and can catch fire: extract them, ventilate, keep flames and sparks away.",
    "Bring the wood to the moisture of the lived-in room, and check the subfloor's, before a board is fixed.",
    "Leave the gaps at walls, and the clearances at hearths, stoves and flues, that local codes and makers ask for.",
    "Keep vents open to their ducts, and have gas, electric and duct work done by those licensed for it.",
    "Local codes, the makers' instructions and licensed practice come before anything printed here.",
)


def layout_text(floor: LaidFloor, box: float | None = None) -> str:
    """Return the layout in plain words and in the units of `job`, ending in the usual cautions.

    box: what a box of boards covers, square metres; where it is given, the boxes are counted.
    """
    room, layout, job = floor.room, floor.layout, floor.job
    units = job.units
    sections = (
        ("Setting out", setting_out_text(floor)),
        ("Where the courses end", ends_text(layout)),
        ("Boards", boards_text(layout, job, box)),
        ("From the sticks", stock_text(layout, job)),
        ("Boards that are not true to size", growth_rows(layout, units)),
        ("Through the year", year_rows(floor)),
        ("Obstacles", obstacle_rows(room, units)),
        ("Grilles", [grille_row(room, layout, vent, units) for vent in room.vents]),
    )
    lines = [layout.title, layout.variant]
    for heading, rows in sections:
        if rows:
            lines += ["", heading, *table(rows)]
    lines += lists_text(room, layout, units)
    if layout.warnings:
        lines += ["", "Warnings", *(f"  ! {each}" for each in (*layout.warnings, *floor.remedy.advice))]
    return "\n".join([*lines, "", "Before you cut", *(f"  · {each}" for each in CAUTIONS)]) + "\n"


def lists_text(room: Room, layout: Layout, units: Unit) -> list[str]:
    """Return the cutting lists as lines."""
    lines = []
    for heading, notes, groups in cutting_lists(room, layout, units):
        lines += ["", heading, *(f"  {note}" for note in notes)]
        for group in groups:
            lines += ["", f"  {group.heading}", *(f"  {row}" for row in table(group.rows, ONE_LINE))]
    return lines
