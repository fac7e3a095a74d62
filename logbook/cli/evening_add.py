"""A tree is added in the evening: a species that is not known leads on, by numbers, to a near name or to how the tree grows."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ..diagnostics import nearest
from ..horticulture.species import Species
from ..horticulture.species_advice import SHOWN, species_answer
from ..horticulture.species_names import named_in
from ..horticulture.species_register import Near, Unknown
from .common import Opened

GROUP = "group: "
LIKE = 0.7
OTHER = "none of these: I choose how it grows"
SKIP = "Enter leaves it: "
Ask = Callable[[str], str | None]
Tell = Callable[..., None]


def species_words(said: str, opened: Opened, ask: Ask, tell: Tell) -> list[str]:
    """The options that add a tree of this species, once it is clear how it grows; none where its grower leaves it."""
    plain = ["--species", said]
    if named_in(said, opened.collection.settings.species):
        return plain
    answer = species_answer(said, opened.knowledge.register.find)
    if not answer.why and not answer.choices:
        return plain
    choices = answer.choices or _like(said, opened)
    tell(f"'{said}': {answer.why}" if answer.choices else answer.why)
    chosen = _by_number((*choices, OTHER), ask, tell) if choices else OTHER
    if chosen == OTHER:
        tell("how does it grow?")
        group = _by_number(_groups(said, opened), ask, tell)
        return [*plain, "--group", group] if group else []
    if chosen.startswith(GROUP):
        return [*plain, "--group", chosen.removeprefix(GROUP)]
    return ["--species", chosen] if chosen else []


def _kin(said: str, opened: Opened) -> Sequence[Species]:
    found = opened.knowledge.register.find(said)
    return found.kin if isinstance(found, Near | Unknown) else ()


def _like(said: str, opened: Opened) -> list[str]:
    """The species of its genus, one that is written like it first."""
    names = [species.name for species in sorted(_kin(said, opened), key=lambda one: one.rank)]
    close = nearest(said, names, LIKE)
    return sorted(names, key=lambda name: name != close)[:SHOWN]


def _groups(said: str, opened: Opened) -> list[str]:
    """All growth groups, those of its kin first."""
    return list(dict.fromkeys((*(species.group for species in _kin(said, opened)), *opened.knowledge.groups)))


def _by_number(choices: Sequence[str], ask: Ask, tell: Tell) -> str:
    """One of these by its number or its words; empty where nothing is chosen."""
    tell(*(f"{number:3} {choice}" for number, choice in enumerate(choices, start=1)))
    while said := ask(SKIP):
        if said.isascii() and said.isdecimal() and 1 <= int(said) <= len(choices):
            return choices[int(said) - 1]
        named = [choice for choice in choices if choice.casefold() == said.casefold()]
        if named:
            return named[0]
        tell(f"'{said}' is not on the list: a number from 1 to {len(choices)}")
    return ""
