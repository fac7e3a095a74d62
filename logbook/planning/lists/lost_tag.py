"""A tree without its tag: which ones fit what can still be seen of it, the likeliest first."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from dataclasses import field

from ...collection.model import Tree
from ...values import dataclass
from ..tree_state import Reading, State

NEAR = 0.10  # of a size: what two people measure of one trunk
FAR = 0.35  # from here on a size speaks against a tree
SPECIES, GENUS, BENCH, PART_OF_BENCH, NAME, WORD = 4.0, 2.5, 2.0, 1.0, 3.0, 0.5
SIZE = 3.0
AS_WELL = 1.0  # less than this between two: what is said does not tell them apart; common practice, no source
WIDER = 0.01


@dataclass(frozen=True, slots=True)
class Seen:
    """What is seen of a tree: names of species it may be, sizes in mm by name, and words."""

    species: frozenset[str] = frozenset()
    sizes: dict[str, float] = field(default_factory=dict)
    words: tuple[str, ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether nothing was told."""
        return not (self.species or self.sizes or self.words)


@dataclass(frozen=True, slots=True)
class Likely:
    """A tree that may be meant, and how well it fits. `whole`: nothing that was said of species and sizes speaks against it."""

    tree: Tree
    state: State
    fits: float
    whole: bool = False


def likeliest(
    seen: Seen,
    trees: Sequence[Tree],
    state_of: Callable[[Tree], State],
    species_of: Callable[[Tree], Collection[str]],
) -> list[Likely]:
    """Living trees that fit in anything, the best first; of equals the lower tag. `species_of`: the names that a tree's own may stand for."""
    found = []
    for tree in trees:
        if tree.ended is None:
            state = state_of(tree)
            species = _of_species(seen, tree, species_of)
            fits = species + _of_sizes(seen, state) + _of_words(seen, tree)
            whole = (not seen.species or species > GENUS) and all(
                off is not None and abs(off) <= NEAR for off in (off_by(seen, state, name) for name in seen.sizes)
            )
            found.append(Likely(tree, state, fits, whole))
    return sorted((one for one in found if one.fits > 0), key=lambda one: (-one.fits, one.tree.tag))


def _of_species(seen: Seen, tree: Tree, species_of: Callable[[Tree], Collection[str]]) -> float:
    if not seen.species:
        return 0.0
    own = set(species_of(tree))
    if own & seen.species:
        return SPECIES - WIDER * len(own | seen.species)  # a narrow name tells a little more than a wide one
    genera = {name.split()[0] for name in seen.species}
    return GENUS if genera & {name.split()[0] for name in own} else -SPECIES


def _of_sizes(seen: Seen, state: State) -> float:
    fits = 0.0
    for name in seen.sizes:
        by = off_by(seen, state, name)
        if by is not None:
            off = abs(by)
            fits += SIZE * (1 - off / NEAR / 2) if off <= NEAR else SIZE * (FAR - off)
    return fits


def off_by(seen: Seen, state: State, name: str) -> float | None:
    """How far what is seen is above (or, negative, below) the last size on record, as a share; None where it was never told."""
    last = size_of(state, name)
    return None if last is None else (seen.sizes[name] - last) / max(last, seen.sizes[name])


def as_good(found: Sequence[Likely]) -> list[Likely]:
    """The best, with those that fit about as well."""
    return [one for one in found if found[0].fits - one.fits < AS_WELL and one.whole == found[0].whole]


def size_of(state: State, name: str) -> float | None:
    """The last size of a tree, mm, be it only from when its record began; None where it was never told."""
    last = last_reading(state, name)
    return last.value if last else None


def last_reading(state: State, name: str) -> Reading | None:
    """That size with the day on which it was told."""
    readings = state.readings.get(name, ())
    if readings:
        return readings[-1]
    found = ((entry.date.earliest, entry.found.measured.get(name)) for entry in state.entries if entry.found)
    return next((Reading(day, size) for day, size in found if size is not None), None)


def _of_words(seen: Seen, tree: Tree) -> float:
    if not seen.words:
        return 0.0
    said = " ".join(seen.words).casefold()
    bench = tree.bench.casefold()
    fits = BENCH if bench and re.search(rf"\b{re.escape(bench)}\b", said) else 0.0
    fits = fits or (PART_OF_BENCH if set(bench.split()) & set(said.split()) else 0.0)
    fits += NAME if tree.name and tree.name.casefold() in said else 0.0
    told = " ".join(
        (tree.name, tree.cultivar, tree.style, tree.aim, tree.front, *(e.note for e in tree.log))
    ).casefold()
    return fits + WORD * sum(
        bool(re.search(rf"\b{re.escape(word)}\b", told)) for word in set(said.split()) if len(word) > 2
    )
