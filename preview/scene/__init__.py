"""The scene file: schema, reading with positions, variants."""
