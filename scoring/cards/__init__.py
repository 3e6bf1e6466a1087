"""Score cards: versions of what was written, and the arithmetic on them."""
