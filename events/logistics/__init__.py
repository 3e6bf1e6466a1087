"""Things and people of the day behind the play."""
