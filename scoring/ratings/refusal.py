"""The one way in which decisions about ratings are refused."""


class RatingRefused(Exception):
    """The decision cannot be; the message is a sentence."""
