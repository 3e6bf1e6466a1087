"""An invented event on demand: its plan, its people and their scores, made from one seed."""
