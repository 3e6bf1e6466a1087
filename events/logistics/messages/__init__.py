"""Text composed from the event, to copy or as a mail file; never sent by itself."""
