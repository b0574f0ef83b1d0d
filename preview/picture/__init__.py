"""Viewpoints and the drawing of pictures."""

from preview.picture.draw import Engine, check_drawing, empty_engine, gl_driver, open_engine
from preview.picture.exposure import exposure_for
from preview.picture.plan.plan_marks import mark_plan
from preview.picture.view.proposals import propose_viewpoints
from preview.picture.view.viewpoints import camera_for

__all__ = [
    "Engine",
    "camera_for",
    "check_drawing",
    "empty_engine",
    "exposure_for",
    "gl_driver",
    "mark_plan",
    "open_engine",
    "propose_viewpoints",
]
