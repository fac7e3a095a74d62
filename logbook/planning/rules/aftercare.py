"""After-care: the weeks after a hard work as dated lines, beside feeding, shelter and the rest of the care."""

from __future__ import annotations

from datetime import date, timedelta

from ...collection.model import Entry
from ...horticulture.aftercare import AfterCare
from ...horticulture.window_syntax import MarkName
from ...horticulture.work import Row, Work
from ...season.cache import Slot
from ...season.mark import Mark
from ...season.reasons import because
from ..condition import GROW_ON_DAYS
from ..grounds import ByLog, ByMark
from ..model import Context, Job, Refusal, Status, job_in
from ..windows import Span
from .registry import job_rule

_LINES: Slot[tuple[str, str, str], tuple[AfterCare, ...]] = Slot("lines of after-care by work, force and roots")
LOOK_BACK, ABOUT_A_MONTH = timedelta(days=300), timedelta(days=31)
SPRING_OVER = timedelta(days=40)  # before midsummer, where no temperatures tell when frosts end
CONIFERS = ("conifers", "deciduous conifers")
FRESH, FRESH_HARDY = 0.0, -2.0  # °C at freshly cut roots; common practice, no source
HARDY = -9.0  # °C: what old roots stand of the conifers that keep more with fresh ones


@job_rule("after-care")
def after_care(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """The lines of every hard work whose weeks are not over; one line once, by the work that asks it longest."""
    lifted = context.lifting.date if context.lifting else None
    told_by_day = lifted is not None and lifted.latest - lifted.earliest <= ABOUT_A_MONTH
    done = context.done if told_by_day else context.state.entries
    recent = [e for e in done if e.work and e.date.latest >= context.today - LOOK_BACK]
    lines: dict[str, tuple[Span, Entry, AfterCare]] = {}
    for entry in recent:
        for line in _lines_after(context, entry):
            span = _span(context, line, entry)
            if span is None or (line.say in lines and lines[line.say][0].closes >= span.closes):
                continue
            lines[line.say] = (span, entry, line)
    return [_job(context, work, row, *found) for found in lines.values()]


def _lines_after(context: Context, entry: Entry) -> tuple[AfterCare, ...]:
    """The lines that a work asks, however long ago it was done."""
    work = context.knowledge.works.get(entry.work)
    if work is None:
        return ()
    every, turn = context.knowledge.aftercare, (entry.force, entry.roots)
    key = (entry.work, *turn)
    return context.site.cache.get(_LINES, key, lambda: tuple(line for line in every if line.after.was(work, *turn)))


def _span(context: Context, line: AfterCare, entry: Entry) -> Span | None:
    """The days of a line after an entry that asks it; None where they are over."""
    opens = entry.date.latest + timedelta(days=line.begins)
    closes = opens + timedelta(days=line.days)
    if line.frost_free:
        closes = max(closes, _frosts_end(context, entry.date.latest))
    return Span(opens, opens, closes, 0) if closes >= context.today else None


def _frosts_end(context: Context, done: date) -> date:
    """The last frost at 10 % risk of the spring that follows, for what was done before midsummer, or so late that roots did not grow again
    before their first winter.
    """
    calendar = context.calendar
    season = calendar.season_of(done)
    if done >= calendar.midsummer(season):
        if calendar.growing_days(done, calendar.season_start(season + 1)) >= GROW_ON_DAYS:
            return done
        season += 1
    mark = context.site.marks.mark(context.group.name, MarkName.LAST_FROST_10, season)
    if context.site.climate is None and season > calendar.season_of(done):
        return calendar.midsummer(season) - SPRING_OVER
    return mark.day if isinstance(mark, Mark) else done


def _job(context: Context, work: Work, row: Row, span: Span, entry: Entry, line: AfterCare) -> Job:
    done = context.knowledge.works[entry.work].past(entry.force)
    status = Status.NOW if span.opens <= context.today else Status.AHEAD
    night = fresh_roots_stand(context) if line.frost_free else None
    conditions = (because(ByMark.IN_BEFORE, limit=night),) if night is not None else ()
    reasons = (because(ByLog.DONE, done=done, when=entry.date),)
    return job_in(context, work, row, span, status, reasons, conditions=conditions, says=line.say, night=night)


def fresh_roots_stand(context: Context) -> float:
    """°C that roots stand which were just cut, or ail; hardy conifers a little more than the rest."""
    species = context.knowledge.species_of(context.tree.species)
    conifer = any(context.group.name in context.knowledge.sets[name] for name in CONIFERS)
    hardy = conifer and species is not None and species.root_mature <= HARDY
    return FRESH_HARDY if hardy else FRESH
