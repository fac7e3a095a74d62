"""Windows onto the days a grower has: which work on which bench day, what does not fit, and what little more time would fit it.

Jobs of one length are placed by earliest closing window, day by day, which is optimal for them. For others the best of several
orders is taken and mended by moving and exchanging; tests hold it against a solver's answer.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from ..collection.model import Tree
from ..horticulture.work import POT
from .model import Job, Plan

OTHER_MINUTES = 20
SMALL_MM, LARGE_MM = 250.0, 600.0
SIZE_FACTOR = {"small": 0.7, "medium": 1.0, "large": 1.6}
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True, slots=True)
class Task:
    """A work with its window and length. `kin` binds works that are best done together (one mix of soil)."""

    tag: str
    what: str
    first: date
    last: date
    minutes: int
    job: Job | None = None
    kin: str = ""
    weight: int = 1


@dataclass(frozen=True, slots=True)
class Day:
    date: date
    minutes: int


@dataclass(frozen=True, slots=True)
class Unfit:
    """A task without a day: how many minutes more, on which day, would fit it (no day: none lies in its window)."""

    task: Task
    more_minutes: int = 0
    on: date | None = None


@dataclass(frozen=True, slots=True)
class Schedule:
    days: Mapping[date, tuple[Task, ...]]
    unfit: tuple[Unfit, ...] = ()
    free: Mapping[date, int] = field(default_factory=dict)

    @property
    def placed(self) -> int:
        """Weight of what has its day."""
        return sum(task.weight for tasks in self.days.values() for task in tasks)


def bench_days(hours: Mapping[str, float], start: date, weeks: int) -> list[Day]:
    """The days of the coming weeks on which there is time."""
    days = (start + timedelta(days=n) for n in range(7 * weeks))
    return [Day(d, round(60 * hours[WEEKDAYS[d.weekday()]])) for d in days if hours.get(WEEKDAYS[d.weekday()], 0) > 0]


def tasks_of(plans: Iterable[Plan], everyone: Sequence[Tree], last: date) -> list[Task]:
    """Dated works whose window touches the span; those the grower only may do are left out."""
    usual = usual_minutes(everyone)
    tasks = []
    for plan in plans:
        for job in plan.jobs:
            if job.opens is None or job.opens > last or (job.optional and not job.own):
                continue
            closes = last if job.closes is None or job.status == "overdue" else job.closes
            minutes = work_minutes(plan, job, usual)
            kin = _mix_of(plan) if job.record and job.record.counts_from == POT else ""
            weight = 3 if job.is_urgent or job.own else 2
            tasks.append(Task(plan.tree.tag, job.what, job.opens, closes, minutes, job, kin, weight))
    return tasks


def usual_minutes(everyone: Sequence[Tree]) -> dict[str, float]:
    """The middle of what a work has taken in this garden."""
    logged: dict[str, list[int]] = {}
    for tree in everyone:
        for entry in tree.log:
            if entry.work and entry.minutes:
                logged.setdefault(entry.work, []).append(entry.minutes)
    return {work: statistics.median(times) for work, times in logged.items()}


def work_minutes(plan: Plan, job: Job, usual: Mapping[str, float]) -> int:
    """This tree's own last time for the work, else the garden's, else the default by work and size."""
    own = [e.minutes for e in plan.state.entries if e.work == job.work and e.minutes]
    if own:
        return int(own[-1])
    if job.work in usual:
        return round(usual[job.work])
    height = plan.state.height_mm()
    size = (
        "medium" if height is None else "small" if height < SMALL_MM else "large" if height > LARGE_MM else "medium"
    )
    return max(5, round((job.record.minutes if job.record else OTHER_MINUTES) * SIZE_FACTOR[size] / 5) * 5)


def _mix_of(plan: Plan) -> str:
    mix = next((e.mix for e in reversed(plan.state.entries) if e.mix), {})
    return " ".join(f"{parts:g} {name}" for name, parts in sorted(mix.items()))


def schedule(tasks: Sequence[Task], days: Sequence[Day]) -> Schedule:
    """Give tasks their days, as much weight as can be placed; ties go to what closes first."""
    ordered = sorted(days, key=lambda d: d.date)
    orders = (
        lambda t: (t.last, -t.weight, t.minutes),
        lambda t: (-t.weight, t.last, t.minutes),
        lambda t: (t.minutes / t.weight, t.last),
        lambda t: (t.last, -t.minutes),
    )
    found = [_mended(_greedy(sorted(tasks, key=order), ordered), tasks, ordered) for order in orders]
    best = max(found, key=lambda plan: sum(t.weight for ts in plan.values() for t in ts))
    return _told(_nearer(_together(best, ordered), ordered), tasks, ordered)


_Places = dict[date, list[Task]]


def _greedy(tasks: Sequence[Task], days: Sequence[Day]) -> _Places:
    """Day by day: of what is open, in the order given, what still fits."""
    places: _Places = {day.date: [] for day in days}
    left = list(tasks)
    for day in days:
        room = day.minutes
        for task in list(left):
            if task.first <= day.date <= task.last and task.minutes <= room:
                places[day.date].append(task)
                left.remove(task)
                room -= task.minutes
    return places


def _mended(places: _Places, tasks: Sequence[Task], days: Sequence[Day]) -> _Places:
    """Fit what is left by moving one task to another day, or by taking out one that weighs less."""
    moved = True
    while moved:
        placed = {id(t) for ts in places.values() for t in ts}
        left = sorted((t for t in tasks if id(t) not in placed), key=lambda t: (-t.weight, t.minutes))
        moved = any(_squeeze_in(task, places, days) for task in left)
    return places


def _squeeze_in(task: Task, places: _Places, days: Sequence[Day]) -> bool:
    room = {day.date: day.minutes - sum(t.minutes for t in places[day.date]) for day in days}
    open_days = [day.date for day in days if task.first <= day.date <= task.last]
    for when in open_days:
        if room[when] >= task.minutes:
            places[when].append(task)
            return True
    for when in open_days:
        for other in places[when]:
            if room[when] + other.minutes < task.minutes:
                continue
            elsewhere = next(
                (d for d in room if d != when and other.first <= d <= other.last and room[d] >= other.minutes), None
            )
            if elsewhere is not None:
                places[when].remove(other)
                places[elsewhere].append(other)
                places[when].append(task)
                return True
    for when in open_days:
        for other in sorted(places[when], key=lambda t: t.weight):
            if other.weight < task.weight and room[when] + other.minutes >= task.minutes:
                places[when].remove(other)
                places[when].append(task)
                return True
    return False


def _together(places: _Places, days: Sequence[Day]) -> _Places:
    """Bring works of one soil mix to one day where windows and hours allow it, and order each day's work."""
    settled: set[str] = set()
    for kin in dict.fromkeys(t.kin for day in days for t in places[day.date] if t.kin):
        same = [t for ts in places.values() for t in ts if t.kin == kin]
        if len({d for d, ts in places.items() for t in ts if t.kin == kin}) > 1:
            found = (_all_on(day, same, places, days, settled) for day in days)
            places = next((made for made in found if made is not None), places)
        settled.add(kin)
    for tasks in places.values():
        tasks.sort(key=lambda t: (t.kin == "", t.kin, t.last, t.tag))
    return places


def _all_on(
    day: Day, same: Sequence[Task], places: _Places, days: Sequence[Day], settled: set[str]
) -> _Places | None:
    """The places with these tasks on one day and what was in their way moved; None where that can't be."""
    if not all(t.first <= day.date <= t.last for t in same):
        return None
    made = {d: [t for t in ts if not any(t is s for s in same)] for d, ts in places.items()}
    room = {d.date: d.minutes - sum(t.minutes for t in made[d.date]) for d in days}
    wanted = sum(t.minutes for t in same)
    for other in sorted((t for t in made[day.date] if t.kin not in settled), key=lambda t: (bool(t.kin), -t.minutes)):
        if room[day.date] >= wanted:
            break
        to = next(
            (d for d in room if d != day.date and other.first <= d <= other.last and room[d] >= other.minutes), None
        )
        if to is not None:
            made[day.date].remove(other)
            made[to].append(other)
            room[to] -= other.minutes
            room[day.date] += other.minutes
    if room[day.date] < wanted:
        return None
    made[day.date] += same
    return made


def _nearer(places: _Places, days: Sequence[Day]) -> _Places:
    """Move works, those of one mix together, to the day with room that lies nearest to when they are best done."""
    units: list[tuple[date, list[Task]]] = []
    for when, tasks in places.items():
        units += [(when, [task]) for task in tasks if not task.kin]
        units += [(when, [t for t in tasks if t.kin == kin]) for kin in sorted({t.kin for t in tasks} - {""})]
    room = {day.date: day.minutes - sum(t.minutes for t in places[day.date]) for day in days}
    for when, unit in sorted(units, key=lambda u: (-max(t.weight for t in u[1]), u[0], u[1][0].tag)):
        wanted = sum(t.minutes for t in unit)
        fits = [d for d in room if (d == when or room[d] >= wanted) and all(t.first <= d <= t.last for t in unit)]
        to = min(fits, key=lambda d: (sum(_off(t, d) for t in unit), d), default=when)
        if to != when and sum(_off(t, to) for t in unit) < sum(_off(t, when) for t in unit):
            for task in unit:
                places[when].remove(task)
                places[to].append(task)
            room[when] += wanted
            room[to] -= wanted
    for tasks in places.values():
        tasks.sort(key=lambda t: (t.kin == "", t.kin, t.last, t.tag))
    return places


def _off(task: Task, day: date) -> int:
    """Days from when a work is best done; nothing where no such day is known."""
    return abs((day - task.job.best).days) if task.job and task.job.best else 0


def _told(places: _Places, tasks: Sequence[Task], days: Sequence[Day]) -> Schedule:
    placed = {id(t) for ts in places.values() for t in ts}
    free = {day.date: day.minutes - sum(t.minutes for t in places[day.date]) for day in days}
    unfit = []
    for task in sorted((t for t in tasks if id(t) not in placed), key=lambda t: (t.last, t.tag)):
        gaps = [(task.minutes - free[d], d) for d in free if task.first <= d <= task.last]
        least = min(gaps, default=None)
        unfit.append(Unfit(task, least[0], least[1]) if least else Unfit(task))
    return Schedule({d: tuple(ts) for d, ts in places.items() if ts}, tuple(unfit), free)
