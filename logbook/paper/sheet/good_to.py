"""How long a sheet holds good."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from ...planning.fixed_year import fixed_year
from ...planning.model import Plan
from .offers import is_asked, is_near


def good_to(plan: Plan) -> date:
    """The first day on which an asked work opens that is no job of the front, a wire's last day or a no-work bar's end comes, or the year ends."""
    return min([fixed_year(plan.today).last, *_ends(plan)])


def _ends(plan: Plan) -> Iterator[date]:
    for job in plan.jobs:
        if is_asked(job) and not is_near(job, plan.today) and job.opens:
            yield job.opens
        if job.takes_wire and job.closes and job.closes > plan.today:
            yield job.closes
    for hold in plan.holds:
        if hold.until and hold.until > plan.today:
            yield hold.until
