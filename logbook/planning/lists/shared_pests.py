"""Diseases that live on two kinds of tree in turn, where a garden holds both: told once, so that the one is looked at for the other."""

from __future__ import annotations

from collections.abc import Iterator

from ...horticulture.pests import Pest
from ...values import dataclass
from ..garden import Garden


@dataclass(frozen=True, slots=True)
class Passed:
    """A disease, the trees it spends one half of its year on, and those of the other half, by tag."""

    first: Pest
    on: tuple[str, ...]
    then: Pest
    to: tuple[str, ...]


def passed_on(garden: Garden) -> Iterator[Passed]:
    """What the trees of a garden can pass to one another."""
    named = {pest.name: pest for pest in garden.knowledge.pests}
    for pest in garden.knowledge.pests:
        if pest.passes_to:
            other = named[pest.passes_to]
            on, to = _having(garden, pest), _having(garden, other)
            if on and to:
                yield Passed(pest, on, other, to)


def _having(garden: Garden, pest: Pest) -> tuple[str, ...]:
    knowledge = garden.knowledge
    alive = (tree for tree in garden.trees if tree.ended is None)
    return tuple(t.tag for t in alive if pest.is_on(garden.group_of(t), knowledge.genus_of(t.species)))
