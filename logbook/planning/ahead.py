"""Several years ahead: the plan run forward, season by season, as if what is offered were done on its best day.

It promises nothing: bands widen with the years, and every step says on what it hangs. A score of vigour that will be too
old by then is taken to be given again as it was; a tree at rest is taken to be strong again when its rest may end.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from ..collection.dates import on_day
from ..collection.model import Entry, Tree
from ..formulas.growth import Reach
from ..formulas.pots import SOIL_MORE, holds
from ..season.reasons import Reason, because
from ..values import dataclass
from .condition import Hold
from .garden import Garden
from .grounds import ByMeasure, ByState
from .model import Job, Plan
from .planner import plan_tree
from .scheduler import usual_minutes, work_minutes
from .tree_state import STRONG

SPREAD_A_YEAR = 5.0  # days by which a band widens with each year ahead, in quadrature; common practice, no source
MOST_A_SEASON = 12


@dataclass(frozen=True, slots=True)
class Step:
    """A work of a coming season: its best day with a band that widens, what it hangs on, what it takes."""

    season: int
    day: date
    band: int
    work: str
    what: str
    kind: str
    hangs_on: tuple[Reason, ...] = ()
    minutes: int = 0
    litres: float | None = None


@dataclass(frozen=True, slots=True)
class Waiting:
    """A work that has to wait in a season, and for what."""

    season: int
    work: str
    why: Reason


@dataclass(frozen=True, slots=True)
class Outlook:
    """One tree's coming seasons."""

    tree: Tree
    steps: tuple[Step, ...]
    waiting: tuple[Waiting, ...] = ()
    holds: tuple[Hold, ...] = ()
    trunk: Reach | None = None


@dataclass(frozen=True, slots=True)
class YearAhead:
    """A garden's season: trees to repot, litres of soil (pots that were measured), pots that were not, hours of work."""

    season: int
    potted: int
    litres: float
    unmeasured: int
    hours: float


def ahead(tree: Tree, garden: Garden, today: date, years: int, usual: dict[str, float] | None = None) -> Outlook:
    """The plan of one tree run forward over so many seasons, the present one first."""
    calendar = garden.site.calendar
    first = calendar.season_of(today)
    plan = plan_tree(tree, garden, today, upkeep=False)
    holds = plan.holds
    trunk = plan.growth.outlook if plan.growth and isinstance(plan.growth.outlook, Reach) else None
    now, simulated, steps, waiting = today, tree, [], []
    times = usual if usual is not None else usual_minutes(garden.trees)
    for season in range(first, first + years):
        until = calendar.season_start(season + 1)
        waiting += [Waiting(season, r.work, r.why) for r in plan.refusals]
        for job in _of_season(plan, now, until):
            steps.append(_step(plan, job, season, season - first, times))
            simulated = _with(simulated, _done(job))
        now = max(until, now + timedelta(days=1))
        simulated = _score_again(simulated, plan, now)
        plan = plan_tree(simulated, garden, now, upkeep=False) if season + 1 < first + years else plan
    return Outlook(tree, tuple(steps), _settled(waiting, steps), holds, trunk)


def _of_season(plan: Plan, now: date, until: date) -> list[Job]:
    """What is taken up in a season, in the order of best days: what has to be done, and what was meant."""
    wanted = (j for j in plan.jobs if j.record and not (j.record.looks or (j.optional and not j.own)))
    dated = [j for j in wanted if j.best and now <= max(j.best, now) < until and (j.opens or now) < until]
    return sorted(dated, key=lambda j: max(j.best or now, now))[:MOST_A_SEASON]


def _done(job: Job) -> Entry:
    assert job.best
    return Entry(date=on_day(job.best), work=job.work, branches=job.branches)


def _with(tree: Tree, entry: Entry) -> Tree:
    return replace(tree, log=(*tree.log, entry))


def _score_again(tree: Tree, plan: Plan, day: date) -> Tree:
    """The score given again at a season's beginning; proven strength where a rest may end."""
    rest = plan.state.resting
    over = rest is not None and (rest.not_before is None or rest.not_before <= day)
    score = STRONG if over else plan.state.vigour
    return tree if score is None else _with(tree, Entry(date=on_day(day), vigour=score))


def _step(plan: Plan, job: Job, season: int, years: int, usual: dict[str, float]) -> Step:
    assert job.best and job.record
    band = round(math.hypot(job.band, SPREAD_A_YEAR * years))
    hangs = [*job.conditions]
    if years and plan.state.vigour is not None and (job.rate_first or job.record.wants_strength):
        hangs.append(because(ByState.IF_STILL, vigour=plan.state.vigour))
    hangs += [r for r in job.reasons if isinstance(r.code, ByMeasure)]
    pot = holds(plan.state.pot) if plan.state.pot and job.record.into_pot else None
    day = max(job.best, plan.today)
    minutes = work_minutes(plan, job, usual)
    return Step(
        season,
        day,
        band,
        job.work,
        job.what,
        job.record.kind_of_turn("").value,
        tuple(hangs),
        minutes,
        pot.litres * SOIL_MORE if pot else None,
    )


def _settled(waiting: Iterable[Waiting], steps: Sequence[Step]) -> tuple[Waiting, ...]:
    """What waits and is not done in the same season after all; each once, where it is said first."""
    done = {(step.season, step.work) for step in steps}
    first: dict[tuple[str, Reason], Waiting] = {}
    for one in waiting:
        if (one.season, one.work) not in done:
            first.setdefault((one.work, one.why), one)
    return tuple(first.values())


def garden_years(outlooks: Sequence[Outlook], garden: Garden, first: int, years: int) -> tuple[YearAhead, ...]:
    """The garden's work by season."""
    potting = frozenset(work.name for work in garden.knowledge.works.values() if work.into_pot)
    steps = [step for outlook in outlooks for step in outlook.steps]
    seasons = range(first, first + years)
    return tuple(_year(season, [step for step in steps if step.season == season], potting) for season in seasons)


def _year(season: int, steps: Sequence[Step], potting: Collection[str]) -> YearAhead:
    """The steps of one season added up."""
    pots = [step for step in steps if step.work in potting]
    litres = sum(step.litres for step in pots if step.litres)
    hours = sum(step.minutes for step in steps) / 60
    return YearAhead(season, len(pots), litres, sum(step.litres is None for step in pots), hours)
