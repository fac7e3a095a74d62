"""A description typed at a pot without its tag, taken apart: species by any name, sizes, bench and other words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..collection.fields import ENTRY
from ..collection.kinds import NoteContext, read_value
from ..horticulture.species_register import Unknown, possible
from ..planning.lists.lost_tag import Likely, Seen, likeliest, size_of
from ..planning.tree_state import state_of
from .common import Opened

SHOWN = 5
LONGEST_NAME = 4  # words


def found_by_sight(text: str, opened: Opened) -> list[Likely]:
    """The trees that fit a description, the best first; none where nothing of it was understood."""
    seen = _seen(text, opened)
    if seen.nothing:
        return []
    register = opened.knowledge.register

    def species_of(name: str) -> frozenset[str]:
        return frozenset(species.name for species in possible(register.find(name)))

    return likeliest(
        seen,
        opened.collection.trees,
        lambda tree: state_of(tree, opened.garden.around(tree, opened.today), opened.today),
        lambda tree: species_of(tree.full_name) if tree.species else frozenset(),
    )


def told(likely: Likely, seen_sizes: bool, opened: Opened) -> list[str]:
    """A row for the eye: tag, name, bench, the trunk where sizes are spoken of."""
    tree, units = likely.tree, opened.units
    trunk = size_of(likely.state, "trunk")
    size = f"trunk {units.length_told(trunk)}" if seen_sizes and trunk else ""
    return [tree.tag, tree.name, tree.full_name, tree.bench, size]


def _seen(text: str, opened: Opened) -> Seen:
    words = re.sub(r"[,;]", " , ", text).split()
    sizes: dict[str, float] = {}
    rest: list[str] = []
    note = NoteContext(opened.units, opened.knowledge.words)
    at = 0
    while at < len(words):
        heard = read_value(ENTRY.by_key["measured"], words[at:], note)
        if heard:
            assert isinstance(heard.value, dict)
            sizes |= heard.value
            at += heard.used
        else:
            rest.append(words[at])
            at += 1
    species, left = _species(rest, opened)
    return Seen(frozenset(species), sizes, tuple(word for word in left if word != ","))


def _species(words: list[str], opened: Opened) -> tuple[set[str], list[str]]:
    """The longest run of words that names a species or a genus, and the words around it."""
    for long in range(min(LONGEST_NAME, len(words)), 0, -1):
        for at in range(len(words) - long + 1):
            said = words[at : at + long]
            found = None if "," in said else opened.knowledge.register.find(" ".join(said))
            if found is not None and not isinstance(found, Unknown):
                return {one.name for one in possible(found)}, [*words[:at], *words[at + long :]]
    return set(), words


def rows(found: list[Likely], text: str, opened: Opened) -> Iterator[list[str]]:
    """The likeliest trees as rows of a table."""
    sized = bool(re.search(r"\d", text))
    return (told(one, sized, opened) for one in found[:SHOWN])
