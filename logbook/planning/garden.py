"""A garden ready to be planned: its settings, knowledge, trees and site, and what was seen on the trees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cached_property

from ..collection.model import Settings, Tree
from ..collection.units import Units
from ..horticulture.knowledge import Knowledge
from ..season.learning import Seen
from ..season.site_year import SiteYear


class Garden:
    """Everything a plan draws on but the tree and the day. `knowledge` has the collection's own numbers laid over it."""

    def __init__(self, settings: Settings, knowledge: Knowledge, trees: Iterable[Tree] = ()) -> None:
        self.settings = _with_groups_of_today(settings, knowledge)
        self.knowledge = knowledge
        self.trees = tuple(trees)

    @property
    def units(self) -> Units:
        """The units of the collection."""
        return self.settings.units

    @cached_property
    def site(self) -> SiteYear:
        """The site's year, corrected by what was seen on the trees."""
        return SiteYear(self.settings, self.knowledge, self._seen())

    def group_of(self, tree: Tree) -> str:
        """The growth group a tree is worked as: its own word first, then the species."""
        own = tree.treat_as or tree.group
        return self.knowledge.group_now(own) if own else self.knowledge.group_of(tree.species, self.settings.species)

    def _seen(self) -> Iterator[Seen]:
        for tree in self.trees:
            group = self.group_of(tree)
            for entry in tree.log:
                if entry.saw and entry.date.is_day and group:
                    yield Seen(tree.tag, tree.species, group, entry.saw, entry.date.earliest)


def _with_groups_of_today(settings: Settings, knowledge: Knowledge) -> Settings:
    """The settings with the grower's own dates for a group of before under each of the groups that it became."""
    before = {name: knowledge.groups_of_before(name) for name in settings.marks if name not in knowledge.groups}
    if not before:
        return settings
    parted = {group: settings.marks[name] for name, groups in before.items() for group in groups}
    return replace(settings, marks={**parted, **{n: m for n, m in settings.marks.items() if n not in before}})
