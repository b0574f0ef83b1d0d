"""One spoilt file tried: what came of it, in a word, and whether the program did as it should."""

from __future__ import annotations

import io
import json
import os
import re
import resource
import signal
import traceback
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image

from preview.cache_entry import read_entry
from preview.data import data_folder
from preview.errors import PreviewError, UsageError
from preview.paper.exports.layout_json import layout_json
from preview.paper.plan.plan_svg import plan_svg
from preview.paper.quote.bill import bills
from preview.paper.quote.firm_details import read_details
from preview.paper.quote.logo import TALLEST, WIDEST, small_logo
from preview.paper.words.check_text import check_text
from preview.paper.words.layout_text import layout_text
from preview.scene.job import Job
from preview.scene.read import read_scene
from preview.steps import check_materials, check_viewpoints, lay_jobs
from tests.soak.spoilt_entries import KEY, has_its_sum

REFUSED, LAID = 2.0, 10.0
"""Seconds of processor time in which a scene is refused, and in which each floor of one that is accepted is laid."""

GIVEN_UP = 60
"""Seconds of processor time after which a trial is given up."""

MEMORY = 2e9

MANY, SELDOM = 5_000, 8
"""Floors of more pieces have papers one time in so many: they take seconds, and are written by the same code."""

LONGEST_MESSAGE = 5000
FIGURE = re.compile(r"-?\d+(\.\d+)?(e-?\d+)?")


@dataclass(frozen=True)
class Outcome:
    """`fault` is empty where all is well, or says in a line what went wrong, the same for faults of one cause."""

    seconds: float
    accepted: bool
    fault: str = ""
    trace: str = ""


class GivenUp(BaseException):
    """A trial took too long."""


def trial(kind: str, content: bytes) -> Outcome:
    """Try the bytes of a file: a "scene", "details", "material", "logo" or cached "entry"."""
    start, held = worked(), most_held()
    accepted = False
    laid: list[int] = []
    fault, trace = "", ""
    try:
        with warnings.catch_warnings(), given_time(GIVEN_UP):
            warnings.simplefilter("error")
            TRIALS[kind](content, laid)
            accepted = True
    except PreviewError as error:
        fault = badly_said(error)
    except GivenUp:
        fault = f"took over {GIVEN_UP} seconds"
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as error:  # whatever it is, a panic of the typesetter too: the program would have failed
        fault, trace = fault_of(error)
    seconds = worked() - start
    floors = sum(laid)  # a scene may be refused when it is laid: a viewpoint that sees nothing of its room
    if not fault and seconds > (LAID * floors if floors else REFUSED):
        fault = f"{'laid' if accepted else 'refused'} slowly"
    if not fault and most_held() - held > MEMORY:
        fault = "over 2 GB"
    return Outcome(seconds, accepted, fault, trace)


def worked() -> float:
    """Return the processor time, in seconds, of this process and of those that it started and that have ended."""
    return sum(os.times()[:4])


def most_held() -> float:
    """Return the most bytes that this process, or one that it started, has had in memory."""
    return 1024.0 * max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))


def _scene(content: bytes, laid: list[int]) -> None:
    jobs = read_scene(content, "room.toml")
    floors = lay_jobs(jobs)
    laid.append(len(floors))
    check_text(floors, None, check_viewpoints(floors[0]))
    for floor in floors[:2]:
        layout_text(floor)
        if len(floor.layout.pieces) > MANY and len(content) % SELDOM:
            continue
        json.loads(layout_json(floor), parse_constant=_no_number)
        plan_svg(floor)


def _details(content: bytes, _: list[int]) -> None:
    details = read_details(content, "details.toml")
    for floor in _demo_floors():
        with suppress(PreviewError):
            bills(details, [floor])


def _material(content: bytes, _: list[int]) -> None:
    """Try one file of materials: as a species, or as the shared file that its first line names in a comment."""
    first = content.split(b"\n", 1)[0].removeprefix(b"# ").decode("utf-8", "replace").strip()
    name = first if first in {f"{each}.toml" for each in ("stains", "finishes", "grades", "paints", "surfaces")} else ""
    with TemporaryDirectory() as folder:
        (Path(folder) / (name or "bog-oak.toml")).write_bytes(content)
        scene = (data_folder("scenes") / "study.toml").read_bytes()
        check_materials(read_scene(scene, "room.toml", materials=Path(folder)))


def _logo(content: bytes, _: list[int]) -> None:
    """Try a logo's file: it becomes a small PNG, or is left out with a word."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "logo.png"
        path.write_bytes(content)
        made, trouble = small_logo(path)
        if made is None:
            raise UsageError(trouble)
        with Image.open(io.BytesIO(made)) as image:
            assert image.width <= WIDEST and image.height <= TALLEST and not trouble
        assert [each.name for each in Path(folder).iterdir()] == ["logo.png"]


def _entry(content: bytes, _: list[int]) -> None:
    """Try an entry of the cache: it is one, whatever it says, or none; without its checksum it is none."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "entry"
        path.write_bytes(content)
        found = read_entry(path, KEY, len(content))
    if found is None:
        raise UsageError("entry: not read")
    assert has_its_sum(content)
    for array in found.values():
        assert array.copy().nbytes <= len(content)  # reads all of it


@cache
def _demo_floors() -> list:
    jobs: list[Job] = []
    for name in ("dining-room.toml", "study.toml"):
        jobs += read_scene((data_folder("scenes") / name).read_bytes(), name)[:1]
    return lay_jobs(jobs)


TRIALS = {"scene": _scene, "details": _details, "material": _material, "logo": _logo, "entry": _entry}
"""How a file of each kind is tried."""


def fault_of(error: BaseException) -> tuple[str, str]:
    """Return in a line where an error arose, the same for errors of one cause, and its traceback."""
    frames = traceback.extract_tb(error.__traceback__)
    own = [each for each in frames if "/preview/" in each.filename][-1:]
    at = own[0] if own and not isinstance(error, AssertionError) else frames[-1]
    said = f": {FIGURE.sub('#', str(error))}" if isinstance(error, AssertionError) and str(error) else ""
    return f"{type(error).__name__} in {Path(at.filename).name}, {at.name}{said}", traceback.format_exc()


def badly_said(error: PreviewError) -> str:
    """Return what is wrong with the words of an error, or nothing."""
    said = str(error)
    if "\n" in said or len(said) > LONGEST_MESSAGE:
        return f"{type(error).__name__} of {len(said)} letters"
    return "" if ": " in said else f"{type(error).__name__} without a place: {said[:80]}"


def _no_number(word: str) -> None:
    raise ValueError(f"{word} in JSON")


@contextmanager
def given_time(seconds: float) -> Iterator[None]:
    """Raise GivenUp where what is done within takes more processor time than this."""

    def give_up(*_: object) -> None:
        raise GivenUp

    before = signal.signal(signal.SIGPROF, give_up)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
