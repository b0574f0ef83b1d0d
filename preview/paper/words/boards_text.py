"""Boards in words: what is cut, what to buy, and what boards that are not true to size add up to."""

from __future__ import annotations

from collections.abc import Sequence

from preview.distinct import distinct
from preview.floor.joints import spline_length, strip_line_length
from preview.floor.layout import Layout, Role
from preview.floor.offcuts import row_offcuts
from preview.floor.ordering import Growth, Order, growth, order
from preview.floor.packing import Cutting, boxes, cutting
from preview.paper.words.cutting_list import pieces_text
from preview.paper.words.layer_notes import Row, wrapped
from preview.paper.words.numbers import on_top, total_length
from preview.scene.job import Job, Unit
from preview.units import format_area, format_exact, format_fine, format_length, system

ERROR = {"imperial": 0.0254 / 32, "metric": 0.0005}
"""By how much a board is taken to be off, metres: 1/32 in or 0.5 mm (common practice, no published source)."""


def boards_text(layout: Layout, job: Job, box: float | None) -> list[Row]:
    """Return the field's boards: counts, what to cut them from, what to buy, splines.

    box: what a box of boards covers, square metres; None where boxes are not asked for.
    """
    counts, units = layout.measures, job.units
    hands = layout.facts.hands
    whole = whole_by_hand(layout)
    need = cutting(layout.pieces, layout.board.length, job.stock.kerf)
    mixed = layout.board.mixed
    again = [
        *wrapped(
            "",
            f"{need.reused:,} with offcuts used again, where boards are grooved all round and joined by splines: an "
            "offcut serves only by an end that still has its groove, and a board has two.",
        ),
        *wrapped(
            "", f"{need.tongued:,} with offcuts used again, where boards have tongue and groove. {layout.facts.grooves}"
        ),
    ]
    return [
        ("Field", format_area(counts["field_area"], units)),
        ("Pieces", f"{sum(whole):,} whole{by_hand(whole, hands)}, {counts['cut_boards']:,} cut"),
        *wrapped(
            "Boards to cut",
            f"{need.apart:,} {'of mixed lengths' if mixed else 'at the stop block'}, no offcut used again"
            f"{_that(to_cut_by_hand(layout), hands)}.",
        ),
        *(wrapped("", f"{layout.facts.grooves} {_offcuts(layout, need, job)}".rstrip()) if mixed else again),
        ("Waste", f"{on_top(counts['waste'], units)}, no offcut used again"),
        *_buying(layout, need, box, job),
        *splines_rows(layout, units),
        ("Not worked out", "Fasteners, adhesive and underlayment: kind and number are their makers' to say."),
        *([("Slivers", f"{pieces_text(int(counts['slivers']))} under 3 mm")] if counts["slivers"] else []),
    ]


def _offcuts(layout: Layout, need: Cutting, job: Job) -> str:
    """Say how many ends sawn off can begin another row, how many boards they save where no joint is moved, and why the
    rest is not counted."""
    units = job.units
    found = row_offcuts(layout, layout.facts.shortest_start, job.stock.kerf)
    if not found.sawn:
        return ""
    ends = f"the {found.sawn:,} ends" if found.sawn > 1 else "the one end"
    if not found.long_enough:
        return f"In this plan none of {ends} sawn off is so long."
    are, saved = "is" if found.long_enough == 1 else "are", need.apart - need.reused
    boards = "no board" if not saved else f"{saved:,} board{'s' if saved > 1 else ''}"
    return (
        f"In this plan {found.long_enough:,} of {ends} sawn off {are} so long, {total_length(found.length, units)} in "
        f"all. With the joints where the plan has them, offcuts save {boards}. Used in another place an offcut moves "
        "the joints of its row, and these must keep the least distance again: what that saves is not counted."
    )


def whole_by_hand(layout: Layout) -> list[int]:
    """Return how many boards of each hand are laid whole."""
    whole = layout.pieces.whole & (layout.pieces.role == Role.BOARD)
    return [int((whole & (layout.pieces.hand == each)).sum()) for each in range(len(layout.facts.hands))]


def to_cut_by_hand(layout: Layout) -> list[int]:
    """Return how many boards of each hand are cut at the stop block where no offcut is used again."""
    pieces = layout.pieces
    board = pieces.role == Role.BOARD
    return [len(distinct(pieces.key[board & (pieces.hand == each)], axis=0)) for each in range(len(layout.facts.hands))]


def by_hand(counts: Sequence[int], hands: Sequence[str]) -> str:
    """Return counts of each hand in brackets; nothing where boards are of one."""
    said = ", ".join(f"{count:,} {hand}" for count, hand in zip(counts, hands, strict=True))
    return f" ({said})" if len(hands) > 1 else ""


def _that(counts: Sequence[int], hands: Sequence[str]) -> str:
    """Return the same after a colon."""
    said = ", ".join(f"{count:,} that {hand}" for count, hand in zip(counts, hands, strict=True))
    return f": {said}" if len(hands) > 1 else ""


def order_text(found: Order, how: str, units: Unit) -> str:
    """Return what to buy: boards, spares, area, length, and all that as a share on top of the field."""
    return (
        f"{found.boards:,} boards ({found.cut:,} and {found.spare:,} spare), {how}: {format_area(found.area, units)}, "
        f"{total_length(found.length, units)}, {on_top(found.added, units)}."
    )


def splines_rows(layout: Layout, units: Unit) -> list[Row]:
    """Return the splines as pieces of stock, for boards that are grooved all round: one in every joint.

    A whole board has its share of the joints in two of its sides: the long one that faces on along the run, which
    takes a near end and the next board, and its far end. Its splines are as long as these two. What the cut boards
    and the border line take besides is cut to suit.
    """
    board, pieces = layout.board, layout.pieces
    whole, end = int((pieces.whole & (pieces.role == Role.BOARD)).sum()), layout.facts.end
    every = spline_length(layout)
    words = f"{total_length(every, units)} before waste, where boards are grooved all round, one in each joint"
    if whole and board.mixed:
        words += f", {layout.facts.sides} of each board"
    elif whole:
        told = format_exact if end == board.width else format_fine
        long, short = format_exact(board.length, units), told(end, units)
        rest = total_length(max(0.0, every - whole * (board.length + end)), units)
        words += f": {whole:,} of {long} and {whole:,} of {short}, {layout.facts.sides} of "
        words += f"each whole board, and {rest} cut to suit for the others"
    if layout.border_width > 0:
        line = total_length(float(layout.field.length), units)
        words += f"; of these, {line} along the border line, where sawn ends are grooved on site"
    if layout.strip_width:
        line = total_length(strip_line_length(layout), units)
        words += f", and {line} along the strip line, where the feature strip is wide enough for two grooves"
    return wrapped("Splines", f"{words}.")


def growth_rows(layout: Layout, units: Unit) -> list[Row]:
    """Return what boards that are not true to size add up to, and what to do about it."""
    found = growth(layout, ERROR[system(units)])
    length, width = (format_exact(each, units) for each in (layout.board.length, layout.board.width))
    ten, across = format_fine(found.ten, units), format_length(found.across, units)
    grown = grown_text(found, units, "from its near end to its far end")
    longer = f"than {length}, every board: the field grows {across} from side to side"
    return [
        ("Ten boards", layout.facts.ten.format(f"measure {ten}")),
        (f"{error_text(units)} wider", f"than {width}, every board: the field grows {grown}"),
        *([(f"{error_text(units)} longer", longer)] if found.across else []),
        *wrapped(
            "What to do",
            "Measure the boards of every bundle and sort them by width; lay boards of one width together, and cut the "
            "odd ones. Lay ten dry and measure them before you fix any, and measure again every ten boards: what has "
            "crept, take up in the joints, or strike the lines anew from what ten measure.",
        ),
    ]


def grown_text(found: Growth, units: Unit, along: str = "end to end") -> str:
    """Return by how much boards that are too wide make the field grow, `along` the run or from side to side."""
    if found.along:
        return f"{format_length(found.along, units)} {along}"
    return f"{format_length(found.wide, units)} from side to side"


def error_text(units: Unit) -> str:
    """Return `ERROR` in words."""
    return '1/32"' if system(units) == "imperial" else "0.5 mm"


def _buying(layout: Layout, need: Cutting, box: float | None, job: Job) -> list[Row]:
    units = job.units
    apart, reused, tongued = (order(layout, each) for each in (need.apart, need.reused, need.tongued))
    rows = wrapped("To buy", order_text(apart, "no offcut used again", units))
    if reused.cut < apart.cut:
        rows += wrapped("", order_text(reused, "grooved all round, offcuts used again", units))
    if reused.cut < tongued.cut < apart.cut:
        rows += wrapped("", order_text(tongued, "tongue and groove, offcuts used again", units))
    rows += [("", "Spares: one board in fifty, two at least.")]
    name = "Boxes"
    if box is None and job.stock.bundle and not (job.stock.lengths or job.stock.random):
        box, name = job.stock.bundle, "Bundles"
    if box is not None:
        count = [boxes(each.boards, layout.board.width, layout.board.length, box) for each in (apart, reused)]
        rows.append((name, f"{count[0]:,} of {format_area(box, units)}; {count[1]:,} where offcuts are used again"))
    return rows
