"""Which works may close between two days, by their windows alone: asked before a plan is made, since on most days none does.

More may be named than a plan then holds; what is not named, no plan would hold.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta

from ..collection.model import Tree
from ..horticulture.work import Offer, Row, Thing, Work
from ..season.cache import Slot
from ..season.learning import Who
from ..values import dataclass
from .garden import Garden
from .kin import kin_of
from .model import Context
from .restrictions import heat_of, rests_in_heat
from .rules.registry import Closes, answer_of_rule, closes_of, job_rule_of, may_follow, rule_context
from .seasons_due import chances_of, hangs_on_log, is_the_trees_own
from .tree_state import State
from .windows import Span, window_span

Rows = tuple[tuple[Work, Row], ...]


@dataclass(frozen=True, slots=True)
class Closing:
    """A row and the last days of its windows about now; None where one may close on any day. `hot`: what is left of a window before the
    heat may close then.
    """

    work: Work
    row: Row
    days: tuple[date, ...] | None
    hot: bool = False

    def falls(self, today: date, before: date, last_cool: date | None) -> bool:
        """Whether one closes on a day or later and before another; `last_cool` is the day before the heat."""
        if self.days is None:
            return True
        if any(today <= day < before for day in self.days):
            return True
        return self.hot and last_cool is not None and today <= last_cool < before


_OWN: Slot[tuple[str, int], tuple[Closing, ...]] = Slot("rows with windows of a tree's own by group and first season")
_LAST_DAYS: Slot[tuple[str, str, str, str, int, int], tuple[date, ...]] = Slot(
    "last days of a row's windows by kin and season"
)
_CLOSING: Slot[date, Rows] = Slot("rows whose windows close before a day")


def closing_rows(tree: Tree, garden: Garden, today: date, before: date, done: Collection[Work]) -> Rows:
    """Works that have to be done, and of which a job may close on `today` or later and before another day; `done` are those of the log."""
    garden = garden.around(tree, today)
    name = garden.group_of(tree)
    who = garden.site.marks.known(Who(tree.tag, tree.species), name)
    kin = kin_of(tree, garden.knowledge, garden.site.cache, name, who, today)
    context = Context(tree, State((), indoors=tree.indoors), garden, garden.knowledge.groups[name], today, kin, who)

    rows = kin.cache.get(_CLOSING, before, lambda: _all_closing(replace(context, who=Who("", who.species)), before))
    if who.tag and any(context.own_marks(season) for season in _seasons(context)):
        rows = _with_own(context, rows, before)
    return tuple((work, row) for work, row in rows if may_follow(row.rule, done))


def _seasons(context: Context) -> range:
    """The seasons about now in which a window may close."""
    now = context.calendar.season_of(context.today)
    return range(now - 1, now + 3)


def _all_closing(context: Context, before: date) -> Rows:
    """The rows that close for trees of which nothing was seen."""
    some = [_closing(context, work, row) for work, row in context.kin.rows if _has_to_be(work, row)]
    return _falling(context, some, before)


def _falling(context: Context, some: Iterable[Closing], before: date) -> Rows:
    heat = heat_of(context)
    last_cool = heat[0] - timedelta(days=1) if heat else None
    return tuple((one.work, one.row) for one in some if one.falls(context.today, before, last_cool))


def _with_own(context: Context, rows: Rows, before: date) -> Rows:
    """The rows of a tree's kin, but those whose windows are the tree's own looked at by themselves."""
    own = context.site.cache_of(context.who).get(
        _OWN, (context.group.name, _seasons(context)[0]), lambda: _own(context)
    )
    theirs = {id(one.row) for one in own}
    return (*(one for one in rows if id(one[1]) not in theirs), *_falling(context, own, before))


def _own(context: Context) -> tuple[Closing, ...]:
    """The rows that have to be done and of which a window about now hangs on what was seen on the tree."""
    rows = ((work, row) for work, row in context.kin.rows if _has_to_be(work, row))
    return tuple(
        _closing(context, work, row)
        for work, row in rows
        if any(is_the_trees_own(context, row, season) for season in _seasons(context))
    )


def _has_to_be(work: Work, row: Row) -> bool:
    """Whether a job of the row may be one that has to be done, and no mere look."""
    mere = work.is_upkeep or bool(work.looks) or Thing.WIRE in work.takes
    return not mere and (not row.optional or row.offered is Offer.SACRIFICE or job_rule_of(row.rule) is not None)


def _closing(context: Context, work: Work, row: Row) -> Closing:
    """When a row's windows close about now; what hangs on the log, or on a rule of its own, may close on any day."""
    closes = Closes.WITH_ROW if job_rule_of(row.rule) is None else closes_of(row.rule)
    if closes is not Closes.WITH_ROW:
        return Closing(work, row, None if closes is Closes.ANY_DAY else ())
    if hangs_on_log(context, row):
        return Closing(work, row, None)
    who, tree = context.who, context.tree
    key = (context.group.name, tree.species, tree.indoors, who.species, id(row), _seasons(context)[0])
    days = context.site.cache_of(who).get(_LAST_DAYS, key, lambda: _days(context, row))
    return Closing(work, row, days, rests_in_heat(context, work))


def _days(context: Context, row: Row) -> tuple[date, ...]:
    """The last days of a row's windows about now, whatever day is today."""
    return tuple(day for season in _seasons(context) for day in _last_days(context, row, season))


def _last_days(context: Context, row: Row, season: int) -> Iterator[date]:
    if job_rule_of(row.rule) is None:
        answers = chances_of(context, row, season)
    else:
        answers = (
            [window_span(context.site, context.group.name, row.window, season, context.who)] if row.window else []
        )
        answers += [answer_of_rule(row.also_rule, rule_context(context, season))] if row.also_rule else []
    yield from (answer.closes for answer in answers if isinstance(answer, Span))
