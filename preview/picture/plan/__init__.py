"""The plan as a picture."""
