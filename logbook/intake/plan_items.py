"""What typed lines lead to, as values: items with their fates, the plan, and what planning needs besides the lines. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from datetime import date
from functools import cached_property
from typing import Literal

from ..collection.amending import goes_on, in_one
from ..collection.model import Collection, Entry
from ..collection.yaml_editor import Value
from ..diagnostics import Problem
from ..horticulture.knowledge import Knowledge
from ..horticulture.loader import shipped_knowledge
from ..planning.garden import Garden
from ..storage.printed import Ledger
from ..values import dataclass
from .grammar.readings import Reading

Fate = Literal["write", "there", "question", "left over", "dismissed"]
UNSETTLED: tuple[Fate, ...] = ("question", "left over")


@dataclass(frozen=True, slots=True)
class Item:
    """One entry a line makes for one tree, and its fate. `key` names it for ever: tag, sheet line, or tag and words.

    `instead`: the keys that the line had under another tree, before its grower said which one it is of.
    """

    reading: Reading
    fate: Fate
    tag: str = ""
    key: str = ""
    told: str = ""
    entry: Mapping[str, Value] = field(default_factory=dict)
    why: str = ""
    hint: str = ""
    path: str = ""
    kind: str = ""
    amendment: Mapping[str, Value] = field(default_factory=dict)
    ended: Mapping[str, Value] = field(default_factory=dict)
    instead: tuple[str, ...] = ()

    @property
    def partly(self) -> bool:
        """Whether something was read of the line and the rest is kept as its remark."""
        return self.reading.partly and "note" in self.entry and bool(set(self.entry) - {"date", "note", "from"})


@dataclass(frozen=True, slots=True)
class Plan:
    """What typed lines lead to, in their order."""

    items: tuple[Item, ...]

    def of(self, fate: Fate) -> tuple[Item, ...]:
        """The items of one fate."""
        return tuple(i for i in self.items if i.fate == fate)

    @property
    def edits(self) -> dict[str, list[Mapping[str, Value]]]:
        """Entries to write by the path of the tree's file, in the order of the lines."""
        edits: dict[str, list[Mapping[str, Value]]] = {}
        for item in self.of("write"):
            if not item.amendment:
                edits.setdefault(item.path, []).append(item.entry)
        return edits

    @property
    def endings(self) -> dict[str, dict[str, Value]]:
        """Keys that close the record of a tree, by the path of its file."""
        return {item.path: {"ended": item.ended} for item in self.of("write") if item.ended}

    @property
    def amendments(self) -> dict[str, list[Mapping[str, Value]]]:
        """What is told more of entries that stand, once an entry, by the path of the tree's file."""
        found: dict[str, list[Mapping[str, Value]]] = {}
        for item in self.items:
            if item.amendment and item.fate in ("write", "there"):
                told = found.setdefault(item.path, [])
                before = next((a for a in told if goes_on(a, item.amendment)), None)
                if before is None:
                    told.append(item.amendment)
                else:
                    told[told.index(before)] = in_one(before, item.amendment)
        return found


@dataclass(frozen=True, slots=True)
class History:
    """What earlier notes led to: for each key, the words that were typed and written; and the keys of lines that another tree has."""

    written: Mapping[str, str] = field(default_factory=dict)
    moved: frozenset[str] = frozenset()


@dataclass(frozen=True)
class PlanContext:
    """What planning needs besides the readings; `read_entry` reads entry text as the collection would."""

    collection: Collection
    history: History
    today: date
    read_entry: Callable[[str], Entry | Problem]
    take_new: bool = False
    broken: frozenset[str] = frozenset()
    knowledge: Knowledge = field(default_factory=shipped_knowledge)
    ledger: Ledger = field(default_factory=Ledger)

    @property
    def southern(self) -> bool:
        """Whether the site is in the southern hemisphere."""
        site = self.collection.settings.site
        return site is not None and site.southern

    @cached_property
    def garden(self) -> Garden:
        """What a tree's condition is told by. Signs seen on other trees move no condition: none are read."""
        return Garden(self.collection.settings, self.knowledge)
