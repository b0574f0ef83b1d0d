"""Swatches: every wood, stain and sheen of the materials drawn alike, and set on a sheet."""
