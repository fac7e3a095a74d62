"""Due work as a calendar file (RFC 5545): one all-day event a window, without alarms.

The UID is made of tag, work and the season's window, so that a file made later updates the old events instead of
doubling them. Written with the icalendar package, which folds and escapes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from ..collection.model import Tree
from ..horticulture.work import Thing
from ..planning.conflicts import lost_by_waiting
from ..planning.model import Job, Plan
from ..planning.scheduler import Schedule
from ..planning.wording import Wording

if TYPE_CHECKING:
    from icalendar import Event

MOST_A_TREE = 3
SHELTER = "shelter"


def calendar_bytes(
    plans: Sequence[Plan], title: str, today: date, wording: Wording, *, everything: bool = False
) -> bytes:
    """What a phone should hold of the year: at most three entries a tree, or all dated jobs, care among them.

    The same plans and day give the same bytes.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//benchleaf//due work//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", title)
    stamp = datetime.combine(today, time(), UTC)
    for plan in plans:
        for job in chosen_jobs(plan, everything=everything):
            calendar.add_component(_event(plan, job, stamp, wording))
    result: bytes = calendar.to_ical()
    return result


def chosen_jobs(plan: Plan, *, everything: bool) -> list[Job]:
    """The dated jobs of a tree for the calendar: wire coming off, shelter, and windows that cost a year, the dearest first."""
    dated = [job for job in (*plan.jobs, *plan.care) if job.opens is not None]
    if everything:
        return dated
    year = plan.today + timedelta(days=365)
    near = (job for job in dated if job.opens and job.opens <= year and job.record)
    wanted = [job for job in near if _is_off(job) or job.costs_a_year or _is_shelter(job)]
    return sorted(wanted, key=_dearest)[:MOST_A_TREE]


def _is_off(job: Job) -> bool:
    return job.record is not None and Thing.WIRE in job.record.takes


def _is_shelter(job: Job) -> bool:
    return job.record is not None and SHELTER in job.record.acts


def _dearest(job: Job) -> tuple[bool, bool, int, date]:
    return (not _is_off(job), not _is_shelter(job), lost_by_waiting(job), job.opens or date.max)


def bench_day_bytes(plan: Schedule, trees: Mapping[str, Tree], title: str, today: date) -> bytes:
    """The calendar of bench days: an all-day event a day, its works in the description."""
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//benchleaf//bench days//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", title)
    for when, tasks in sorted(plan.days.items()):
        event = Event()
        event.add("uid", f"bench-day-{when.isoformat()}@benchleaf")
        event.add("dtstamp", datetime.combine(today, time(), UTC))
        event.add("dtstart", when)
        event.add("dtend", when + timedelta(days=1))
        event.add("summary", f"Bench: {sum(t.minutes for t in tasks)} min, {len(tasks)} to do")
        rows = [f"{t.tag} {trees[t.tag].name or trees[t.tag].full_name}: {t.what} ({t.minutes} min)" for t in tasks]
        event.add("description", "\n".join(rows))
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    result: bytes = calendar.to_ical()
    return result


def event_uid(job: Job) -> str:
    """Stable through the season: the tag, the work, its branches, and the year its window closes in."""
    year = (job.closes or job.opens or date.min).year
    words = "-".join([job.tag, job.says or job.work, *job.branches, str(year)]).casefold()
    return f"{''.join(c if c.isalnum() else '-' for c in words)}@benchleaf"


def _event(plan: Plan, job: Job, stamp: datetime, wording: Wording) -> Event:
    from icalendar import Event

    assert job.opens is not None
    event = Event()
    event.add("uid", event_uid(job))
    event.add("dtstamp", stamp)
    event.add("dtstart", job.opens)
    event.add("dtend", (job.closes or job.opens) + timedelta(days=1))
    event.add("summary", f"{plan.tree.tag} {plan.tree.name or plan.tree.full_name}: {job.what}")
    rows = [
        f"do it when: {job.sign}" if job.sign else "",
        f"too late: {job.too_late}" if job.too_late else "",
        wording.reasons(job.conditions),
        f"best about {job.best}, ± {job.band} days" if job.best and job.band else "",
        *map(wording.reason, job.reasons),
    ]
    event.add("description", "\n".join(row for row in rows if row))
    event.add("transp", "TRANSPARENT")
    return event
