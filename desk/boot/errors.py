"""The one way in which the start-up says no."""


class StartError(Exception):
    """Something that the person at the keyboard can mend; its text is the whole message."""
