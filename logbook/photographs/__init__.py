"""Photographs of trees as cameras give them: when they were taken, which tree they are of, and the bare picture alone."""
