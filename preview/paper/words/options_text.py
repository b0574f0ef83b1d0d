"""Layouts ranked, as a table with why each stands where it does and what it gives up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from textwrap import wrap

from preview.floor.derived_measures import SMALL
from preview.floor.patterns import pattern_of
from preview.options.evaluate import Evaluated, Score
from preview.options.rank import Criterion, Ranked
from preview.options.search import Search, at_length
from preview.options.variant import center_words, changes, long_words
from preview.paper.words.ends_text import short_ends
from preview.paper.words.numbers import and_list
from preview.paper.words.rows_text import table
from preview.scene.job import Job, Unit
from preview.units import format_count, format_length

WIDE = 110
"""Columns of text that the table may take."""


def options_text(job: Job, found: Search, ranked: Sequence[Ranked], criteria: Sequence[Criterion], shown: int) -> str:
    """Return what was tried and rejected, and the first `shown` of `ranked` in the units of the scene."""
    units = job.units
    out = rejections(found, units)
    lines = [
        f"{job.title}: layouts compared",
        "",
        f"{len(found.evaluated):,} tried, {sum(out.values()):,} rejected, {len(ranked):,} left",
        *(f"  {count:>5,}  {words}" for words, count in out.most_common()),
        *(
            [f"None is without a piece narrower than {format_length(SMALL, units)}: the fewest of them count first."]
            if found.spared
            else []
        ),
        *_tried_widths(found),
        "",
        "Ranked by these criteria in order (within the margin of the best counts as equal; then the next one decides)",
        *(f"  {row}" for row in _criteria(criteria, ranked, units)),
        "",
        own_words(found, ranked, job),
    ]
    if not ranked:
        return "\n".join([*lines, "", "No layout is left: try another board width or border in the scene."]) + "\n"
    top = ranked[:shown]
    lines += ["", *_columns(top, units), ""]
    for number, each in enumerate(top, 1):
        lines += [f"{number:>3}  {headline(each.evaluated, found.own)}"]
        lines += [f"     place {place_words(each)}: {why(each, ranked, units)}"]
        costs = gives_up(each, ranked, criteria, units)
        lines += [f"     gives up: {'; '.join(costs)}" if costs else "     gives up nothing: best in every criterion"]
        lines += [f"     {words}" for words in own_length_words(each, found.own, units)]
    return "\n".join(lines) + "\n"


def _tried_widths(found: Search) -> list[str]:
    """Say of what the scene sets that it was tried otherwise, and how to leave it."""
    own = found.own.candidate.job
    jobs = [each.candidate.job for each in found.evaluated]
    wide = any(job.floor.board_width != own.floor.board_width for job in jobs)
    border = any(job.border.width != own.border.width for job in jobs)
    names = [name for name, varied in (("width", wide), ("border", border)) if varied]
    what = " and ".join({"width": "boards", "border": "borders"}[name] for name in names)
    keep = " ".join(f"--keep {name}" for name in names)
    return [f"Narrower and wider {what} than the scene's are among them: {keep} leaves them out."] if names else []


def headline(each: Evaluated, own: Evaluated) -> str:
    """Say all that a layout has otherwise than the scene."""
    words = ", ".join(changes(each, own)) or "the scene's own layout"
    return f"{words[:1].upper()}{words[1:]}"


def own_length_words(each: Ranked, own: Evaluated, units: Unit) -> list[str]:
    """Say, where boards were fitted anew, what becomes of a layout with boards as long as the scene's."""
    length = format_length(own.length, units)
    if format_length(each.evaluated.length, units) == length:
        return []
    other = at_length(each.evaluated, own.length)
    if other.score is None:
        return [f"with boards of {length}, as in the scene, it is rejected: they {reason_words(other, units)}"]
    score = other.score
    ends: dict[str, list[str]] = {}
    for label, values in short_ends([other.ends]):
        ends.setdefault(values[0], []).append(label.lower())
    walls = "; ".join(f"{and_list(labels)} {words}" for words, labels in ends.items())
    boards = f"{score.cut:,} cut, {format_count(score.blanks_reused, 'board')} with offcuts used"
    words = f"with boards of {length}, as in the scene: {walls}; {boards}"
    return wrap(words, WIDE, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)


def rejections(found: Search, units: Unit) -> Counter[str]:
    """Return how many layouts were rejected for what, in words."""
    return Counter(reason_words(each, units) for each in found.evaluated if each.reason)


def reason_words(each: Evaluated, units: Unit) -> str:
    """Say what a layout is rejected for; "" where it is not."""
    return {
        "side": f"end in small pieces along {each.where}, at the side",
        "end": f"end in small pieces along {each.where}, at an end of the courses",
        "sliver": f"have a piece narrower than {format_length(SMALL, units)}",
        "unfit": "are longer than the field",
        None: "",
    }[each.reason]


def own_words(found: Search, ranked: Sequence[Ranked], job: Job) -> str:
    """Say where the scene's own choice stands."""
    subject = f"The scene's own layout ({job.variant})"
    for each in ranked:
        if each.evaluated is found.own:
            return f"{subject} stands at place {place_words(each)} of {len(ranked):,}."
    return f"{subject} is rejected: its boards {reason_words(found.own, job.units)}."


def why(each: Ranked, ranked: Sequence[Ranked], units: Unit) -> str:
    """Say what puts a layout behind the place before it; for the first, that nothing does."""
    alone = "" if each.equals == 1 else f"; {each.equals} layouts are equal here"
    if each.behind is None:
        return f"ranked first{alone}"
    place = max(other.place for other in ranked if other.place < each.place)
    before = min((other.score for other in ranked if other.place == place), key=each.behind.value)
    here, there = (value_text(each.behind, score, units) for score in (each.score, before))
    return f"behind place {place} in {each.behind.name}: {here} against {there}{alone}"


def gives_up(each: Ranked, ranked: Sequence[Ranked], criteria: Sequence[Criterion], units: Unit) -> list[str]:
    """Return for each criterion in which a layout is not among the best what it has and what the best has."""
    costs = []
    for criterion in criteria:
        best = min((other.score for other in ranked), key=criterion.value)
        if criterion.value(each.score) > criterion.value(best) + criterion.tolerance:
            here, there = (value_text(criterion, score, units) for score in (each.score, best))
            costs.append(f"{criterion.name}, {here} (best: {there})")
    return costs


def value_text(criterion: Criterion, score: Score, units: Unit) -> str:
    """Return what a layout has of a criterion, in words."""
    return {
        "slivers": f"{score.slivers:,} narrower than {format_length(SMALL, units)}",
        "symmetry": f"{100 * score.symmetry:.0f} % alike",
        "sightline": off_sight(score, units),
        "less-waste": f"{100 * score.waste_reused:.1f} % waste with offcuts used again",
        "fewer-cuts": f"{score.cut:,} cut",
    }[criterion.name]


def off_sight(score: Score, units: Unit) -> str:
    """Return how far the centre line lies off the main sight line at the far wall, and on which side."""
    if score.sight is None:
        return "no sight line"
    off = score.sight.at_far_wall
    words = format_length(abs(off), units)
    if words == format_length(0.0, units):
        return "on it"
    return f"{words} towards {score.towards}"


def place_words(each: Ranked) -> str:
    """Return a place, marked where others share it."""
    return f"{each.place}{'=' if each.equals > 1 else ''}"


def _criteria(criteria: Sequence[Criterion], ranked: Sequence[Ranked], units: Unit) -> list[str]:
    margin = {
        "slivers": lambda each: f"{each.tolerance:g}",
        "symmetry": lambda each: f"{100 * each.tolerance:g} in 100",
        "sightline": lambda each: format_length(each.tolerance, units),
        "less-waste": lambda each: f"{100 * each.tolerance:g} in 100",
        "fewer-cuts": lambda each: f"{each.tolerance:g}",
    }
    rows = []
    sight = next((each.score.sight for each in ranked if each.score.sight), None)
    for each in criteria:
        words = each.meaning
        if each.name == "sightline":
            words += f" ({sight.opening})" if sight else " (there is none that runs with the courses)"
        rows.append((each.name, f"{words}; margin {margin[each.name](each)}"))
    return [row.strip() for row in table(rows)]


def _columns(top: Sequence[Ranked], units: Unit) -> list[str]:
    """Return the table: a column for each layout, a row for each number."""
    rows: list[list[str]] = [["Number", *(str(number) for number in range(1, len(top) + 1))]]
    rows.append(["Place", *(place_words(each) for each in top)])
    cells = [(label, [cell(each.evaluated, each.score, units) for each in top]) for label, cell in _CELLS.items()]
    before = next(number for number, (label, _) in enumerate(cells) if label == "Symmetry")
    ends = short_ends([each.evaluated.ends for each in top])
    if any(each.score.slivers for each in top):
        cells.append((f"Narrower than {format_length(SMALL, units)}", [f"{each.score.slivers:,}" for each in top]))
    rows += [[label, *values] for label, values in (*cells[:before], *ends, *cells[before:])]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    spare = max(2, min(4, (WIDE - sum(widths)) // len(widths)))
    return [
        "".join(cell.ljust(width + spare) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]


_CELLS = {
    "Centred on": lambda each, _, units: center_words(each.candidate.job.floor.center),
    "Boards": lambda each, _, units: _board(each, units),
    "Courses": lambda each, _, units: str(each.count),
    "Border": lambda each, _, units: _border(each, units),
    "Start": lambda each, _, units: _start(each, units),
    "Symmetry": lambda _, score, units: f"{100 * score.symmetry:.0f} %",
    "Off the sight line": lambda _, score, units: off_sight(score, units),
    "Pieces cut": lambda _, score, units: f"{score.cut:,}",
    "Boards, offcuts used again": lambda _, score, units: f"{score.blanks_reused:,}",
    "Boards, none used again": lambda _, score, units: f"{score.blanks:,}",
    "Waste, offcuts used again": lambda _, score, units: f"{100 * score.waste_reused:.1f} %",
}


def _board(each: Evaluated, units: Unit) -> str:
    return f"{format_length(each.candidate.job.floor.board_width, units)} × {long_words(each, units)}"


def _border(each: Evaluated, units: Unit) -> str:
    width = each.candidate.job.border.width
    return format_length(width, units) if width else "none"


def _start(each: Evaluated, units: Unit) -> str:
    start = each.candidate.job.floor.start
    if isinstance(start, str):
        return {"full": pattern_of(each.candidate.job).full_start, "both": "same ends"}[start]
    return f"at {format_length(start, units)}"
