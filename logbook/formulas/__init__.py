"""The tree's numbers."""
