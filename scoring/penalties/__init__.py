"""Penalties and warnings: the published catalogue, and what a few plain questions propose."""
