"""How long a sheet holds good, and the fixed year that it draws."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from ...planning.model import Plan
from .offers import is_asked, is_near

FIRST_MONTHS = (3, 9)


def year_of(day: date) -> tuple[date, date]:
    """First and last day of the year that holds this day in its first half: March to February, or September to August.

    The same two in both hemispheres; each turns where few windows are open.
    """
    spring, autumn = FIRST_MONTHS
    if spring <= day.month < autumn:
        first = date(day.year, spring, 1)
    else:
        first = date(day.year - (day.month < spring), autumn, 1)
    return first, first.replace(year=first.year + 1) - timedelta(days=1)


def good_to(plan: Plan) -> date:
    """The first day on which an asked work opens that is no job of the front, a wire's last day or a no-work bar's end comes, or the year ends."""
    return min([year_of(plan.today)[1], *_ends(plan)])


def _ends(plan: Plan) -> Iterator[date]:
    for job in plan.jobs:
        if is_asked(job) and not is_near(job, plan.today) and job.opens:
            yield job.opens
        if job.is_about_wire and job.record and job.record.takes and job.closes and job.closes > plan.today:
            yield job.closes
    for hold in plan.holds:
        if hold.until and hold.until > plan.today:
            yield hold.until
