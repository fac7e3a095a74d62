"""What to do, and when."""
