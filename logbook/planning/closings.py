"""Which works may close between two days, by their windows alone: asked before a plan is made, since on most days none does.

More may be named than a plan then holds; what is not named, no plan would hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from ..collection.model import Tree
from ..horticulture.work import Offer, Row, Thing, Work
from ..season.cache import Slot
from ..season.learning import Who
from .garden import Garden
from .kin import kin_of
from .model import Context
from .restrictions import hot_pause
from .rules.registry import Closes, answer_of_rule, closes_of, job_rule_of, may_follow, rule_context
from .seasons_due import answer_of, hangs_on_log
from .tree_state import State
from .windows import Span, window_span

Rows = tuple[tuple[Work, Row], ...]
_CLOSING: Slot[date, Rows] = Slot("rows whose windows close before a day")


def closing_rows(tree: Tree, garden: Garden, today: date, before: date, done: Iterable[Work]) -> Rows:
    """Works that have to be done, and of which a job may close on `today` or later and before another day; `done` are those of the log."""
    garden = garden.around(tree, today)
    name = garden.group_of(tree)
    who = garden.site.marks.known(Who(tree.tag, tree.species), name)
    kin = kin_of(tree, garden.knowledge, garden.site.cache, name, who, today)
    context = Context(tree, State(()), garden, garden.knowledge.groups[name], today, kin, who)

    def found() -> Rows:
        return tuple(
            (work, row) for work, row in kin.rows if _has_to_be(work, row) and _closes(context, work, row, before)
        )

    rows = found() if who.tag else kin.cache.get(_CLOSING, before, found)
    return tuple((work, row) for work, row in rows if may_follow(row.rule, done))


def _has_to_be(work: Work, row: Row) -> bool:
    """Whether a job of the row may be one that has to be done, and no mere look."""
    mere = work.is_upkeep or bool(work.looks) or Thing.WIRE in work.takes
    return not mere and (not row.optional or row.offered is Offer.SACRIFICE or job_rule_of(row.rule) is not None)


def _closes(context: Context, work: Work, row: Row, before: date) -> bool:
    """Whether a window closes there; what hangs on the log, or on a rule of its own, may close on any day."""
    closes = Closes.WITH_ROW if job_rule_of(row.rule) is None else closes_of(row.rule)
    if closes is not Closes.WITH_ROW:
        return closes is Closes.ANY_DAY
    if hangs_on_log(context, row):
        return True
    return any(context.today <= day < before for day in _last_days(context, work, row))


def _last_days(context: Context, work: Work, row: Row) -> Iterator[date]:
    """The last days of a row's windows about now, and of what is left of one before the heat."""
    now = context.calendar.season_of(context.today)
    for season in (now - 1, now, now + 1, now + 2):
        yield from _last_days_in(context, row, season)
    heat = hot_pause(context, work)
    if heat is not None:
        yield heat[0] - timedelta(days=1)


def _last_days_in(context: Context, row: Row, season: int) -> Iterator[date]:
    if job_rule_of(row.rule) is None:
        answers = [answer_of(context, row, season)]
    else:
        answers = (
            [window_span(context.site, context.group.name, row.window, season, context.who)] if row.window else []
        )
        answers += [answer_of_rule(row.also_rule, rule_context(context, season))] if row.also_rule else []
    yield from (answer.closes for answer in answers if isinstance(answer, Span))
