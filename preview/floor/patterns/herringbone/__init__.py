"""Herringbone, single and double: square boards whose ends meet the sides of others."""
