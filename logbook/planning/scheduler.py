"""Windows onto the days a grower has: which work on which bench day, what does not fit, and what little more time would fit it.

Jobs of one length are placed by earliest closing window, day by day, which is optimal for them. For others the best of several
orders is taken and mended by moving and exchanging; tests hold it against a solver's answer.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from datetime import date, timedelta

from ..collection.model import Tree
from ..horticulture.work import POT
from ..values import dataclass
from .model import Job, Plan

WEEKS = 6  # planned ahead, where nothing else is asked
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
    """A day with time for the trees, in minutes."""

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
    """Days with their tasks, tasks without a day, and the minutes left on each day."""

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
    made = (_task_of(plan, job, last, usual) for plan in plans for job in plan.jobs)
    return [task for task in made if task is not None]


def _task_of(plan: Plan, job: Job, last: date, usual: Mapping[str, float]) -> Task | None:
    """One work as a task; None where it has no window up to the last day, or only may be done."""
    if job.opens is None or job.opens > last or (job.optional and not job.own):
        return None
    closes = last if job.closes is None or job.status == "overdue" else job.closes
    minutes = work_minutes(plan, job, usual)
    kin = _mix_of(plan) if job.record and job.record.counts_from == POT else ""
    weight = 3 if job.is_urgent or job.own else 2
    return Task(plan.tree.tag, job.what, job.opens, closes, minutes, job, kin, weight)


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
    """Give a task a day by the mildest means there is; False, and nothing changed, where there is none."""
    room = _room(places, days)
    open_days = [day.date for day in days if task.first <= day.date <= task.last]
    return (
        _where_free(task, places, room, open_days)
        or _by_moving(task, places, room, open_days)
        or _for_a_lighter(task, places, room, open_days)
    )


def _room(places: _Places, days: Sequence[Day]) -> dict[date, int]:
    """Minutes left on each day."""
    return {day.date: day.minutes - sum(t.minutes for t in places[day.date]) for day in days}


def _where_free(task: Task, places: _Places, room: Mapping[date, int], open_days: Sequence[date]) -> bool:
    when = next((d for d in open_days if room[d] >= task.minutes), None)
    if when is not None:
        places[when].append(task)
    return when is not None


def _by_moving(task: Task, places: _Places, room: Mapping[date, int], open_days: Sequence[date]) -> bool:
    """Take the place of a task that another day has room for."""
    for when in open_days:
        for other in places[when]:
            if room[when] + other.minutes < task.minutes:
                continue
            elsewhere = _elsewhere(other, when, room)
            if elsewhere is not None:
                places[when].remove(other)
                places[elsewhere].append(other)
                places[when].append(task)
                return True
    return False


def _for_a_lighter(task: Task, places: _Places, room: Mapping[date, int], open_days: Sequence[date]) -> bool:
    """Take the place of a task that weighs less, which is then without a day."""
    for when in open_days:
        for other in sorted(places[when], key=lambda t: t.weight):
            if other.weight < task.weight and room[when] + other.minutes >= task.minutes:
                places[when].remove(other)
                places[when].append(task)
                return True
    return False


def _elsewhere(task: Task, but: date, room: Mapping[date, int]) -> date | None:
    """The first other day of a task's window with room for it."""
    return next((d for d in room if d != but and task.first <= d <= task.last and room[d] >= task.minutes), None)


def _together(places: _Places, days: Sequence[Day]) -> _Places:
    """Bring works of one soil mix to one day where windows and hours allow it, and order each day's work."""
    settled: set[str] = set()
    for kin in dict.fromkeys(t.kin for day in days for t in places[day.date] if t.kin):
        places = _gathered(kin, places, days, settled)
        settled.add(kin)
    return _in_order(places)


def _gathered(kin: str, places: _Places, days: Sequence[Day], settled: set[str]) -> _Places:
    """The places with the works of one mix on the first day that can hold them all; as they were where none can."""
    same = [t for tasks in places.values() for t in tasks if t.kin == kin]
    if sum(any(t.kin == kin for t in tasks) for tasks in places.values()) < 2:
        return places
    found = (_all_on(day, same, places, days, settled) for day in days)
    return next((made for made in found if made is not None), places)


def _in_order(places: _Places) -> _Places:
    """Each day's work in order: by mix, what has none last, then by closing window and tag."""
    for tasks in places.values():
        tasks.sort(key=lambda t: (t.kin == "", t.kin, t.last, t.tag))
    return places


def _all_on(
    day: Day, same: Sequence[Task], places: _Places, days: Sequence[Day], settled: set[str]
) -> _Places | None:
    """The places with these tasks on one day and what was in their way moved; None where that can't be."""
    if not all(t.first <= day.date <= t.last for t in same):
        return None
    ours = {id(t) for t in same}
    made = {d: [t for t in tasks if id(t) not in ours] for d, tasks in places.items()}
    if not _cleared(day.date, sum(t.minutes for t in same), made, _room(made, days), settled):
        return None
    made[day.date] += same
    return made


def _cleared(when: date, wanted: int, places: _Places, room: dict[date, int], settled: set[str]) -> bool:
    """Move tasks off a day, those without a mix and the longest first, until so many minutes are free; whether they are."""
    movable = (t for t in places[when] if t.kin not in settled)
    for other in sorted(movable, key=lambda t: (bool(t.kin), -t.minutes)):
        if room[when] >= wanted:
            break
        to = _elsewhere(other, when, room)
        if to is not None:
            places[when].remove(other)
            places[to].append(other)
            room[to] -= other.minutes
            room[when] += other.minutes
    return room[when] >= wanted


def _nearer(places: _Places, days: Sequence[Day]) -> _Places:
    """Move works, those of one mix together, to the day with room that lies nearest to when they are best done."""
    room = _room(places, days)
    for when, unit in sorted(_units(places), key=lambda u: (-max(t.weight for t in u[1]), u[0], u[1][0].tag)):
        wanted = sum(t.minutes for t in unit)
        to = _best_day(unit, when, wanted, room)
        if to != when:
            for task in unit:
                places[when].remove(task)
                places[to].append(task)
            room[when] += wanted
            room[to] -= wanted
    return _in_order(places)


def _units(places: _Places) -> Iterator[tuple[date, list[Task]]]:
    """What moves as one, with its day: a single task, or a day's works of one mix."""
    for when, tasks in places.items():
        yield from ((when, [task]) for task in tasks if not task.kin)
        for kin in sorted({t.kin for t in tasks} - {""}):
            yield when, [t for t in tasks if t.kin == kin]


def _best_day(unit: Sequence[Task], when: date, wanted: int, room: Mapping[date, int]) -> date:
    """The day with room that is nearest to when these are best done; the day they have where none is nearer."""

    def off(day: date) -> int:
        return sum(_off(t, day) for t in unit)

    fits = [d for d in room if (d == when or room[d] >= wanted) and all(t.first <= d <= t.last for t in unit)]
    to = min(fits, key=lambda d: (off(d), d), default=when)
    return to if off(to) < off(when) else when


def _off(task: Task, day: date) -> int:
    """Days from when a work is best done; nothing where no such day is known."""
    return abs((day - task.job.best).days) if task.job and task.job.best else 0


def _told(places: _Places, tasks: Sequence[Task], days: Sequence[Day]) -> Schedule:
    placed = {id(t) for ts in places.values() for t in ts}
    free = _room(places, days)
    unfit = []
    for task in sorted((t for t in tasks if id(t) not in placed), key=lambda t: (t.last, t.tag)):
        gaps = [(task.minutes - free[d], d) for d in free if task.first <= d <= task.last]
        least = min(gaps, default=None)
        unfit.append(Unfit(task, least[0], least[1]) if least else Unfit(task))
    return Schedule({d: tuple(ts) for d, ts in places.items() if ts}, tuple(unfit), free)
