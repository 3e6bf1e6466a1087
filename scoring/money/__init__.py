"""The money of the event, to the cent."""
