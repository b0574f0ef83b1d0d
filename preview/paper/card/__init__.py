"""The layer's card."""
