"""The course made ready, hole by hole."""
