"""Viewpoints and the drawing of pictures."""
