"""Several years ahead: what comes when, tree by tree, and how much of it there is in each year.

The plan is run forward as if what is offered were done on its best day. It promises nothing: bands widen, and every step
says on what it hangs.

examples:
  benchleaf ahead
  benchleaf ahead 014 --years 5
  benchleaf ahead --bench east --json
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TypedDict

from ..collection.dates import MONTHS
from ..collection.model import Tree
from ..planning.ahead import Outlook, Step, YearAhead, ahead, garden_years
from ..planning.grounds import ByMeasure, ByState
from ..planning.scheduler import usual_minutes
from .common import (
    Opened,
    chosen,
    json_argument,
    left_out,
    no_tree,
    open_collection,
    today_argument,
    tree_arguments,
    watched,
)
from .results import Result, table


class StepData(TypedDict):
    """A work of a coming season; litres is null where the pot was not measured or none is used."""

    season: int
    work: str
    what: str
    kind: str
    best: str
    band_days: int
    hangs_on: list[str]
    minutes: int
    litres: float | None


class WaitData(TypedDict):
    """A work that has to wait, and for what."""

    season: int
    work: str
    why: str


class TreeAhead(TypedDict):
    """One tree's coming seasons."""

    tag: str
    steps: list[StepData]
    waits: list[WaitData]
    no_work: list[str]
    trunk: str | None


class YearData(TypedDict):
    """The garden's work in a season."""

    season: int
    to_repot: int
    litres: float
    pots_not_measured: int
    hours: float
    bench_hours: float | None


class AheadData(TypedDict):
    """The plan run forward, by tree and for the garden."""

    trees: list[TreeAhead]
    years: list[YearData]


SHAPE = AheadData
YEARS, MOST_YEARS = 5, 20


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the verb takes."""
    parser.add_argument("tags", nargs="*", metavar="TAG", help="only these trees")
    tree_arguments(parser)
    parser.add_argument(
        "--years", type=_years, default=YEARS, metavar="N", help=f"how many seasons (default: {YEARS})"
    )
    json_argument(parser)
    today_argument(parser)


def _years(text: str) -> int:
    if not (text.isascii() and text.isdecimal()) or not 1 <= int(text) <= MOST_YEARS:
        raise argparse.ArgumentTypeError(f"expected seasons from 1 to {MOST_YEARS}, found '{text}'")
    return int(text)


def run(options: argparse.Namespace) -> Result:
    """Run the plan forward and tell it by tree and by year."""
    opened = open_collection(options)
    trees = _named(opened, options.tags) if options.tags else chosen(opened, options)
    usual = usual_minutes(opened.garden.trees)
    made = [
        ahead(t, opened.garden, opened.today, options.years, usual) for t in watched(trees, "running years ahead")
    ]
    first = opened.site.calendar.season_of(opened.today)
    years = garden_years(made, opened.garden, first, options.years)
    problems, closing, code = left_out(opened)
    data: AheadData = {
        "trees": [_tree_data(o, opened) for o in made],
        "years": [_year_data(y, opened) for y in years],
    }
    return Result(code, () if options.json else tuple(_lines(made, years, opened)), data, problems, closing)


def _lines(made: Sequence[Outlook], years: Sequence[YearAhead], opened: Opened) -> list[str]:
    """The years of each tree, and of the garden, for people."""
    lines = [line for outlook in made for line in _tree_lines(outlook, opened)]
    return [*lines, "", *_garden_lines(years, opened), "", "A forecast, not a promise: each year's tree decides."]


def _named(opened: Opened, tags: Sequence[str]) -> list[Tree]:
    found = []
    for tag in tags:
        tree = opened.collection.tree(tag)
        if tree is None:
            raise no_tree(opened, tag)
        found.append(tree)
    return found


def _tree_lines(outlook: Outlook, opened: Opened) -> list[str]:
    tree, say = outlook.tree, opened.wording
    lines = [f"{tree.tag}  {tree.name or tree.full_name}"]
    lines += [f"  {say.hold(hold)}" for hold in outlook.holds]
    seasons = dict.fromkeys(step.season for step in outlook.steps)
    for season in seasons:
        mine = (step for step in outlook.steps if step.season == season)
        told = "; ".join(_step_words(step, opened, first=season == next(iter(seasons))) for step in mine)
        lines.append(f"  {season}: {told}")
    waits: dict[str, list[str]] = {}
    for one in outlook.waiting:
        waits.setdefault(say.reason(one.why), []).append(one.work)
    told = "; ".join(f"{', '.join(works)} ({why})" for why, works in waits.items())
    lines += [f"  waits: {told}"] if told else []
    lines += [f"  trunk there {say.reach(outlook.trunk)}"] if outlook.trunk else []
    return lines


def _step_words(step: Step, opened: Opened, *, first: bool) -> str:
    """A step; what it hangs on is said in the first season, and where it changes with the years."""
    told = [r for r in step.hangs_on if first or r.code in (ByState.IF_STILL, ByMeasure.GROWTH)]
    hangs = f" ({opened.wording.reasons(told)})" if told else ""
    return f"{step.what} {MONTHS[step.day.month - 1]} {step.day.year} ± {step.band} d{hangs}"


def _garden_lines(years: Sequence[YearAhead], opened: Opened) -> list[str]:
    """A row a season: pots, soil, hours against the hours there are."""
    room = _hours_a_year(opened)
    rows = []
    for year in years:
        soil = opened.units.litres_told(year.litres) + (
            f" and {year.unmeasured} pots not measured" if year.unmeasured else ""
        )
        rows.append(
            [str(year.season), str(year.potted), soil, f"{year.hours:.0f} h", f"{room:.0f} h" if room else "?"]
        )
    return table(rows, ["season", "to repot", "soil", "work", "bench days"])


def _hours_a_year(opened: Opened) -> float:
    return 52 * sum(opened.collection.settings.bench_days.values())


def _tree_data(outlook: Outlook, opened: Opened) -> TreeAhead:
    say = opened.wording
    return {
        "tag": outlook.tree.tag,
        "steps": [_step_data(step, opened) for step in outlook.steps],
        "waits": [{"season": w.season, "work": w.work, "why": say.reason(w.why)} for w in outlook.waiting],
        "no_work": [say.hold(hold) for hold in outlook.holds],
        "trunk": outlook.trunk.day.isoformat() if outlook.trunk else None,
    }


def _step_data(step: Step, opened: Opened) -> StepData:
    return {
        "season": step.season,
        "work": step.work,
        "what": step.what,
        "kind": step.kind,
        "best": step.day.isoformat(),
        "band_days": step.band,
        "hangs_on": [opened.wording.reason(reason) for reason in step.hangs_on],
        "minutes": step.minutes,
        "litres": None if step.litres is None else round(step.litres, 2),
    }


def _year_data(year: YearAhead, opened: Opened) -> YearData:
    return {
        "season": year.season,
        "to_repot": year.potted,
        "litres": round(year.litres, 1),
        "pots_not_measured": year.unmeasured,
        "hours": round(year.hours, 1),
        "bench_hours": round(_hours_a_year(opened), 1) or None,
    }
