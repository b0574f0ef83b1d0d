"""What pictures and papers take from the light."""
