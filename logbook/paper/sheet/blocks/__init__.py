"""The blocks of the front, each a function that gives its pieces."""
