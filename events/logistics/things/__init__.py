"""Things: what is needed, bought, borrowed, packed, on site and returned."""
