"""What papers say in words: measures, lines, ends, boards, setting out."""
