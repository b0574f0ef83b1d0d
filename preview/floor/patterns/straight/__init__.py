"""Straight: boards end to end in rows along the run, their joints at random."""
