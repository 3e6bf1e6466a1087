"""Standings: totals, places, and how they are said on the board and on paper."""
