"""Herringbone floors laid out exactly and shown before they are laid."""
