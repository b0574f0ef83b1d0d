"""Steps under their keys, and a graphics context kept open: what pictures are drawn with, one by one or as a scene is
changed."""

from preview.session.drawn import Drawn, draw_floors
from preview.session.pipeline import floor_light
from preview.session.session import Session, Stale

__all__ = ["Drawn", "Session", "Stale", "draw_floors", "floor_light"]
