"""What trees of a kind share on a day: works, windows and care that hang on group, species and place, and not on the tree's log."""

from __future__ import annotations

from datetime import date

from ..collection.model import Tree
from ..horticulture.knowledge import Knowledge
from ..season.cache import Cache, Slot
from ..season.learning import Who
from ..values import dataclass
from .windows import Answer


@dataclass(frozen=True, slots=True)
class RowMarks:
    """What a row's windows hang on: a tree's `log`; a rule; marks of `this` season and of the `coming` one."""

    log: bool
    ruled: bool
    this: frozenset[str]
    coming: frozenset[str]


class Kin:
    """The trees of one species (or of none) in one place that tell nothing apart but their logs; made once for a day.

    `night` is the mean night minimum (°C) from which the species grows; None where its group's holds.
    """

    def __init__(self, knowledge: Knowledge, group: str, species: str) -> None:
        self.rows = knowledge.rows_for(group, species)
        self.night = knowledge.active_night(species)
        self.answers: dict[tuple[int, int], Answer] = {}
        self.open_seasons: dict[int, int] = {}
        self.marks_of: dict[int, RowMarks] = {}
        self.cache = Cache()


_KIN: Slot[tuple[str, str, str, str, date], Kin] = Slot(
    "kin by group, species as written and as told apart, indoors and day"
)


def kin_of(tree: Tree, knowledge: Knowledge, cache: Cache, group: str, who: Who, today: date) -> Kin:
    """The kin of a tree, itself among them."""
    key = (group, tree.species, tree.indoors, who.species, today)
    return cache.get(_KIN, key, lambda: Kin(knowledge, group, tree.species))
