"""Where pictures are taken from, and what is seen from there."""
