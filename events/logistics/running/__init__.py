"""The run of the day: what happens when, and what a delay moves."""
