"""A session: the variants of a scene as they stand, changed again and again, and pictures of them as they are now.

Every change is a revision, counted up. Whoever asks says for which, so that numbers and pictures of one revision
are never shown beside those of another: what is asked for an older one is `Stale`, at once or while it is made.
Everything may be called from any thread; pictures are drawn by one thread of the session's own, which holds its
graphics context, the coarse before the full.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from threading import Lock
from typing import TYPE_CHECKING

from preview.floor.laid import LaidFloor
from preview.scene.job import Job, Viewpoint
from preview.session.drawing_thread import Drawing, DrawingThread, Stale
from preview.session.drawn import draw_lit
from preview.session.pipeline import Pipeline
from preview.steps import SIZE, pick

if TYPE_CHECKING:
    from preview.picture.draw import Engine
    from preview.picture.picture import Picture
    from preview.picture.view.camera import Camera

__all__ = ["Session", "Stale"]

COARSE_COATS = 24_000
"""Pixels of what a coat mirrors in a coarse picture, which has some 144,000 of its own."""


class Session:
    """The variants of a scene, changed again and again. Close it at the end; a `with` does."""

    def __init__(self, jobs: Sequence[Job], first: int = 1) -> None:
        """`jobs`: a scene's variants, the base first, as `read_scene` returns them; `first`: number of the first
        revision."""
        self._pipeline = Pipeline()
        self._thread = DrawingThread()
        self._lock = Lock()
        self._revision, self._jobs = first, tuple(jobs)
        self._cut_for: Sequence[Camera] = ()

    @property
    def revision(self) -> int:
        """The number of the newest change."""
        return self._revision

    def change(self, jobs: Sequence[Job]) -> int:
        """Take the scene as it now is, its variants as in `__init__`; return its revision. What was asked for an
        earlier one is stale from here on, what is being made for it is given up. Nothing is laid or drawn yet, so that
        this never fails."""
        with self._lock:
            self._jobs = tuple(jobs)
            self._revision += 1
            return self._revision

    def jobs(self, revision: int) -> tuple[Job, ...]:
        """Return the jobs of a revision.

        Raises:
            Stale: there is a newer one.
        """
        with self._lock:
            if revision != self._revision:
                raise Stale(revision)
            return self._jobs

    def floor(self, revision: int, variant: str | None = None) -> LaidFloor:
        """Return a variant's floor, the base's where None, with all its numbers: `layout.measures`, `warnings`,
        `advice`, and what papers take.

        Raises:
            SceneError: it can't be laid; the error says which key of the scene is why.
            UsageError: no variant is called so.
            Stale: there is a newer revision.
        """
        jobs = self.jobs(revision)
        floor = self._pipeline.lay(jobs[0] if variant is None else _called(variant, jobs))
        self.jobs(revision)
        return floor

    def picture(
        self,
        revision: int,
        variant: str | None,
        view: str | Viewpoint | Camera,
        size: tuple[int, int] = SIZE,
        coarse: bool = False,
        wanted: Callable[[], bool] = lambda: True,
    ) -> Picture:
        """Return a picture of a variant; wait until it is drawn.

        A full one is what `render` of the scene draws of this variant from this viewpoint alone, byte for byte. A
        coarse one comes as soon as it can: the coat mirrors less finely, boards are cut as finely as for the last
        picture, and the light may be that of the floor before. A coarse picture that is waited for goes before full
        ones.

        Args:
            revision: for which; `Stale` is raised as soon as there is a newer one.
            variant: its name, None for the base.
            view: the name of one of the base's viewpoints (see `steps.viewpoints`), a viewpoint that the scene hasn't,
                or a camera, of which `size` is taken.
            size: width and height in pixels.
            coarse: whether it is wanted soon rather than fine.
            wanted: asked every now and then; where it is no longer, the picture is given up and `Stale` raised.

        Raises:
            Stale: there is a newer revision, it is wanted no longer, or the session was closed.
            SceneError, UsageError: as `floor`; no viewpoint is called so, or it stands where none can.
            RenderError: no picture can be drawn on this machine.
        """

        def check() -> None:
            self.jobs(revision)
            if not wanted():
                raise Stale(revision)

        check()
        draw = partial(self._draw, self.jobs(revision), variant, view, size, coarse)
        return self._thread.drawn(draw, coarse, check)

    def lay(self, job: Job) -> LaidFloor:
        """Return the floor of any job, one that is only tried too; it is held for when it comes to be the newest.

        Raises:
            SceneError: it can't be laid.
        """
        return self._pipeline.lay(job)

    def picture_of(
        self,
        jobs: Sequence[Job],
        variant: str | None,
        view: str | Camera,
        size: tuple[int, int] = SIZE,
        wanted: Callable[[], bool] = lambda: True,
        cut_for: Sequence[Camera] = (),
    ) -> Picture:
        """Return a full picture of a variant of jobs as they were, whatever has been changed since: what papers of one
        revision take. Arguments and errors are those of `picture`; boards are cut as finely as all cameras of `cut_for`
        see the floor, where there are any."""

        def check() -> None:
            if not wanted():
                raise Stale

        draw = partial(self._draw, jobs, variant, view, size, False, cut_for=cut_for)
        return self._thread.drawn(draw, False, check)

    def aside(self, draw: Callable[[], Drawing], wanted: Callable[[], bool] = lambda: True) -> Drawing:
        """Return what `draw` draws by itself, in the thread that draws pictures, when none is waited for: one thread
        has all graphics contexts.

        Raises:
            Stale: it is wanted no longer, or the session was closed; and whatever `draw` raises.
        """

        def check() -> None:
            if not wanted():
                raise Stale

        return self._thread.drawn(lambda engine, check: draw(), False, check)

    def _draw(
        self,
        jobs: Sequence[Job],
        variant: str | None,
        view: str | Viewpoint | Camera,
        size: tuple[int, int],
        coarse: bool,
        engine: Engine,
        check: Callable[[], None],
        cut_for: Sequence[Camera] = (),
    ) -> Picture:
        base = self.lay(jobs[0])
        floor = base if variant is None else self.lay(_called(variant, jobs))
        camera = self._pipeline.camera(base, view, size)
        if not (cut_for or (coarse and self._cut_for)):
            self._cut_for = [self._pipeline.camera(base, view, SIZE) if coarse else camera]
        ready = self._pipeline.lit(floor, base, cut_for or self._cut_for, soon=coarse, between=check)
        check()
        return draw_lit(engine, floor, ready, camera, check, COARSE_COATS if coarse else None)

    def close(self) -> None:
        """Give everything back. What is still waited for is `Stale`."""
        self._thread.close()

    def __enter__(self) -> Session:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _called(variant: str, jobs: Sequence[Job]) -> Job:
    (name,) = pick([job.variant for job in jobs], [variant], "variant")
    return next(job for job in jobs if job.variant == name)
