"""Cuts and playoffs: who goes on, and who is first."""
