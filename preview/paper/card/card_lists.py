"""The card's lists: what is cut, what to buy, and the grilles."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from preview.floor.cut_shapes import Marked
from preview.floor.cuts import CutStrip, cut_boards, cut_strips
from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, Role, wood_of
from preview.floor.ordering import growth, order
from preview.floor.packing import cutting
from preview.paper.words.boards_text import ERROR, by_hand, error_text, whole_by_hand
from preview.paper.words.compare_rows import wood_text
from preview.paper.words.cutting_list import ROUND, SAWN_STRIPS, bevelled, pieces_text, strip_words, strips_note
from preview.paper.words.layer_notes import Row
from preview.paper.words.numbers import total_length, write
from preview.paper.words.setting_out_text import grille_row
from preview.paper.words.shape_words import shape_words
from preview.paper.words.stock_text import stock_summary
from preview.room.room import Room
from preview.scene.job import Job, Unit
from preview.units import format_area, format_length, system

MOST_CUTS = 30  # lines of one list on the card; more are cut from the full list that `lay` prints
MOST_GRILLES = 8
FOR = (("For the border", Role.BORDER), ("For the feature strip", Role.STRIP), ("For thresholds", Role.THRESHOLD))
FULL_LIST = "in the layer's list, by wall and course (printed by preview lay)"


def card_lists(floor: LaidFloor) -> list[list[dict[str, object]]]:
    """Return the cutting lists and what to buy in three columns; a part without a line is left out."""
    layout = floor.layout
    units = floor.job.units
    strips = []
    for heading, role in SAWN_STRIPS:
        pieces = cut_strips(floor.room, layout, role)
        note = strips_note(layout, role, units) if pieces else ""
        if role in ROUND and bevelled(pieces):
            where = "at" if role is Role.BORDER else "towards"
            note += f" Long edge {where} the wall, a square end towards you; left or right: the long point."
        counts = Counter(_strip(each, units) for each in sorted(pieces, key=lambda each: -each.shape.reach))
        strips.append(_part(heading, note, _lines(counts, 0)))
    buy = _part("To buy and to measure", "", _buying(layout, floor.job))
    columns = ([_boards(floor.room, layout, units)], strips, [buy])
    return [[part for part in column if part["rows"]] for column in columns]


def card_grilles(room: Room, layout: Layout, units: Unit) -> list[Row]:
    """Return the grilles, lettered as on their frames and on the plan; of many the first."""
    rows = [grille_row(room, layout, vent, units) for vent in room.vents[:MOST_GRILLES]]
    if len(room.vents) > MOST_GRILLES:
        rows.append(("", f"{len(room.vents) - MOST_GRILLES} more, in the layer's list"))
    return rows


def _boards(room: Room, layout: Layout, units: Unit) -> dict[str, object]:
    whole = whole_by_hand(layout)
    cut = cut_boards(room, layout)
    note = (
        f"{sum(whole):,} laid whole{by_hand(whole, layout.facts.hands)}; {pieces_text(len(cut))} cut from "
        f"{layout.measures['blanks'] - sum(whole):,} more. Face up, {layout.facts.uncut}, or the near end where "
        "both are sawn; left or right is the side of the long point, angles are off square."
    )
    plain = [each.shape for each in cut if not isinstance(each.shape, Marked)]
    counts = Counter(
        shape_words(each, units, sided=True) for each in sorted(plain, key=lambda each: (-each.reach, -each.area))
    )
    return _part("Field boards", note, _lines(counts, len(cut) - len(plain)))


def _strip(each: CutStrip, units: Unit) -> str:
    """Return a strip's words and what it lies along."""
    return f"{strip_words(each, units)}; {each.along}"


def _part(heading: str, note: str, rows: Sequence[Row]) -> dict[str, object]:
    """Return a list under its heading."""
    return {"heading": heading, "note": note, "rows": rows}


def _lines(counts: Counter[str], others: int) -> list[Row]:
    """Return a list's lines, long before short; the last says how many pieces are not on it, `others` among them."""
    most = MOST_CUTS - 1 if others or len(counts) > MOST_CUTS else MOST_CUTS
    kept = {words for words, _ in counts.most_common(most)}
    rows = [(f"{count:,} of", words) for words, count in counts.items() if words in kept]
    if left := others + sum(count for words, count in counts.items() if words not in kept):
        rows.append((f"{left:,} more", FULL_LIST))
    return rows


def _buying(layout: Layout, job: Job) -> list[Row]:
    """Return boards to buy, the waste in them, and what ten boards measure."""
    units = job.units
    found = order(layout, cutting(layout.pieces, layout.board.length, job.stock.kerf).apart)
    grown = growth(layout, ERROR[system(units)])
    return [
        (
            "Boards",
            f"{found.boards:,} of {wood_text(job.wood)}: {found.cut:,} to cut and {found.spare:,} spare, no offcut "
            "used again. With tongue and groove they come left and right: see the layer's list",
        ),
        ("Wood", f"{format_area(found.area, units)}, {total_length(found.length, units)}"),
        ("Waste", f"{write(found.added, 'share', units)} on top of the field, spares included"),
        *(
            (label, f"{total_length(length, units)} of {wood_text(job.woods[int(wood_of(role))])}, before waste")
            for label, role in FOR
            if (length := float(layout.pieces.size[layout.pieces.role == role, 0].sum())) > 0
        ),
        *stock_summary(layout, job),
        ("Ten boards", f"of one course: {format_length(grown.ten, units)} along the chalk line, corner to corner"),
        (
            f"{error_text(units)} wider",
            f"each, and the field grows {format_length(grown.along, units)} end to end: sort by width",
        ),
    ]
