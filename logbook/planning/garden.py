"""A garden ready to be planned: its settings, knowledge, trees and site, and what was seen on the trees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from copy import copy
from dataclasses import replace
from datetime import date
from functools import cached_property

from ..collection.model import Settings, Tree
from ..collection.units import Units
from ..horticulture.knowledge import Knowledge
from ..season.learning import Seen
from ..season.places import HERE, skies_of
from ..season.site_year import SiteYear, garden_years
from ..season.weather import Weather


class Garden:
    """Everything a plan draws on but the tree and the day. `knowledge` has the collection's own numbers laid over it."""

    def __init__(
        self,
        settings: Settings,
        knowledge: Knowledge,
        trees: Iterable[Tree] = (),
        weather: Weather | None = None,
        not_seen_by: date | None = None,
        teaching: Iterable[Tree] = (),
    ) -> None:
        """`weather`: the days known on the morning of the plan. `not_seen_by`: the day of the plan, where a sign that is not in the
        log by then counts as not seen yet. `teaching`: trees of which no more is known than the signs seen on them."""
        self.weather = weather or Weather()
        self._not_seen_by = not_seen_by
        self._here = HERE
        self._elsewhere: dict[str, Garden] = {}
        self.settings = _with_groups_of_today(settings, knowledge)
        self.knowledge = knowledge
        self.trees = tuple(trees)
        self._teaching = tuple(teaching)

    @property
    def units(self) -> Units:
        """The units of the collection."""
        return self.settings.units

    @cached_property
    def _years(self) -> Mapping[str, SiteYear]:
        """The year of every place, corrected by what was seen on the trees."""
        skies = skies_of(self.settings, self.weather)
        return garden_years(self.settings, self.knowledge, self._seen(), skies, self._not_seen_by)

    @cached_property
    def _site(self) -> SiteYear:
        return self._years[self._here]

    @property
    def years(self) -> Mapping[str, SiteYear]:
        """The year of every place by its name; the garden's own under the empty one."""
        return self._years

    @property
    def site(self) -> SiteYear:
        """The year of the garden itself; of one place where this is the garden as it is there."""
        return self._site

    def around(self, tree: Tree, day: date) -> Garden:
        """The garden as it is where a tree stands on a day: itself, but for its year's."""
        place = self.place_of(tree, day)
        if place == self._here:
            return self
        there = self._elsewhere.get(place)
        if there is None:
            _ = self._years  # made once, and shared
            there = copy(self)
            there._here = place
            there.__dict__.pop("_site", None)
            self._elsewhere[place] = there
        return there

    def place_of(self, tree: Tree, day: date) -> str:
        """The place with a sky of its own where a tree stands on a day, by its log; empty where it is the garden."""
        if not self.settings.places:
            return HERE
        moves = [e for e in tree.log if e.bench and tree.was_here(e)]
        done = [e for e in moves if e.date.earliest <= day]
        bench = max(done, key=lambda e: e.date.earliest).bench if done else tree.first_bench if moves else tree.bench
        wanted = bench.casefold()
        fit = [p for p in self.settings.places if wanted == p.casefold() or wanted.startswith(f"{p.casefold()} ")]
        return max(fit, key=len, default=HERE)

    def group_of(self, tree: Tree) -> str:
        """The growth group a tree is worked as: its own word first, then the species."""
        own = tree.treat_as or tree.group
        return self.knowledge.group_now(own) if own else self.knowledge.group_of(tree.species, self.settings.species)

    def _seen(self) -> Iterator[Seen]:
        for tree in (*self.trees, *self._teaching):
            group = self.group_of(tree)
            replaced = {entry.replaces for entry in tree.log if entry.replaces}
            since = tree.came_over or date.min
            for entry in tree.log:
                day = entry.date.earliest
                known = bool(entry.saw and group and entry.date.is_day and day >= since)
                if known and not (entry.source and entry.source in replaced):
                    place = self.place_of(tree, day)
                    yield Seen(tree.tag, tree.species, group, entry.saw, day, place, entry.by)


def _with_groups_of_today(settings: Settings, knowledge: Knowledge) -> Settings:
    """The settings with the grower's own dates for a group of before under each of the groups that it became."""
    before = {name: knowledge.groups_of_before(name) for name in settings.marks if name not in knowledge.groups}
    if not before:
        return settings
    parted = {group: settings.marks[name] for name, groups in before.items() for group in groups}
    return replace(settings, marks={**parted, **{n: m for n, m in settings.marks.items() if n not in before}})
