"""Variants side by side: the sheet, its pages and pictures, the dissolve."""
