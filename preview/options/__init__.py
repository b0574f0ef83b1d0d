"""Layouts compared: what could be laid in a room, what of it is good, and what is best for whom."""
