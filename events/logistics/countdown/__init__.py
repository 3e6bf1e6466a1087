"""The countdown: every duty and task with a date, from the permit to the unclaimed prizes."""
