"""Sunshine in the picture: the shadow map and the sun on the floor."""
