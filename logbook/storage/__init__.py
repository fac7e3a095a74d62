"""The collection on disk: the only door to its files, the journal, the store, and what was printed."""
