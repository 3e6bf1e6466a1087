"""What happened to people and property, for the desk only."""
