"""A tree's text, and one entry's by itself, read with the words of the trade. Knows no files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Protocol

from ..diagnostics import Place, Problem
from .fields import ENTRY, TREE
from .kinds import FAILED, Context
from .model import Entry, Settings, Tree
from .yaml_reader import Document, read_text


class Lexicon(Protocol):
    """The words of the trade that a record may use."""

    @property
    def words(self) -> Mapping[str, tuple[str, ...]]:
        """The trade's word lists by name."""

    @property
    def renamed(self) -> Mapping[str, Mapping[str, str]]:
        """By word list: names of before, and what they are called now."""
        ...

    def species_advice(self, species: str, own: Mapping[str, str]) -> Problem | None:
        """None for a known species, else what to do about it, without a place; a warning lets the tree be read."""
        ...

    def own(self, settings: Settings) -> tuple[Lexicon, list[Problem]]:
        """The lexicon with the collection's own works and numbers, and the faults of those."""
        ...


def tree_context(settings: Settings, lexicon: Lexicon) -> Callable[[Document], Context]:
    """How a tree's document is to be read under these settings."""
    southern = bool(settings.site and settings.site.southern)
    words, renamed = lexicon.words, lexicon.renamed

    def context(document: Document) -> Context:
        return Context(
            document,
            settings.units,
            southern,
            words,
            renamed,
            lambda species: lexicon.species_advice(species, settings.species),
        )

    return context


def read_tree(text: str, shown: str, context: Callable[[Document], Context]) -> tuple[Tree | None, list[Problem]]:
    """Read one tree's text."""
    document = read_text(text, shown)
    if document.root is None:
        return None, document.problems or [empty(document)]
    reading = context(document)
    value = TREE.read(document.root, reading)
    return (None if value is FAILED else value), reading.problems


def read_entry(text: str, context: Callable[[Document], Context]) -> Entry | Problem:
    """Read one entry's text by itself, as a tree's log would read it: the entry without its place, or what is wrong with it."""
    document = read_text(text, "entry")
    if document.root is None:
        return document.problems[0] if document.problems else empty(document)
    reading = context(document)
    value = ENTRY.read(document.root, reading)
    if value is FAILED or reading.problems:
        return reading.problems[0]
    return replace(value, spot=0)


def empty(document: Document) -> Problem:
    """What is wrong with a file in which nothing stands."""
    return Problem("the file is empty", Place(document.path), "add the keys it needs, or restore the file")
