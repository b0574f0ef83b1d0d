"""The card's lists: what is cut, and the grilles."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from preview.floor.layout import Layout, Role
from preview.paper.cutting_list import Cut, cutting_list, end_angles
from preview.paper.layer_notes import Row
from preview.paper.numbers import total_length
from preview.paper.setting_out_text import grille_row
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_length, round_length

MOST_CUTS = 13  # lines of one list on the card; more are cut from the full list that `lay` prints
MOST_GRILLES = 8


def card_lists(room: Room, layout: Layout, units: Unit) -> list[list[dict[str, object]]]:
    """Return the cutting lists and the grilles in three columns; a part without a line is left out."""
    counts = layout.measures
    whole = f"{counts['whole_boards']:,} laid whole; {counts['cut_boards']:,} pieces cut from the rest:"
    boards = _part("Field boards", whole, _lines(cut_boards(layout, units), units))
    strips = []
    for heading, role in (("Border", Role.BORDER), ("Thresholds", Role.THRESHOLD)):
        cuts = cutting_list(layout, role, units)
        strips.append(_part(heading, _strip_note(layout, role, cuts, units), _lines(cuts, units)))
    lettered = [grille_row(room, layout, vent, units) for vent in room.vents[:MOST_GRILLES]]
    if len(room.vents) > MOST_GRILLES:
        lettered.append(("", f"{len(room.vents) - MOST_GRILLES} more, on the plan"))
    grilles = _part("Grilles", "Lettered alike on the frames and on the plan.", lettered)
    return [[part for part in column if part["rows"]] for column in ([boards], strips, [grilles])]


def _part(heading: str, note: str, rows: Sequence[Row]) -> dict[str, object]:
    """Return a list under its heading."""
    return {"heading": heading, "note": note, "rows": rows}


def _strip_note(layout: Layout, role: Role, cuts: Sequence[Cut], units: Unit) -> str:
    """Say how wide strips are, how long all of them together, and, where there are mitres, how those are measured."""
    chosen = layout.pieces.role == role
    if not chosen.any():
        return ""
    note = f"{format_length(float(np.median(layout.pieces.size[chosen, 1])), units)} wide"
    if chosen.sum() > 1:
        note += f", {total_length(float(layout.pieces.size[chosen, 0].sum()), units)} in all before waste"
    return note + ("; mitres to their long points." if any(each.mitred for each in cuts) else ".")


def cut_boards(layout: Layout, units: Unit) -> list[Cut]:
    """Return the field boards that are cut, by what is left of them: length over all along the grain, and ends."""
    pieces = layout.pieces
    found: Counter[tuple[float, tuple[float, float] | None]] = Counter()
    for number in np.flatnonzero((pieces.role == Role.BOARD) & ~pieces.whole):
        polygon, grain = pieces.polygons[number], float(pieces.grain[number])
        reach = np.asarray(polygon.exterior.coords) @ np.array([np.cos(grain), np.sin(grain)])
        length, ends = float(np.ptp(reach)), end_angles(polygon, grain)
        if ends == (0.0, 0.0) and length > layout.board.length - 1e-4:
            ends = None  # cut all the same, so notched or ripped
        found[round_length(length, units), ends] += 1
    cuts = [Cut(length, ends, count) for (length, ends), count in found.items()]
    return sorted(cuts, key=lambda each: (-each.length, each.ends or (90.0, 90.0)))


def _lines(cuts: Sequence[Cut], units: Unit) -> list[Row]:
    """Return a cutting list's lines, the last of a long list saying how many pieces are not on it."""
    shown = (
        list(cuts)
        if len(cuts) <= MOST_CUTS
        else sorted(sorted(cuts, key=lambda each: -each.count)[: MOST_CUTS - 1], key=lambda each: -each.length)
    )
    rows = [(f"{cut.count} of {format_length(cut.length, units)}", cut.ends_text()) for cut in shown]
    if left := sum(cut.count for cut in cuts) - sum(cut.count for cut in shown):
        rows.append((f"{left} more", "of other lengths, measured in place"))
    return rows
