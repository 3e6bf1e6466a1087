"""Why an archive is not opened."""


class ArchiveRefused(Exception):
    """The file cannot be opened here; the message is a sentence that says why and what mends it."""
