"""Daylight in the room."""
