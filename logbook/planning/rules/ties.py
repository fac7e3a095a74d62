"""Jobs about cut paste and guy wires: what was put on a tree is looked at again and again until it is off."""

from __future__ import annotations

from datetime import date, timedelta

from ...collection.model import Entry
from ...horticulture.work import Row, Work
from ...season.reasons import because
from ..grounds import ByLog, ByRule
from ..model import Context, Job, Refusal, Status, job_in
from ..windows import Span
from .registry import job_rule

LOOK_WEEKS = 6
LOOK_DAYS = 28
FARTHEST_DAYS = 800
TIES_BAND = 14


@job_rule("paste and guys")
def paste_and_guys(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """Paste and guy wires on the tree, all of them that went on since some came off: looked at every six growing weeks."""
    on, looked = _on_tree(context, work), context.state.last(work.name)
    if not on:
        return []
    unseen = [e for e in on if not looked or e.date.latest > looked.date.latest]
    made = (unseen or on)[0]
    since = made if unseen else looked or made
    due, today = _due(context, since.date.latest), context.today
    opens = max(due, today)
    reasons = (
        because(ByLog.PUT_ON, what=_past(context, made), when=made.date),
        because(ByRule.WEEKS_LOOKED if since is looked else ByRule.WEEKS_ON, weeks=float(LOOK_WEEKS), tie=1),
    )
    status = Status.OVERDUE if due < today else Status.NOW if due == today else Status.AHEAD
    span = Span(opens, opens, opens + timedelta(days=LOOK_DAYS), TIES_BAND)
    return [job_in(context, work, row, span, status, reasons, branches=_branches(on))]


def _on_tree(context: Context, work: Work) -> list[Entry]:
    """The entries that put something on which is still there, of what this work looks at."""
    knowledge = context.knowledge
    makers = {w.name: w for thing in work.looks for w in knowledge.doing(puts=thing)}
    if context.state.last_of(makers.values()) is None:
        return []
    off = context.state.last_of(w for thing in work.looks for w in knowledge.doing(takes=thing))
    entries = (e for e in context.state.entries if e.work in makers)
    return [e for e in entries if not (off and off.date.latest >= e.date.latest)]


def _due(context: Context, start: date) -> date:
    limit = start + timedelta(days=FARTHEST_DAYS)
    return context.calendar.after_growing_days(start, LOOK_WEEKS * 7, limit) or start + timedelta(days=365)


def _past(context: Context, entry: Entry) -> str:
    return context.knowledge.works[entry.work].past()


def _branches(on: list[Entry]) -> tuple[str, ...]:
    named = dict.fromkeys(branch for entry in on for branch in entry.branches)
    return tuple(named) if all(entry.branches for entry in on) else ()
