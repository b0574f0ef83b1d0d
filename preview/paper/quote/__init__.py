"""The quote: what a customer reads, looks at and signs, and what it costs."""
