"""The command: one file a verb; the only place that prints, asks the clock, or exits."""
