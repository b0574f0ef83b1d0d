"""The GL device: where it comes from, the engine, and what is uploaded to it."""
