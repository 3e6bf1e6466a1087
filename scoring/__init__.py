"""What happened: score cards, standings and round ratings."""
