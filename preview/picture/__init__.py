"""Viewpoints and the drawing of pictures: what only asks where a camera stands loads nothing that draws."""
