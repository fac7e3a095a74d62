"""What growers know, kept as data."""
