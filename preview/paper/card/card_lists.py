"""The card's lists: what is cut, what to buy, and the grilles."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

import numpy as np

from preview.floor.cut_shapes import Marked
from preview.floor.cuts import CutStrip, cut_boards, cut_strips, edge_names
from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, Role, wood_of
from preview.floor.ordering import growth, order
from preview.floor.packing import cutting
from preview.paper.card.piece_sketches import sketches
from preview.paper.words.boards_text import ERROR, by_hand, error_text, grown_text, to_cut_by_hand, whole_by_hand
from preview.paper.words.compare_rows import wood_text
from preview.paper.words.cutting_list import (
    ROUND,
    SAWN_STRIPS,
    bevelled,
    board_words,
    pieces_text,
    strip_words,
    strips_note,
)
from preview.paper.words.layer_notes import Row
from preview.paper.words.numbers import and_list, on_top, total_length, write
from preview.paper.words.obstacle_text import obstacle_rows
from preview.paper.words.setting_out_text import grille_row
from preview.paper.words.stock_text import stock_summary
from preview.room.room import Room
from preview.scene.job import Job, Unit
from preview.units import format_area, format_fine, system

MOST_GRILLES = 8
MOST_OBSTACLES = 8
FOR = (("For the border", Role.BORDER), ("For the feature strip", Role.STRIP), ("For thresholds", Role.THRESHOLD))
FULL_LIST = "in the layer's list, by wall and course (printed by preview lay)"


def card_lists(floor: LaidFloor) -> list[dict[str, object]]:
    """Return the cutting lists of strips, and what to buy; a part without a line is left out."""
    layout = floor.layout
    units = floor.job.units
    strips = []
    for heading, role in SAWN_STRIPS:
        pieces = cut_strips(floor.room, layout, role)
        note = strips_note(floor.room, layout, role, units) if pieces else ""
        if role in ROUND and bevelled(pieces):
            where = "at" if role is Role.BORDER else "towards"
            note += f" Long edge {where} the wall, a square end towards you; left or right: the long point."
        counts = Counter(_strip(each, units) for each in sorted(pieces, key=lambda each: -each.shape.reach))
        strips.append(_part(heading, note, [(f"{count:,} of", words) for words, count in counts.items()]))
    buy = _part("To buy and to measure", "", _buying(layout, floor.job))
    return [part for part in (*strips, buy) if part["rows"]]


def card_grilles(room: Room, layout: Layout, units: Unit) -> list[Row]:
    """Return the grilles, lettered as on their frames and on the plan; of many the first."""
    rows = [grille_row(room, layout, vent, units) for vent in room.vents[:MOST_GRILLES]]
    if len(room.vents) > MOST_GRILLES:
        rows.append(("", f"{len(room.vents) - MOST_GRILLES} more, in the layer's list"))
    return rows


def card_obstacles(room: Room, units: Unit) -> list[Row]:
    """Return where the obstacles stand; of many the first."""
    rows = obstacle_rows(room, units)[:MOST_OBSTACLES]
    if len(room.obstacles) > MOST_OBSTACLES:
        rows.append(("", f"{len(room.obstacles) - MOST_OBSTACLES} more, in the layer's list"))
    return rows


def card_boards(floor: LaidFloor) -> dict[str, object]:
    """Return the list of cut field boards, long before short, with all that a page needs which has no space for it.

    Each row has its place among the rows by how many pieces it stands for, `rank`; `left[n]` says how many pieces are
    on none of the n rows that rank first.
    """
    room, layout, units = floor.room, floor.layout, floor.job.units
    whole = whole_by_hand(layout)
    cut = cut_boards(room, layout)
    note = (
        f"{sum(whole):,} laid whole{by_hand(whole, layout.facts.hands)}; {pieces_text(len(cut))} cut from "
        f"{layout.measures['blanks'] - sum(whole):,} more. Face up, {layout.facts.uncut}, or the near end where "
        "both are sawn; left or right is the side of the long point, angles are off square."
    )
    if any(isinstance(each.shape, Marked) for each in cut):
        note += " Corners: each so far from the left edge × so far from the end towards you."
    note += " Each line ends with the walls that its pieces lie along."
    ordered = sorted(cut, key=lambda each: (isinstance(each.shape, Marked), -each.shape.reach, -each.shape.area))
    counts: Counter[str] = Counter()
    along: dict[str, set[str]] = defaultdict(set)
    told = [board_words(each, units, with_ends=isinstance(each.shape, Marked)) for each in ordered]
    for each, words in zip(ordered, told, strict=True):
        counts[words] += 1
        along[words] |= set(each.along)
    drawn = sketches(layout, {words: each.shape for each, words in zip(ordered, told, strict=True)})
    ranked = {words: rank for rank, (words, _) in enumerate(counts.most_common())}
    left = len(cut) - np.cumsum([0, *(count for _, count in counts.most_common())])
    return {
        "heading": "Field boards",
        "note": note,
        "rows": [
            {
                "label": f"{count:,} of",
                "words": f"{words}; {_where(room, along[words])}"
                + (f" ({drawn[words].name})" if words in drawn else ""),
                "rank": ranked[words],
                "sketch": drawn[words].told() if words in drawn else None,
            }
            for words, count in counts.items()
        ],
        "sketch_note": "Corner pieces, face up, the end towards you below; the thin line is the board.",
        "left": [f"{each:,} more, {FULL_LIST}" for each in left],
    }


def _where(room: Room, names: set[str]) -> str:
    """Return what pieces are cut along: walls by number, then obstacles and grilles by name."""
    found = [name for name in edge_names(room) if name in names]
    walls = [name.removeprefix("wall ") for name in found if name.startswith("wall ")]
    said = [f"wall{'s' * (len(walls) > 1)} {and_list(walls)}"] if walls else []
    return ", ".join([*said, *found[len(walls) :]])


def _strip(each: CutStrip, units: Unit) -> str:
    """Return a strip's words and what it lies along."""
    return f"{strip_words(each, units)}; {each.along}"


def _part(heading: str, note: str, rows: Sequence[Row]) -> dict[str, object]:
    """Return a list under its heading."""
    return {"heading": heading, "note": note, "rows": rows}


def _buying(layout: Layout, job: Job) -> list[Row]:
    """Return boards to buy, the waste in them, and what ten boards measure."""
    units = job.units
    found = order(layout, cutting(layout.pieces, layout.board.length, job.stock.kerf).apart)
    grown = growth(layout, ERROR[system(units)])
    facts = layout.facts
    hands = by_hand(to_cut_by_hand(layout), facts.hands)
    tongued = f". {facts.tongued}{hands}, and spares of each" if facts.tongued else ""
    return [
        (
            "Boards",
            f"{found.boards:,} of {wood_text(job.wood)}: {found.cut:,} to cut and {found.spare:,} spare, no offcut "
            f"used again{tongued}",
        ),
        ("Wood", f"{format_area(found.area, units)}, {total_length(found.length, units)}"),
        (
            "Waste",
            f"{on_top(layout.measures['waste'], units)}, no offcut used again; "
            f"{write(found.added, 'share', units)} with the spares",
        ),
        *(
            (label, f"{total_length(length, units)} of {wood_text(job.woods[int(wood_of(role))])}, before waste")
            for label, role in FOR
            if (length := float(layout.pieces.size[layout.pieces.role == role, 0].sum())) > 0
        ),
        *stock_summary(layout, job),
        ("Ten boards", layout.facts.ten.format(f"measure {format_fine(grown.ten, units)}")),
        (
            f"{error_text(units)} wider",
            f"each, and the field grows {grown_text(grown, units)}: sort by width",
        ),
    ]
