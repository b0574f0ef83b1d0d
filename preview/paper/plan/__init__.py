"""The plan as a drawing at a true scale: dimensions, labels, scale bar."""
