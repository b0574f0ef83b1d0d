"""What comes of the sticks that one buys, in words."""

from __future__ import annotations

from collections import Counter

from preview.floor.layout import Layout
from preview.floor.ordering import Order, order
from preview.floor.packing import cutting
from preview.floor.stock.given import bundles, cut_given
from preview.floor.stock.needs import Needs, Saw, needs_of
from preview.floor.stock.random_lengths import SEED, buy_random
from preview.paper.words.layer_notes import Row, wrapped
from preview.paper.words.numbers import long_text, total_length, write
from preview.scene.job import Job, Unit
from preview.units import format_area, format_count, format_exact, format_length, system


def stock_text(layout: Layout, job: Job) -> list[Row]:
    """Return what to saw from the sticks at hand, or how many bundles of random lengths to buy; nothing where the
    scene says neither."""
    stock, units = job.stock, job.units
    if not (stock.lengths or stock.random):
        return []
    found = order(layout, cutting(layout.pieces, layout.board.length, stock.kerf).apart)
    if layout.board.mixed:
        return _as_they_come(found, layout, job)
    needs, saw = needs_of(layout, job, found.boards), Saw(stock.kerf, stock.trim)
    mitre = f", {format_length(needs.slant, units)} more of each stick for its first mitre" if needs.slant else ""
    return [
        *wrapped("Needed", _needed(needs, layout, job)),
        (
            "The saw",
            f"{_saw(saw.kerf, units)} a cut, {_saw(saw.trim, units)} to square each end of a stick{mitre}",
        ),
        *(_given(needs, saw, job) if stock.lengths else _random(needs, saw, job)),
    ]


def stock_summary(layout: Layout, job: Job) -> list[Row]:
    """Return the few rows of `stock_text` that say what to buy, or whether the sticks suffice, each in one row."""
    found: dict[str, str] = {}
    label = ""
    for name, words in stock_text(layout, job):
        label = name or label
        found[label] = f"{found[label]} {words}" if label in found else words
    return [(name, words) for name, words in found.items() if name in ("Yield", "To buy", "Bundles", "Not enough")]


def _saw(metres: float, units: Unit) -> str:
    """Return what a saw takes, to the tenth of a millimetre where that is how one measures it."""
    return format_exact(metres, units) if system(units) == "imperial" else f"{round(1000 * metres, 1):g} mm"


def _needed(needs: Needs, layout: Layout, job: Job) -> str:
    words = f"{format_count(needs.blocks, 'board')} of {format_exact(needs.length, job.units)}, spares among them"
    strip = " The feature strip is bought separately." if layout.strip_width else ""
    if needs.border:
        count = sum(count for _, count in needs.border)
        return f"{words}, and the border's {format_count(count, 'piece')}, to be cut first.{strip}"
    if layout.border_width > 0:
        return f"{words}. The border is of another width or wood and is bought separately.{strip}"
    return f"{words}."


def _what(needs: Needs) -> str:
    """Return what the sticks are for."""
    return "the field with its spares, and the border" if needs.border else "the field with its spares"


def _as_they_come(found: Order, layout: Layout, job: Job) -> list[Row]:
    """Return what to buy where boards are laid as long as they come."""
    stock, units, board = job.stock, job.units, layout.board
    words = f"laid as long as they come, {long_text(board, units, format_length)}, {total_length(found.length, units)}"
    rows = wrapped("Needed", f"{words} in all, spares among them.")
    if stock.bundle:
        count = bundles(found.length, board.width, stock.bundle)
        rows.append(("Bundles", f"{count:,} of {format_area(stock.bundle, units)} hold as much"))
    short = found.length - sum(each.length * each.count for each in stock.lengths)
    if stock.lengths and short > 0:
        rows += wrapped("Not enough", f"These sticks are {total_length(short, units)} short.")
    return rows


def _given(needs: Needs, saw: Saw, job: Job) -> list[Row]:
    units, width = job.units, job.floor.board_width
    plan = cut_given(needs, job.stock.lengths, saw)
    aside: Counter[float] = Counter()
    plain: Counter[tuple[float, int]] = Counter()
    rows: list[Row] = []
    for each in plan.used:
        if each.border:
            aside[each.length] += each.count
        else:
            plain[each.length, each.blocks] += each.count
    if aside:
        rows += wrapped("Set aside", f"{_sticks(aside, units)} for the border; the rest of each is sawn into boards:")
        for each in plan.used:
            if each.border:
                pieces = " + ".join(format_length(length, units) for length in each.border)
                more = f" + {format_count(each.blocks, 'board')}" if each.blocks else ""
                rows += wrapped("", f"{each.count} of {format_length(each.length, units)}: {pieces}{more}")
    for (length, blocks), count in sorted(plain.items(), reverse=True):
        rows.append(
            ("Boards", f"{count:,} of {format_length(length, units)}: {format_count(blocks, 'board')} from each")
        )
    sawn = needs.length * plan.blocks + sum(sum(each.border) * each.count for each in plan.used)
    if plan.length:
        used = f"{total_length(plan.length, units)} of sticks ({format_area(plan.length * width, units)})"
        share = write(sawn / plan.length, "share", units)
        over = write(plan.gap, "share", units)
        least = "the least there is" if plan.gap == 0 else f"within {over} of the least there is"
        rows += wrapped("In all", f"{format_count(plan.blocks, 'board')} from {used}, {share} of it used: {least}.")
    if job.stock.bundle and plan.length:
        count = bundles(plan.length, width, job.stock.bundle)
        hold = f"hold as much: {_what(needs)}"
        rows += wrapped("Bundles", f"{count:,} of {format_area(job.stock.bundle, units)} {hold}.")
    left = Counter({each.length: each.count for each in plan.left})
    rows += wrapped("Left over", f"{_sticks(left, units)}." if left else "No stick.")
    missing = [
        f"{count} of the border's pieces of {format_length(length, units)}" for length, count in plan.border_short
    ]
    if plan.short:
        missing.append(format_count(plan.short, "board"))
    if missing:
        more = ""
        if plan.short and plan.length:
            length = plan.short * needs.length * plan.length / sawn
            more = f" As well used, that is {total_length(length, units)} of sticks"
            if job.stock.bundle:
                count = bundles(length, width, job.stock.bundle)
                more += f", {format_count(count, 'bundle')} of {format_area(job.stock.bundle, units)}"
            more += " more."
        rows += wrapped("Not enough", f"These sticks are {' and '.join(missing)} short.{more}")
    return rows


def _random(needs: Needs, saw: Saw, job: Job) -> list[Row]:
    stock, units, width = job.stock, job.units, job.floor.board_width
    shortest, longest = stock.shortest or 0.0, stock.longest or 0.0
    mean = (shortest + longest) / 2
    bundle = stock.bundle / width if stock.bundle else mean
    plan = buy_random(needs, shortest, longest, bundle, saw)
    span = f"{format_length(shortest, units)} to {format_length(longest, units)}"
    if plan is None:
        return wrapped("Not enough", f"Sticks of {span} hold no such piece: buy longer ones, or lay another length.")
    rows: list[Row] = [("Sticks", f"{span}, all lengths equally often")]
    lost = "the rest is ends too short for one, and saw cuts"
    rows += wrapped(
        "Yield", f"{write(plan.share, 'share', units)} of their length becomes boards at the stop block; {lost}."
    )
    if needs.border:
        rows += wrapped(
            "Set aside", "The longest sticks for the border, before any board is cut; then saw what is left of them."
        )

    def amount(count: int) -> str:
        area = format_area(count * plan.length * width, units)
        long = total_length(count * plan.length, units)
        return f"{format_count(count, 'bundle')} ({area}, {long})" if stock.bundle else f"{area} ({long})"

    half = "" if plan.expected == plan.sure else f"; in half of them {amount(plan.expected)}"
    rows += wrapped("To buy", f"{amount(plan.sure)} for {_what(needs)}: enough in 95 of 100 lots{half}.")
    rows += wrapped("Left over", f"On average {format_count(max(0, round(plan.left)), 'board')} more than needed.")
    rows += wrapped("", f"Estimated by sawing {plan.lots:,} random lots (seed {SEED}, so the result is repeatable).")
    return rows


def _sticks(counts: Counter[float], units: Unit) -> str:
    return ", ".join(f"{counts[length]:,} of {format_length(length, units)}" for length in sorted(counts, reverse=True))
