"""A description typed at a pot without its tag, taken apart: species by any name, sizes, bench and other words."""

from __future__ import annotations

import re

from ..collection.fields import ENTRY
from ..collection.kinds import NoteContext, read_value
from ..collection.units import plain
from ..diagnostics import counted
from ..horticulture.species_register import Unknown, possible
from ..planning.lists.lost_tag import Likely, Seen, as_good, last_reading, likeliest, off_by
from ..planning.tree_state import state_of
from ..values import dataclass
from .common import Opened

SHOWN = 5
TIPS = "tips"  # a count
A_MONTH, A_YEAR = 30, 365
_COUNTS = {2: "two", 3: "three", 4: "four", 5: "five"}
LONGEST_NAME = 4  # words


@dataclass(frozen=True, slots=True)
class Found:
    """What was understood of a description, and the trees that fit it, the best first; none where nothing was understood."""

    seen: Seen
    likely: list[Likely]

    def rows(self, opened: Opened) -> list[list[str]]:
        """The likeliest trees as rows of a table, each with how far it is off and how old the figure is."""
        return [
            [one.tree.tag, one.tree.name, one.tree.full_name, one.tree.bench, _sizes_told(one, self.seen, opened)]
            for one in self.likely[:SHOWN]
        ]

    def how_sure(self) -> str:
        """How far what was said tells one tree from the others, in words."""
        best = as_good(self.likely)
        tags = ", ".join(one.tree.tag for one in best[:SHOWN]) + (" …" if len(best) > SHOWN else "")
        many = _COUNTS.get(len(best), str(len(best)))
        if not self.likely[0].whole:
            return (
                f"none fits all that you said; nearest: {tags}. Look for something else: bench, height, branches, pot"
            )
        if len(best) == 1:
            return f"one fits: {tags}"
        return f"{many} fit about as well: {tags}. Say more of it: bench, height, a second size"


def found_by_sight(text: str, opened: Opened) -> Found:
    """The trees that fit a description."""
    seen = _seen(text, opened)
    if seen.nothing:
        return Found(seen, [])
    register = opened.knowledge.register

    def species_of(name: str) -> frozenset[str]:
        return frozenset(species.name for species in possible(register.find(name)))

    found = likeliest(
        seen,
        opened.collection.trees,
        lambda tree: state_of(tree, opened.garden.around(tree, opened.today), opened.today),
        lambda tree: species_of(tree.full_name) if tree.species else frozenset(),
    )
    return Found(seen, found)


def _sizes_told(likely: Likely, seen: Seen, opened: Opened) -> str:
    return "; ".join(_size_told(likely, seen, name, opened) for name in seen.sizes)


def _size_told(likely: Likely, seen: Seen, name: str, opened: Opened) -> str:
    """`trunk 38 mm, measured 7 months ago: yours is 5 % more`."""
    last, off = last_reading(likely.state, name), off_by(seen, likely.state, name)
    if last is None or off is None:
        return f"{name} never measured"
    size = plain(last.value) if name == TIPS else opened.units.length_told(last.value)
    share = round(abs(off) * 100)
    told = f"yours is {share} % {'more' if off > 0 else 'less'}" if share else "as you say"
    days = (opened.today - last.day).days
    grown = ", it may have grown" if off > 0 and days > A_YEAR else ""
    return f"{name} {size}, measured {_ago(days)}: {told}{grown}"


def _ago(days: int) -> str:
    if days <= 0:
        return "today"
    if days < 2 * A_MONTH:
        return f"{counted(days, 'day')} ago"
    if days < 2 * A_YEAR:
        return f"{days // A_MONTH} months ago"
    return f"{days // A_YEAR} years ago"


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
