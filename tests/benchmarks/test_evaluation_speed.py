"""Evaluating a layout costs less than laying it: ratios within one run, never seconds."""

from time import perf_counter

from preview.floor.lay import lay_floor
from preview.options.evaluate import evaluate
from preview.options.search import all_candidates
from preview.options.variant import as_job
from preview.scene.job import Center
from tests.strategies import box, make_job, opening


def test_weighing_is_cheaper_than_laying_every_floor():
    """Sixty candidates evaluated, against the same sixty laid whole in rooms that are built already."""
    door = opening(1, 1.2, 1.0)
    job = make_job(corners=box(0, 0, 5.0, 4.2), openings=[door], center=Center("opening", opening="door"))
    tried = all_candidates([job])[1:241:4]
    weigh_all, lay_all = [], []
    for _ in range(2):
        start = perf_counter()
        evaluated = list(evaluate(tried))
        weigh_all.append(perf_counter() - start)
        start = perf_counter()
        for each in evaluated:
            lay_floor(each.candidate.room, as_job(each, "x"))
        lay_all.append(perf_counter() - start)
    assert min(weigh_all) < 0.75 * min(lay_all)
