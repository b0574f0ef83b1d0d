"""The layout: lattice, fit, border, grilles, and what they measure."""
