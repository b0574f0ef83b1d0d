"""Layouts evaluated: nothing is tried twice, the numbers are the layout's own, ranking is what it says it is."""

import itertools
import re
from dataclasses import replace

import pytest
from paper_scenes import ASKEW, PLAIN

from preview.data import data_folder
from preview.floor.derived_measures import SMALL, derived_measures
from preview.floor.edges import field_edges
from preview.floor.lay import lay_floor
from preview.floor.layout import Role
from preview.floor.sight_lines import sight_offsets
from preview.floor.slivers import sliver_mask
from preview.options.candidates import own_candidate
from preview.options.evaluate import Evaluated, Score, evaluate
from preview.options.rank import CRITERIA, SLIVERS, order, rank
from preview.options.search import all_candidates, search
from preview.options.variant import as_job, name_of, settings
from preview.paper.words.ends_text import short_ends
from preview.paper.words.options_text import gives_up, headline, options_text, own_length_words, rejections, why
from preview.room.measured import build_room
from preview.scene.extend import with_variants
from preview.scene.job import Center
from preview.scene.read import load_scene, read_scene
from preview.units import format_length

OWN = own_candidate(read_scene(PLAIN, "scene.toml")[0])


@pytest.fixture(scope="module", params=[pytest.param(PLAIN, marks=pytest.mark.slow), ASKEW], ids=["plain", "askew"])
def found(request):
    jobs = read_scene(request.param, "scene.toml")
    return request.param, jobs, search(all_candidates(jobs, ["border"]))


def test_no_choice_is_weighed_twice(found):
    _, _, evaluated = found
    choices = [
        (
            each.candidate.job.border.width,
            each.candidate.job.floor.board_width,
            round(each.candidate.axis.place, 6),
            round(each.length, 6),
            each.candidate.job.floor.courses,
            each.candidate.job.floor.start,
        )
        for each in evaluated.evaluated[1:]
    ]
    assert len(choices) > 20
    assert len(set(choices)) == len(choices)


def test_numbers_are_those_of_the_layout(found):
    """A handful laid whole, as their scene would be, against what the search counted."""
    _, _, evaluated = found
    kept = [each for each in evaluated.evaluated if each.score]
    for each in kept[:: max(1, len(kept) // 8)]:
        job = as_job(each, "x")
        room = build_room(job)
        layout = lay_floor(room, job)
        told = layout.measures | derived_measures(room, layout)
        assert (each.score.whole, each.score.cut) == (told["whole_boards"], told["cut_boards"])
        assert (each.score.blanks, each.score.blanks_reused) == (told["blanks"], told["blanks_reused"])
        assert each.count == layout.count and each.length == pytest.approx(layout.board.length)
        for name, measure in (
            ("symmetry", "symmetry"),
            ("waste_reused", "waste_reused"),
        ):
            assert getattr(each.score, name) == pytest.approx(told[measure], abs=1e-9)
        assert [one.text for one in each.ends.each] == [other.text for other in layout.ends.each]
        assert each.score.sight.at_far_wall == pytest.approx(sight_offsets(room, layout)[0].at_far_wall)


def test_what_is_left_has_no_small_triangles_and_no_small_pieces(found):
    """At every wall: pieces at its side longer than a board is wide, triangles at least half of full ones."""
    _, _, evaluated = found
    kept = [each for each in evaluated.evaluated if each.score]
    for each in kept[:: max(1, len(kept) // 8)]:
        width = each.candidate.job.floor.board_width
        layout = lay_floor(build_room(as_job(each, "x")), as_job(each, "x"))
        for stretch in layout.stretches:
            if stretch.kind == "wall" and stretch.meets == "sides":
                assert stretch.triangles is None and stretch.boards.shortest > width
            if stretch.kind == "wall" and stretch.meets == "ends" and stretch.triangles:
                assert stretch.triangles.shortest >= width / 2 - 1e-9
        job = as_job(each, "x")
        layout = lay_floor(build_room(job), job)
        cut = (layout.pieces.role == Role.BOARD) & ~layout.pieces.whole
        assert not sliver_mask(layout.pieces.polygons[cut], SMALL).any()


def test_what_is_thrown_out_deserves_it(found):
    _, jobs, evaluated = found
    out = [each for each in evaluated.evaluated if each.reason]
    assert sum(rejections(evaluated, jobs[0].units).values()) == len(out) > 0
    for each in out[:: max(1, len(out) // 8)]:
        job = as_job(each, "x")
        room = build_room(job)
        layout = lay_floor(room, job)
        told = derived_measures(room, layout)
        if each.reason == "sliver":
            assert told["small_pieces"] > 0
        else:
            assert any(each.where in words and "triangles" in words for words in layout.warnings)
            assert field_edges(layout.field, each.candidate.axis.frame)


def made(symmetry=1.0, sight=0.0, waste=0.05, cut=100):
    seen = None if sight is None else _seen(sight)
    numbers = Score(symmetry, seen, "wall 2", 300, cut, 400, 380, waste)
    return Evaluated(OWN, 0.5, 12, numbers)


def _seen(offset):
    from preview.floor.sight_lines import SightOffset

    return SightOffset("archway", True, 0.0, offset, offset, 4.0)


def test_equal_ones_share_a_place():
    ranked = rank([made(cut=103), made(cut=100), made(cut=120)], order([]))
    assert [(each.place, each.equals) for each in ranked] == [(1, 2), (1, 2), (3, 1)]
    assert [each.behind and each.behind.name for each in ranked] == [None, None, "fewer-cuts"]


def test_the_order_of_wishes_decides():
    on_the_room, on_the_arch = made(symmetry=1.0, sight=0.2), made(symmetry=0.9, sight=0.0)
    evaluated = [on_the_arch, on_the_room]
    assert rank(evaluated, order(["symmetry"]))[0].evaluated is on_the_room
    assert rank(evaluated, order(["sightline"]))[0].evaluated is on_the_arch
    assert [each.name for each in order(["fewer-cuts", "sightline"])] == [
        "fewer-cuts",
        "sightline",
        "symmetry",
        "less-waste",
    ]


def test_ranking_against_its_definition():
    """Sorted by the first criterion and cut wherever a value leaves the margin of the best so far; then the next."""
    values = itertools.product((1.0, 0.995, 0.97), (0.0, -0.005, 0.1), (0.05, 0.054, 0.06), (100, 104, 109))
    evaluated = [made(*each) for each in values]

    def plain(group, criteria):
        if not criteria:
            return [group]
        left, groups = list(group), []
        while left:
            best = min(criteria[0].value(each.score) for each in left)
            same = [each for each in left if criteria[0].value(each.score) <= best + criteria[0].tolerance]
            left = [each for each in left if each not in same]
            groups += plain(same, criteria[1:])
        return groups

    for names in itertools.permutations(CRITERIA, 2):
        expected = plain(evaluated, order(names))
        told = rank(evaluated, order(names))
        assert len(told) == len(evaluated)
        for group in expected:
            places = {each.place for each in told if each.evaluated in group}
            assert len(places) == 1
        assert len({each.place for each in told}) == len(expected)


def test_why_and_what_it_gives_up():
    criteria = order(["symmetry"])
    ranked = rank([made(symmetry=0.9, sight=0.0), made(symmetry=1.0, sight=0.2032)], criteria)
    assert why(ranked[0], ranked, "in") == "ranked first"
    assert why(ranked[1], ranked, "in") == "behind place 1 in symmetry: 90 % alike against 100 % alike"
    assert gives_up(ranked[0], ranked, criteria, "in") == ['sightline, 8" towards wall 2 (best: on it)']
    assert gives_up(ranked[1], ranked, criteria, "in") == ["symmetry, 90 % alike (best: 100 % alike)"]


def test_a_room_without_a_sight_line_or_without_any_layout():
    assert rank([made(sight=None), made(sight=None, cut=150)], order(["sightline"]))[1].behind.name == "fewer-cuts"
    jobs = read_scene(PLAIN, "scene.toml")
    evaluated = search(all_candidates(jobs, ["border", "width", "centre", "start"]))
    out = tuple(each for each in evaluated.evaluated if each.reason)
    told = options_text(jobs[0], replace(evaluated, own=out[0], evaluated=out), [], order([]), 5)
    assert "No layout is left" in told and "is rejected: its boards end in" in told


def test_kept_choices_stay():
    jobs = read_scene(PLAIN, "scene.toml")
    for each in all_candidates(jobs, ["border", "width", "centre", "start", "courses"])[1:]:
        own = jobs[0]
        assert each.job.floor.courses == own.floor.courses == "even"
        assert each.job.border == own.border and each.job.floor.board_width == own.floor.board_width
        assert each.job.floor.center == own.floor.center and each.job.floor.start == own.floor.start


@pytest.mark.parametrize("name", ["dining-room", "kitchen", "hall", "garden-room"])
def test_no_demo_scene_would_be_thrown_out(name):
    for job in load_scene(data_folder("scenes") / f"{name}.toml"):
        (evaluated,) = evaluate([own_candidate(job)])
        assert evaluated.score is not None, (job.variant, evaluated.reason, evaluated.where)


def test_even_and_odd_are_tried_unless_the_scene_gives_a_number():
    base = read_scene(PLAIN, "scene.toml")[0]
    kept = ["border", "width", "centre", "start"]
    tried = all_candidates([base], kept)[1:]
    found = search(all_candidates([base], kept)).evaluated
    assert {each.job.floor.courses for each in tried} == {"even", "odd"}
    assert {each.count % 2 for each in found} == {0, 1}
    off = replace(base, floor=replace(base.floor, center=Center("opening", opening="archway")))
    on_seam, on_course = (
        {each.job.floor.board_length for each in all_candidates([off], kept)[1:] if each.job.floor.courses == parity}
        for parity in ("even", "odd")
    )
    assert on_seam and on_course and on_seam != on_course
    number = found[0].count
    fixed = replace(base, floor=replace(base.floor, courses=number))
    tried = all_candidates([fixed], ["border"])
    assert len(tried) > 3 and {each.job.floor.courses for each in tried} == {number}
    assert {each.count for each in search(tried).evaluated if each.score} == {number}


def test_a_length_that_is_kept_is_the_one_that_is_laid():
    jobs = read_scene(PLAIN, "scene.toml")
    laid = lay_floor(build_room(jobs[0]), jobs[0]).board.length
    tried = all_candidates(jobs, ["length"])[1:]
    assert len(tried) > 20
    assert {round(each.job.floor.board_length, 9) for each in tried} == {round(laid, 9)}
    assert {each.job.floor.courses for each in tried} == {"even", "odd"}


def test_blocks_in_stock_are_the_only_lengths_that_are_tried_and_are_saved_as_long_as_they_are():
    text = PLAIN.replace("board_width = 4", 'board_width = 4\nboard_length = ["350 mm", "400 mm", "20 in"]')
    jobs = read_scene(text, "scene.toml")
    tried = all_candidates(jobs, ["border"])[1:]
    assert {each.job.floor.board_length for each in tried} == {0.35, 0.4, 0.508}
    assert {each.job.floor.courses for each in tried} == {"even", "odd"}
    metric = next(each for each in evaluate(tried) if each.score and each.length == 0.35 and each.candidate.changes > 1)
    assert settings(metric, jobs[0])["floor.board_length"] == "350 mm"
    longer = with_variants(text, [("saved", settings(metric, jobs[0]))], "scene.toml")
    job = read_scene(longer, "scene.toml")[-1]
    assert lay_floor(build_room(job), job).board.length == pytest.approx(0.35, abs=1e-9)


def test_what_changes_is_said_and_what_the_scenes_length_would_cost(found):
    """Held against the scene with that length written into it, laid."""
    _, jobs, evaluated = found
    own, units = evaluated.own, jobs[0].units
    ranked = rank(evaluated.evaluated, order([]))
    thrown = 0
    for each in ranked[:: max(1, len(ranked) // 12)]:
        choice = each.evaluated.candidate.job.floor
        words = headline(each.evaluated, own)
        long = format_length(each.evaluated.length, units) != format_length(own.length, units)
        assert (
            f"{format_length(each.evaluated.length, units)} instead of {format_length(own.length, units)}" in words
        ) is long
        assert (f"n the {choice.center.opening}" in words) is (choice.center != jobs[0].floor.center)
        told = " ".join(line.strip() for line in own_length_words(each, own, units))
        assert bool(told) is long
        if told and "rejected" not in told:
            job = replace(each.evaluated.candidate.job, floor=replace(choice, board_length=own.length))
            layout = lay_floor(build_room(job), job)
            assert f" {layout.measures['cut_boards']:,} cut" in told
            for label, (words,) in short_ends([layout.ends]):
                assert label.lower() in told and words in told
        thrown += bool(told) and "rejected" in told
    assert thrown


def test_a_saved_choice_is_the_choice(found):
    """Written into its scene and read again, a layout is laid as it was evaluated, and nothing else is touched."""
    text, jobs, evaluated = found
    commented = "# as measured on site\n" + text
    kept = [each for each in evaluated.evaluated if each.score and each.candidate.changes]
    names = [job.variant for job in jobs]
    for each in kept[:: max(1, len(kept) // 5)]:
        name = name_of(each, jobs[0], names)
        longer = with_variants(commented, [(name, settings(each, jobs[0]))], "scene.toml")
        assert longer.startswith(commented.rstrip("\n"))
        job = read_scene(longer, "scene.toml")[-1]
        layout = lay_floor(build_room(job), job)
        assert job.variant == name and job.floor.center == each.candidate.job.floor.center
        assert layout.measures["cut_boards"] == each.score.cut
        assert layout.board.length == pytest.approx(each.length)


def test_variants_are_added_however_a_scene_has_them():
    head = 'title = "T"\nunits = "in"\n'
    inline = head + 'variants = [{ name = "A", floor.board_width = 5 }] # keep me\n[floor]\nboard_width = 4\n'
    more = [("B", {"floor.center": {"opening": 'the "arch"'}, "floor.start": "both", "border.width": '4 1/2"'})]
    added = with_variants(inline, more, "x")
    assert "# keep me" in added and added.count("name = ") == 2
    dos = (head + "[floor]\nboard_width = 4\n").replace("\n", "\r\n")
    assert "\n" not in with_variants(dos, more, "x").replace("\r\n", "")
    tables = with_variants(head + '[[variants]]\nname = "A"\nfloor.board_width = 5\n', more, "x")
    assert tables.count("[[variants]]") == 2 and 'floor.start = "both"' in tables


ATTIC = """
title = "Attic"
units = "cm"
[room]
corners = [[0, 0], [412, 22], [455, 295], [230, 370], [-35, 301]]
[floor]
board_width = 7
board_length = ["35 cm", "42 cm"]
run = 20
courses = "any"
[border]
width = 9
"""


def test_in_a_room_where_slivers_can_t_be_avoided_the_fewest_count_first():
    """No wall runs with the courses: every layout has a piece under 6 mm somewhere, and still one is better."""
    jobs = read_scene(ATTIC, "scene.toml")
    found = search(all_candidates(jobs, ["border", "width"]))
    assert found.spared and all(each.score.slivers for each in found.evaluated)
    criteria = [SLIVERS, *order([])]
    ranked = rank(found.evaluated, criteria)
    counts = [each.score.slivers for each in ranked]
    assert counts == sorted(counts) and counts[0] < counts[-1]
    for each in (ranked[0], ranked[-1]):  # as a layer would count them in the floor that is laid
        pieces = lay_floor(each.evaluated.candidate.room, as_job(each.evaluated, "x")).pieces
        cut = pieces.polygons[(pieces.role == Role.BOARD) & ~pieces.whole]
        assert int(sliver_mask(cut, SMALL).sum()) == each.score.slivers
    words = options_text(jobs[0], found, ranked, criteria, 5)
    assert "None is without a piece narrower than 0.6 cm: the fewest of them count first." in words
    assert re.search(rf"Narrower than 0.6 cm +{counts[0]} ", words) and "No layout is left" not in words


def test_the_scene_s_own_choice_is_told_as_it_is_laid_even_where_it_is_rejected():
    """Its boards, longer than the fit against slivers, and its courses, counted in every wing, are what lay tells."""
    tee = PLAIN.split("[[variants]]")[0].replace(
        "[[0, 0], [180, 0], [180, 144], [0, 144]]",
        "[[72, 0], [168, 0], [168, 132], [252, 132], [252, 240], [0, 240], [0, 132], [72, 132]]",
    )
    tee = tee.replace("offset = 40", "offset = 20")
    assert "252" in tee
    for start in ('"full"', '"both"', '"3"'):
        job = read_scene(tee.replace("[floor]", f"[floor]\nstart = {start}", 1), "scene.toml")[0]
        own = search([own_candidate(job)]).own
        layout = lay_floor(build_room(job), job)
        assert own.count == layout.count and own.length == pytest.approx(layout.board.length)


def test_the_sight_line_that_counts_is_the_one_that_the_floor_is_centred_on():
    job = read_scene(PLAIN, "scene.toml")[0]
    first = job.openings[0]
    second = replace(first, name="terrace doors", offset=0.2, wall=3)
    job = replace(job, openings=(first, second))
    for center, name in (
        (Center("room"), first.name),
        (Center("opening", opening=second.name), second.name),
    ):
        base = replace(job, floor=replace(job.floor, center=center))
        found = search(all_candidates([base], ["border", "width", "length", "courses", "start"]))
        assert {each.score.sight.opening for each in found.evaluated if each.score} == {name}
