"""Care of many trees in one paragraph: what, till when, before which night, and the trees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..collection.dates import day_told
from ..planning.lists.care_list import Cared
from ..planning.model import Job
from ..planning.wording import Wording
from .words import say

MOST_TAGS = 30


def care_words(care: Iterable[Cared], wording: Wording, everyone: int) -> str:
    """`Care: winter shelter until 26 Feb 2027, before a night under -6 °C: 001 002; feeding from 4 Aug 2027: 001`; else nothing.

    `everyone` is how many trees there are, which need no naming where all of them are meant.
    """
    told = "; ".join(care_rows(care, wording, everyone))
    return say("care rows", rows=told) if told else ""


def care_rows(care: Iterable[Cared], wording: Wording, everyone: int) -> list[str]:
    """The same, each kind of care by itself."""
    return [_told(one, wording, everyone) for one in care]


def _told(care: Cared, wording: Wording, everyone: int) -> str:
    day = day_told(care.opens[0] if care.ahead else care.closes[0])
    when = say("care from" if care.ahead else "care until", what=care.what, day=day)
    if len(care.tags) == everyone and all(job.night is None for job in care.jobs):
        return say("care all", when=when)
    return when + ", ".join(_by_night(care.jobs, wording))


def _by_night(jobs: Sequence[Job], wording: Wording) -> Iterator[str]:
    """The trees, those that come in before a milder night first."""
    nights = sorted({job.night for job in jobs if job.night is not None}, reverse=True)
    others = [job for job in jobs if job.night is None]
    if others:
        yield say("care tags", tags=_tags(others))
    for number, night in enumerate(nights):
        tags = _tags(job for job in jobs if job.night == night)
        told = wording.units.temperature_told(night)
        yield say("care night too" if number else "care night", temperature=told, tags=tags)


def _tags(jobs: Iterable[Job]) -> str:
    tags = list(dict.fromkeys(job.tag for job in jobs))
    told = " ".join(tags[:MOST_TAGS])
    return say("and more", tags=told, count=len(tags) - MOST_TAGS) if len(tags) > MOST_TAGS else told
