"""Purse, places and exact money."""
