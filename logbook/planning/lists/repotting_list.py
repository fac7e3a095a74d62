"""A season's repotting: which trees, in what order, what their pots hold, and the soil to have ready."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field

from ...collection.model import Tree
from ...formulas.pots import Holds, bags, fit_mm, holds, mix_litres
from ...horticulture.work import Thing
from ...values import dataclass
from ..model import Job, Plan

GROWING_ON = ("seedling", "trunk growing")  # a show pot would not suit them yet


@dataclass(frozen=True, slots=True)
class Repot:
    """One tree's repotting. `fit` is a new pot's (length, depth), mm; `borrowed` says whose mix is taken, if not its own."""

    plan: Plan
    job: Job
    pot: Holds | None
    soil: Mapping[str, float] = field(default_factory=dict)
    mix: Mapping[str, float] = field(default_factory=dict)
    borrowed: str = ""
    fit: tuple[float | None, float | None] = (None, None)


def repottings(plans: Iterable[Plan], everyone: Sequence[Tree], group_of: Mapping[str, str]) -> list[Repot]:
    """The trees that are due, in the order of their windows. A tree without a mix on record takes the usual one of its group."""
    usual = _usual_mixes(everyone, group_of)
    due = ((plan, _potting_of(plan)) for plan in plans)
    rows = [_repot(plan, job, usual.get(plan.group, {})) for plan, job in due if job is not None]
    return sorted(rows, key=lambda r: (r.job.opens, r.job.closes or r.job.opens, r.plan.tree.tag))


def _potting_of(plan: Plan) -> Job | None:
    """The dated work of a plan by which its tree is repotted, if there is one."""
    return min((job for job in plan.jobs if job.opens and _is_potting(job)), key=_order, default=None)


def _repot(plan: Plan, job: Job, usual: Mapping[str, float]) -> Repot:
    """One tree's row: the mix it last had, or else the usual one, and what its pot takes of it."""
    own = next((e.mix for e in reversed(plan.state.entries) if e.mix), {})
    mix = own or usual
    pot = holds(plan.state.pot) if plan.state.pot else None
    soil = mix_litres(pot.litres, mix) if pot and mix else {}
    borrowed = "" if own or not mix else f"usual for {plan.group}"
    return Repot(plan, job, pot, soil, mix, borrowed, _fit(plan))


def _fit(plan: Plan) -> tuple[float | None, float | None]:
    """A new pot's length and depth, mm, by the last measures; unknown for a tree that is still grown on."""
    if plan.state.stage in GROWING_ON:
        return (None, None)
    last = {name: readings[-1].value for name, readings in plan.state.readings.items() if readings}
    return fit_mm(last.get("trunk"), last.get("height"), last.get("crown"))


def _is_potting(job: Job) -> bool:
    """Work that puts a tree into a pot, or the look at its roots that comes before."""
    return job.record is not None and (job.record.into_pot or Thing.ROOTS in job.record.looks)


def _order(job: Job) -> tuple[bool, bool]:
    """What can't wait, then the work itself, then the look."""
    return (not job.is_urgent, not (job.record and job.record.into_pot))


def _usual_mixes(everyone: Sequence[Tree], group_of: Mapping[str, str]) -> dict[str, Mapping[str, float]]:
    """The mix logged most often for each growth group."""
    counted: dict[str, Counter[tuple[tuple[str, float], ...]]] = {}
    for tree in everyone:
        for entry in tree.log:
            if entry.mix:
                counted.setdefault(group_of[tree.tag], Counter())[tuple(sorted(entry.mix.items()))] += 1
    return {group: dict(mixes.most_common(1)[0][0]) for group, mixes in counted.items()}


@dataclass(frozen=True, slots=True)
class Component:
    """One component of the soil: litres needed, and whole bags of it to buy."""

    name: str
    litres: float
    bags: int


def shopping(rows: Iterable[Repot], bag_litres: float) -> list[Component]:
    """Litres of each component for all of them, and whole bags to buy."""
    litres: dict[str, float] = {}
    for row in rows:
        for name, share in row.soil.items():
            litres[name] = litres.get(name, 0.0) + share
    return [Component(name, total, bags(total, bag_litres)) for name, total in sorted(litres.items())]
