"""Benchleaf: a plain-text bonsai collection, printed for the bench and read back from pencil notes."""

__version__ = "0.1.0"
