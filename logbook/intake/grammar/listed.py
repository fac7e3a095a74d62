"""Closed lists of words, written as one reads them."""

from __future__ import annotations


def listed(words: str) -> frozenset[str]:
    """The words of a text, each once."""
    return frozenset(words.split())
