"""Wood floors laid out exactly and shown before they are laid.

Three lines from a scene to a picture::

    import preview
    job = preview.load("dining-room.toml")[0]
    preview.render(job).save("dining-room.png")
"""

from __future__ import annotations

TYPE_CHECKING = False  # typing's takes a third of the time until Ctrl-C is attended to
if TYPE_CHECKING:
    from os import PathLike

    from preview.floor.layout import Layout
    from preview.picture.picture import Picture
    from preview.scene.job import Job

__all__ = ["__version__", "lay", "load", "render"]


def load(path: str | PathLike[str]) -> tuple[Job, ...]:
    """Read the scene file at `path` and return its variants as jobs, the base scene first.

    Raises:
        preview.errors.SceneError: the scene is wrong; the message says where, and what is accepted.
    """
    from preview.scene.read import load_scene

    return load_scene(path)


def lay(job: Job) -> Layout:
    """Return the layout of a job: every piece as a polygon in metres, and what it measures.

    Raises:
        preview.errors.SceneError: the room or the floor can't be as the scene has it.
    """
    from preview.steps import lay_jobs

    return lay_jobs([job])[0].layout


def render(job: Job, viewpoint: str | None = None, size: tuple[int, int] = (1600, 1000)) -> Picture:
    """Return a picture of a job's floor from the viewpoint called `viewpoint`, the first one where None.

    Args:
        job: one variant of a scene, from `load`.
        viewpoint: the name of one of its viewpoints.
        size: width and height in pixels.

    Raises:
        preview.errors.SceneError, preview.errors.UsageError: the scene is wrong, no viewpoint is called so.
        preview.errors.RenderError: no picture can be drawn on this machine.
    """
    from preview.session import draw_floors
    from preview.steps import lay_jobs, viewpoint_names

    floors = lay_jobs([job])
    name = viewpoint if viewpoint is not None else viewpoint_names(floors[0])[0]
    return next(drawn.picture for drawn in draw_floors(floors, [name], size))


def __getattr__(name: str) -> str:
    """Return the version of the installed distribution, looked up when it is asked for."""
    if name == "__version__":
        from preview.version import release

        return release()
    raise AttributeError(f"module 'preview' has no attribute {name!r}")
