"""One room tried: read, laid and told as `check` and `lay` do it, what was printed held against the pieces."""

from __future__ import annotations

import json
import math
import resource
import warnings
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from time import process_time

from preview.errors import PreviewError
from preview.floor.laid import LaidFloor
from preview.options.rank import order, rank
from preview.options.search import all_candidates, search
from preview.paper.card.card import layer_card
from preview.paper.exports.layout_dxf import layout_dxf
from preview.paper.exports.layout_json import layout_json
from preview.paper.plan.plan_svg import plan_svg
from preview.paper.words.check_text import check_text
from preview.paper.words.layout_text import layout_text
from preview.paper.words.options_text import options_text
from preview.scene.job import Job
from preview.scene.read import read_scene
from preview.session.heap import trim_heap
from preview.steps import lay_jobs
from tests.soak.room_checks import check_boards, check_tiling, check_words
from tests.soak.trial import GIVEN_UP, LAID, MEMORY, REFUSED, GivenUp, badly_said, fault_of, given_time

DRAWN, PAPERS = 10, 500
"""JSON and plan of one room in so many; card, drawing for CAD and options, which take seconds, of one in so many."""

PEAK, AGAIN = Path("/proc/self/status"), Path("/proc/self/clear_refs")
"""Where Linux tells the most memory that a process had, and where it is told to count anew."""


@dataclass(frozen=True)
class RoomOutcome:
    """`seconds` of processor time to read, lay and tell the room, or to refuse it; `memory` the most bytes meanwhile
    beyond those that the process held; `refused` why it was, and `fault` what went wrong, the same for faults of one
    cause, or nothing."""

    seconds: float
    memory: float
    pieces: int = 0
    refused: str = ""
    fault: str = ""
    trace: str = ""


def room_trial(scene: bytes, number: int) -> RoomOutcome:
    """Try a scene; its number says which papers are made of it."""
    fault, trace, refused, pieces = "", "", "", 0
    seconds, memory = 0.0, 0.0
    trim_heap()
    with suppress(OSError):
        AGAIN.write_text("5")
    held, start = _peak(), process_time()
    try:
        with warnings.catch_warnings(), given_time(GIVEN_UP):
            warnings.simplefilter("error")
            jobs = read_scene(scene, "room.toml")
            (floor,) = lay_jobs(jobs)
            lay, check = layout_text(floor), check_text([floor])
            seconds, memory = process_time() - start, _peak() - held
            pieces = len(floor.layout.pieces)
            if seconds > LAID or memory > MEMORY:
                fault = f"laid in over {LAID:.0f} s" if seconds > LAID else "laid in over 2 GB"
        with warnings.catch_warnings(), given_time(5 * GIVEN_UP):
            warnings.simplefilter("error")
            check_tiling(floor)
            check_boards(floor)
            check_words(floor, lay, check)
            _papers(jobs[0], floor, number)
    except PreviewError as error:
        refused, fault = str(error), badly_said(error)
        if pieces:
            fault = f"{type(error).__name__} after it was laid"
    except GivenUp:
        fault = "took too long"
    except Exception as error:  # whatever it is, a user would read that the program failed
        fault, trace = fault_of(error)
    seconds, memory = seconds or process_time() - start, memory or _peak() - held
    if refused and not fault and seconds > REFUSED:
        fault = f"refused in over {REFUSED:.0f} s"
    return RoomOutcome(seconds, memory, pieces, refused, fault, trace)


def _papers(job: Job, floor: LaidFloor, number: int) -> None:
    if number % DRAWN == 0:
        assert plan_svg(floor).startswith(b"<?xml")
        document = json.loads(layout_json(floor))
        assert len(document["pieces"]) == len(floor.layout.pieces)
        assert all(math.isfinite(value) for value in document["measures"].values())
    if number % PAPERS == 0:
        assert layer_card(floor).startswith(b"%PDF")
        assert layout_dxf(floor)
        found = search(all_candidates([job]))
        assert options_text(job, found, rank(found.evaluated, order([])), order([]), 5)


def _peak() -> float:
    """Return the most bytes that this process has had in memory; on Linux since it was last told to count."""
    with suppress(OSError, StopIteration, ValueError):
        return 1024.0 * next(int(line.split()[1]) for line in PEAK.read_text().splitlines() if line.startswith("VmHWM"))
    return 1024.0 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
