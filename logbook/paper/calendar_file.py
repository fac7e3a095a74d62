"""Due work as a calendar file (RFC 5545): all-day events without alarms.

The UID is made of tag, work and the season's window, so that a file made later updates the old events instead of
doubling them. Written with the icalendar package, which folds and escapes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from .. import escapes
from ..collection.dates import day_told
from ..collection.model import Tree
from ..extras import CALENDAR, lacking
from ..planning.conflicts import lost_by_waiting
from ..planning.model import Job, Plan
from ..planning.scheduler import Schedule
from ..planning.wording import Wording
from .words import say

if TYPE_CHECKING:
    from icalendar import Event

MOST_A_TREE = 3
SHELTER = "shelter"
DAY, NEAR = timedelta(days=1), timedelta(days=14)


def calendar_bytes(
    plans: Sequence[Plan],
    title: str,
    today: date,
    wording: Wording,
    *,
    days: Schedule | None = None,
    everything: bool = False,
) -> bytes:
    """What a phone should hold of the year: shelter in and out, bench days, and of each tree what costs most to miss.

    At most three entries of a tree's own, or all its dated jobs. The same plans and day give the same bytes.
    """

    stamp = datetime.combine(today, time(), UTC)
    events: list[Event] = _shelter_events(plans, stamp, wording)
    events += _bench_events(days, {plan.tree.tag: plan.tree for plan in plans}, stamp) if days else []
    for plan in plans:
        events += [_event(plan, job, stamp, wording) for job in chosen_jobs(plan, everything=everything)]
    return _bytes(_unlike(events), "due work", title)


def chosen_jobs(plan: Plan, *, everything: bool) -> list[Job]:
    """The dated jobs of a tree's own for the calendar: wire coming off, and windows that cost a year, the dearest first."""
    dated = [j for j in (*plan.jobs, *plan.care) if j.opens is not None and not _is_shelter(j)]
    if everything:
        return dated
    year = plan.today + timedelta(days=365)
    near = (job for job in dated if job.opens and job.opens <= year and job.record)
    wanted = [job for job in near if job.takes_wire or (job.costs_a_year and not _is_upkeep(job))]
    return sorted(wanted, key=_dearest)[:MOST_A_TREE]


def bench_day_bytes(plan: Schedule, trees: Mapping[str, Tree], title: str, today: date) -> bytes:
    """The calendar of bench days: an all-day event a day, its works in the description."""
    return _bytes(_bench_events(plan, trees, datetime.combine(today, time(), UTC)), "bench days", title)


def _library() -> Any:
    """The library that writes calendars. Raises ProblemsFound where its extra is not there."""
    try:
        import icalendar
    except ImportError:
        raise lacking("writing a calendar", CALENDAR, otherwise="take a table: --csv FILE") from None
    return icalendar


def _bytes(events: Iterable[Event], what: str, title: str) -> bytes:
    calendar = _library().Calendar()
    calendar.add("prodid", f"-//benchleaf//{what}//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", escapes.calendar(title))
    for event in events:
        calendar.add_component(event)
    result: bytes = calendar.to_ical()
    return result


def _is_shelter(job: Job) -> bool:
    return job.record is not None and SHELTER in job.record.acts


def _is_upkeep(job: Job) -> bool:
    return job.record is not None and job.record.is_upkeep


def _dearest(job: Job) -> tuple[bool, int, date]:
    return (not job.takes_wire, lost_by_waiting(job), job.opens or date.max)


def _all_day(uid: str, first: date, last: date, summary: str, rows: Iterable[str], stamp: datetime) -> Event:
    """An event of whole days, both included, that blocks no time and rings no bell."""
    event: Event = _library().Event()
    event.add("uid", escapes.calendar(f"{uid}@benchleaf"))
    event.add("dtstamp", stamp)
    event.add("dtstart", first)
    event.add("dtend", last + DAY)
    event.add("summary", escapes.calendar(summary))
    event.add("description", escapes.calendar("\n".join(row for row in rows if row)))
    event.add("transp", "TRANSPARENT")
    return event


def _unlike(events: Iterable[Event]) -> Iterator[Event]:
    """Events with a number in the UID of those that would share one, as two stretches of one care do."""
    seen: Counter[str] = Counter()
    for event in events:
        uid = str(event["uid"])
        seen[uid] += 1
        if seen[uid] > 1:
            name, at, host = uid.partition("@")
            event["uid"] = f"{name}-{seen[uid]}{at}{host}"
        yield event


# -- the garden's days ---------------------------------------------------------------------------------------------


def _bench_events(plan: Schedule, trees: Mapping[str, Tree], stamp: datetime) -> list[Event]:
    events = []
    for when, tasks in sorted(plan.days.items()):
        rows = [say("bench row", tree=_named(trees[t.tag]), work=t.what, minutes=t.minutes) for t in tasks]
        summary = say("bench", minutes=sum(t.minutes for t in tasks), count=len(tasks))
        events.append(_all_day(f"bench-day-{when.isoformat()}", when, when, summary, rows, stamp))
    return events


def _shelter_events(plans: Iterable[Plan], stamp: datetime, wording: Wording) -> list[Event]:
    """A day to watch the forecast from and a day to put out again, each for all trees whose days lie near one another."""
    found = [
        (job.opens, job.closes, f"{plan.tree.tag}: {wording.reasons(job.conditions)}", plan.tree.tag)
        for plan in plans
        for job in plan.care
        if _is_shelter(job) and job.opens and job.closes
    ]
    comes_in = [(first, told, tag) for first, _, told, tag in found]
    goes_out = [(last, say("out of shelter", tag=tag, day=day_told(last)), tag) for _, last, _, tag in found]
    return [
        *_near_days(comes_in, "shelter in", stamp, latest=False),
        *_near_days(goes_out, "shelter out", stamp, latest=True),
    ]


def _near_days(
    found: Iterable[tuple[date, str, str]], what: str, stamp: datetime, *, latest: bool
) -> Iterator[Event]:
    """One event for days within two weeks of one another, on the most careful of them; in the order of the year."""
    left = sorted(found)
    numbers: Counter[int] = Counter()
    while left:
        near = [one for one in left if one[0] - left[0][0] <= NEAR]
        left = left[len(near) :]
        day = max(near)[0] if latest else near[0][0]
        numbers[day.year] += 1
        tags = " ".join(sorted(tag for _, _, tag in near))
        uid = f"{_slug(what)}-{day.year}-{numbers[day.year]}"
        yield _all_day(uid, day, day, say(what, tags=tags), (told for _, told, _ in near), stamp)


# -- a tree's own --------------------------------------------------------------------------------------------------


def event_uid(job: Job) -> str:
    """Stable through the season: the tag, the work, its branches, and the year its window closes in."""
    year = (job.closes or job.opens or date.min).year
    return _slug("-".join([job.tag, job.says or job.work, *job.branches, str(year)]))


def _slug(words: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in words.casefold())


def _event(plan: Plan, job: Job, stamp: datetime, wording: Wording) -> Event:
    """A job's window; of wire that must come off its last day alone."""
    assert job.opens is not None
    last = job.closes or job.opens
    first = last if job.takes_wire else job.opens
    rows = [
        say("do it when", sign=job.sign) if job.sign else "",
        say("too late", sign=job.too_late) if job.too_late else "",
        wording.reasons(job.conditions),
        say("how", how=job.how) if job.how else "",
        say("best about", day=job.best, band=job.band) if job.best and job.band else "",
        *map(wording.reason, job.reasons),
    ]
    summary = say("event off" if job.takes_wire else "event", tree=_named(plan.tree), work=job.what)
    return _all_day(event_uid(job), first, last, summary, rows, stamp)


def _named(tree: Tree) -> str:
    return f"{tree.tag} {tree.name or tree.full_name}"
