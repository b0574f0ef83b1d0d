"""Papers made at the page: quote, card, plan, pictures, the sheet to choose by, the page to send; one after the other,
with progress."""

from __future__ import annotations

import io
import re
import secrets
import zipfile
from collections import OrderedDict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from queue import Queue
from threading import Lock, Thread
from typing import Literal, get_args

from preview.errors import PreviewError, UsageError
from preview.files import distinct_slugs, slug
from preview.floor.laid import LaidFloor
from preview.page.contents import MOST_VARIANTS
from preview.paper.plan.plan_sheet import imperial
from preview.paper.quote.firm_details import Details
from preview.picture.picture import Picture
from preview.scene.job import Job
from preview.session import Drawn, Session
from preview.session.paper_pictures import comparison, decision_views, quote_pictures, quote_views
from preview.steps import SIZE, viewpoint_names

PaperKind = Literal["quote", "card", "plan", "pictures", "sheet", "page"]
Step = Callable[[str], None]
Tell = Callable[[dict[str, object]], None]

MOST_HELD, MOST_WAITING = 12, 20
"""Papers that can still be fetched, and that wait to be made."""

FIRM_KEY = re.compile(r"^(.+?), line \d+: prices\[(\d+)\](?:\.\w+)?: ")
"""How a remark on the firm's prices begins, which the page says without the key."""

TYPES = {"html": "text/html; charset=utf-8", "pdf": "application/pdf", "svg": "image/svg+xml", "zip": "application/zip"}


@dataclass(frozen=True)
class MadePaper:
    """A finished paper: its bytes, what its file is called, and of what media type it is."""

    content: bytes
    name: str
    kind: str


@dataclass(frozen=True)
class _PaperOrder:
    number: str
    what: PaperKind
    jobs: tuple[Job, ...]
    variant: int
    beside: tuple[int, ...] | None


class PaperQueue:
    """Makes papers of scenes as they stood when asked for, in a thread of its own, and tells of each step."""

    def __init__(self, session: Session, details: Callable[[], Details], tell: Tell) -> None:
        self._session, self._details, self._tell = session, details, tell
        self._orders: Queue[_PaperOrder] = Queue()
        self._lock = Lock()
        self._done: OrderedDict[str, MadePaper] = OrderedDict()
        self._thread: Thread | None = None

    def order(self, what: str, jobs: Sequence[Job], variant: int, beside: Sequence[int] | None = None) -> str:
        """Ask for a paper of a variant, 0 the base; return by what it is fetched once it is done.

        beside: the variants that a page to send compares it with, None for the first that is another.

        Raises:
            UsageError: there is no such paper, a page has no room for so many variants, or too many papers wait.
        """
        for each in get_args(PaperKind):
            if each == what:
                break
        else:
            raise UsageError(f"papers are {', '.join(get_args(PaperKind))}")
        others = None if beside is None else tuple(dict.fromkeys(number for number in beside if number != variant))
        if others and len(others) >= MOST_VARIANTS:
            raise UsageError(f"a page compares {MOST_VARIANTS} variants at most; leave some out")
        if self._orders.qsize() >= MOST_WAITING:
            raise UsageError("many papers are being made already; wait for them")
        order = _PaperOrder(secrets.token_urlsafe(16), each, tuple(jobs), variant, others)
        self._orders.put(order)
        with self._lock:
            if self._thread is None:
                self._thread = Thread(target=self._work, name="papers", daemon=True)
                self._thread.start()
        return order.number

    def fetch(self, number: str) -> MadePaper | None:
        """Return a finished paper, None where there is none of this number (any more)."""
        with self._lock:
            return self._done.get(number)

    def _work(self) -> None:
        while True:
            order = self._orders.get()
            told: dict[str, object] = {"kind": "progress", "job": order.number, "what": order.what}

            def step(words: str, told: dict[str, object] = told) -> None:
                self._tell({**told, "words": words, "done": False})

            try:
                paper, remarks = _made(self._session, order, self._details(), step)
            except PreviewError as error:
                self._tell({**told, "words": str(error), "done": True, "failed": True})
                continue
            except Exception as error:  # whatever it was, it is told, and the next paper is made
                words = f"The paper could not be made ({type(error).__name__})."
                self._tell({**told, "words": words, "done": True, "failed": True})
                continue
            with self._lock:
                self._done[order.number] = paper
                while len(self._done) > MOST_HELD:
                    self._done.popitem(last=False)
            words = " ".join(["Done.", *(FIRM_KEY.sub(r"\1, price \2: ", each) for each in remarks)])
            self._tell({**told, "words": words, "done": True, "failed": False, "name": paper.name})


def _made(session: Session, order: _PaperOrder, details: Details, step: Step) -> tuple[MadePaper, list[str]]:
    """Return the paper that was ordered, and what has to be said of it.

    step: called with words before each step that takes its time.

    Raises:
        SceneError, UsageError, RenderError: it can't be made.
    """
    what, jobs, variant = order.what, order.jobs, order.variant
    step("Laying the floor")
    chosen = session.lay(jobs[variant])
    base = chosen if variant == 0 else session.lay(jobs[0])
    part = distinct_slugs([job.variant for job in jobs])[chosen.job.variant]
    stem = f"{_stem(chosen.job)}--{part}--{what}"
    remarks: list[str] = []
    if what == "card":
        from preview.paper.card.card import layer_card

        content, ending = layer_card(chosen, "pdf"), "pdf"
    elif what == "plan":
        from preview.paper.plan.plan_svg import plan_svg

        content, ending = plan_svg(chosen), "svg"
    elif what == "pictures":
        content, ending = _pictures(session, jobs, chosen, base, step), "zip"
    elif what == "sheet":
        stem = f"{_stem(chosen.job)}--compare"
        content, ending = _sheet(session, jobs, base, step), "pdf"
    elif what == "page":
        content, ending = _page(session, order, chosen, base, details, step), "html"
    else:
        content, remarks = _quote(session, jobs, chosen, base, details, step)
        ending = "pdf"
    return MadePaper(content, f"{stem}.{ending}", TYPES[ending]), remarks


def _stem(job: Job) -> str:
    """Return what the names of a scene's files begin with, as those that the commands write."""
    return slug(Path(job.file).stem)


def _drawn(session: Session, jobs: Sequence[Job], floor: LaidFloor, view: str, done: str, step: Step) -> Drawn:
    step(f"Drawing picture {done}: {floor.job.variant}, {view}")
    variant = None if floor.job is jobs[0] else floor.job.variant
    return Drawn(floor, session.picture_of(jobs, variant, view, SIZE))


def _pictures(session: Session, jobs: Sequence[Job], chosen: LaidFloor, base: LaidFloor, step: Step) -> bytes:
    """Return the chosen floor's pictures from every viewpoint, named as `render` names them."""
    views = distinct_slugs(viewpoint_names(base))
    part = distinct_slugs([job.variant for job in jobs])[chosen.job.variant]
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_STORED) as archive:
        for number, (view, name) in enumerate(views.items(), 1):
            made = _drawn(session, jobs, chosen, view, f"{number} of {len(views)}", step)
            archive.writestr(f"{_stem(chosen.job)}--{part}--{name}.png", made.picture.png())
    return data.getvalue()


def _sheet(session: Session, jobs: Sequence[Job], base: LaidFloor, step: Step) -> bytes:
    from preview.paper.compare.compare_sheet import compare_pdf

    floors = [base, *(session.lay(job) for job in jobs[1:])]
    eyes = [name for name in decision_views(base, floors) if name in quote_views(base)]
    drawn = [
        _drawn(session, jobs, floor, view, f"{number} of {len(floors)}", step)
        for number, floor in enumerate(floors, 1)
        for view in eyes
    ]
    step("Setting the pages")
    return compare_pdf(comparison(floors, eyes, drawn))


def _page(
    session: Session, order: _PaperOrder, chosen: LaidFloor, base: LaidFloor, details: Details, step: Step
) -> bytes:
    """Return the page of the chosen floor and those beside it: where none are named, the first that is another."""
    from preview.page.room_page import page_views, room_page

    jobs = order.jobs
    others = tuple(number for number in range(len(jobs)) if number != order.variant)[:1]
    beside = others if order.beside is None else order.beside
    floors = [chosen, *(base if number == 0 else session.lay(jobs[number]) for number in beside)]
    views = page_views(base, floors)
    count = len(floors) * len(views.cameras)

    def drawn() -> Iterator[Picture]:
        for number, (floor, camera) in enumerate(product(floors, views.cameras), 1):
            step(f"Drawing picture {number} of {count}: {floor.job.variant}")
            variant = None if floor.job is jobs[0] else floor.job.variant
            yield session.picture_of(jobs, variant, camera, camera.size, cut_for=views.cameras)

    return room_page(floors, views, drawn(), details)


def _quote(
    session: Session, jobs: Sequence[Job], chosen: LaidFloor, base: LaidFloor, details: Details, step: Step
) -> tuple[bytes, list[str]]:
    from preview.paper.quote.bill import bills
    from preview.paper.quote.logo import small_logo
    from preview.paper.quote.quote import Shown, quote_sheet
    from preview.paper.quote.scope import warnings

    logo, trouble = small_logo(details.firm.logo) if details.firm and details.firm.logo else (None, "")
    floors = [chosen, *(session.lay(job) for job in jobs if job is not chosen.job)]
    costs = bills(details, floors)
    remarks = [*([trouble] if trouble else []), *warnings(details, chosen)]
    wanted = [(floor, view) for floor, views in quote_pictures(floors, quote_views(base)) for view in views]
    shown = []
    for number, (floor, view) in enumerate(wanted, 1):
        made = _drawn(session, jobs, floor, view, f"{number} of {len(wanted)}", step)
        shown.append(Shown(floor.job.variant, view, made.picture.rgb))
    step("Setting the pages")
    paper: Literal["letter", "a4"] = "letter" if imperial(chosen.job.units) else "a4"
    return quote_sheet(floors, shown, details, costs, logo, paper), remarks
