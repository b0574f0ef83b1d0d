"""Boards and border from the sticks that one buys."""
