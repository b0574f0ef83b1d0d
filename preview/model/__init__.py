"""Meshes: boards with eased edges, grilles, the room shell."""
