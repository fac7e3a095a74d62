"""The collection on disk: reading, checking and writing plain YAML."""
