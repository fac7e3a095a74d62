"""After-care: the weeks after a hard work as dated lines, beside feeding, shelter and the rest of the care."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ...collection.model import Entry
from ...horticulture.aftercare import AfterCare
from ...horticulture.window_syntax import MarkName
from ...horticulture.work import Row, Work
from ...season.mark import Mark
from ...season.reasons import because
from ..grounds import ByLog
from ..model import Context, Job, Refusal, Status, job_in
from ..windows import Span
from .registry import job_rule

LOOK_BACK = timedelta(days=240)


@job_rule("after-care")
def after_care(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """The lines of every hard work whose weeks are not over; one line once, by the work that asks it longest."""
    recent = [e for e in context.state.entries if e.work and e.date.latest >= context.today - LOOK_BACK]
    lines: dict[str, tuple[Span, Entry]] = {}
    for entry in recent:
        for line in context.knowledge.aftercare:
            span = _span(context, line, entry)
            if span is None or (line.say in lines and lines[line.say][0].closes >= span.closes):
                continue
            lines[line.say] = (span, entry)
    return [_job(context, work, row, say, *found) for say, found in lines.items()]


def _span(context: Context, line: AfterCare, entry: Entry) -> Span | None:
    """The days of a line after an entry; None where it does not ask it, or they are over."""
    work = context.knowledge.works.get(entry.work)
    if work is None or not line.after.was(work, entry.force, entry.roots):
        return None
    opens = entry.date.latest + timedelta(days=line.begins)
    closes = opens + timedelta(days=line.days)
    if line.frost_free:
        closes = max(closes, _frosts_end(context, entry.date.latest))
    return Span(opens, opens, closes, 0) if closes >= context.today else None


def _frosts_end(context: Context, done: date) -> date:
    """The last frost at 10 % risk of the spring that follows, for what was done before midsummer."""
    season = context.calendar.season_of(done)
    mark = context.site.marks.mark(context.group.name, MarkName.LAST_FROST_10, season)
    before_summer = done < context.calendar.midsummer(season)
    return mark.day if isinstance(mark, Mark) and before_summer else done


def _job(context: Context, work: Work, row: Row, say: str, span: Span, entry: Entry) -> Job:
    done = context.knowledge.works[entry.work].past(entry.force)
    status = Status.NOW if span.opens <= context.today else Status.AHEAD
    job = job_in(context, work, row, span, status, (because(ByLog.DONE, done=done, when=entry.date),))
    return replace(job, says=say)
