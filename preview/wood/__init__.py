"""Wood: from a species, a cut and a finish to per-board textures."""
