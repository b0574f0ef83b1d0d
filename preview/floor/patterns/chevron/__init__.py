"""Chevron: boards with mitred ends that meet in straight seams."""
