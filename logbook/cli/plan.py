"""Put due works on the bench days you have (bench_days: in collection.yaml), inside their windows, by how soon they close.

How long a work takes comes from your own logged minutes, else from the garden's, else from a default by work and size.

examples:
  benchleaf plan
  benchleaf plan --weeks 8 -o days.pdf
  benchleaf plan --saturday 4h --sunday 90min --ics bench.ics
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TypedDict

from ..collection.dates import day_told
from ..collection.fields import hours_of
from ..collection.model import Tree
from ..diagnostics import counted, stop
from ..planning.lists.care_list import Cared, care_until
from ..planning.scheduler import WEEKDAYS, WEEKS, Schedule, Unfit, bench_days, schedule, tasks_of
from ..storage import printed
from ..storage.outputs import must_be_writable, write_output
from .common import (
    chosen,
    json_argument,
    left_out,
    today_argument,
    tree_arguments,
)
from .due_lines import care_lines
from .printing import Run, in_pairs, page_grid, print_out, print_run, record_arguments, sheet_layout
from .results import Result, table


class TaskData(TypedDict):
    """A work on a bench day, and the last day of its window."""

    tag: str
    work: str
    minutes: int
    until: str


class BenchDayData(TypedDict):
    """A bench day: the minutes it has free before the works are on it."""

    date: str
    free_minutes: int
    works: list[TaskData]


class UnfitData(TypedDict):
    """A work that found no room, and the day on which so many minutes more would do."""

    tag: str
    work: str
    more_minutes: int
    on: str | None


class CaredData(TypedDict):
    """A kind of care and the trees that want it; from the first day of any to the last of all, ISO dates."""

    what: str
    opens: str
    closes: str
    tags: list[str]


class BenchPlanData(TypedDict):
    """Due works on the bench days, and the care beside them."""

    care: list[CaredData]
    days: list[BenchDayData]
    unfit: list[UnfitData]


SHAPE = BenchPlanData
MOST_WEEKS = 60


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    parser.add_argument(
        "--weeks", type=_weeks, default=WEEKS, metavar="N", help=f"how far to plan (default: {WEEKS})"
    )
    for name in WEEKDAYS:
        parser.add_argument(f"--{name}", type=_hours, metavar="TIME", help=argparse.SUPPRESS)
    parser.add_argument("-o", dest="output", type=Path, metavar="FILE", help="print a pocket list by day as PDF")
    parser.add_argument("--layout", metavar="NAME", help="a sheet layout, or the path of your own")
    parser.add_argument("--ics", type=Path, metavar="FILE", help="write the bench days as a calendar file")
    record_arguments(parser)
    parser.add_argument("--dry-run", action="store_true", help="write nothing")
    json_argument(parser)
    today_argument(parser)


def _weeks(text: str) -> int:
    if not (text.isascii() and text.isdecimal()) or not 1 <= int(text) <= MOST_WEEKS:
        raise argparse.ArgumentTypeError(f"expected weeks from 1 to {MOST_WEEKS}, found '{text}'")
    return int(text)


def _hours(text: str) -> float:
    hours = hours_of(text)
    if hours is None:
        raise argparse.ArgumentTypeError(f"expected a time, found '{text}': write 3h or 90min")
    return hours


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    with print_run(options, recorded=options.output is not None and not options.draft) as held:
        return _planned(held, options)


def _planned(held: Run, options: argparse.Namespace) -> Result:
    opened = held.opened
    hours = dict(opened.collection.settings.bench_days)
    hours |= {name: given for name in WEEKDAYS if (given := getattr(options, name)) is not None}
    if not hours:
        raise stop(
            "no bench days are known",
            path="collection.yaml",
            hint="add bench_days: {saturday: 3h}, or give them: --saturday 3h",
        )
    trees = {tree.tag: tree for tree in chosen(opened, options)}
    days = bench_days(hours, opened.today, options.weeks)
    last = opened.today + timedelta(days=7 * options.weeks)
    plans = opened.plans(list(trees.values()))
    tasks = tasks_of(plans, opened.collection.trees, last)
    made = schedule(tasks, days)
    care = care_until(plans, last)
    written = _files(options, held, made, trees, care)
    problems, closing, code = left_out(opened)
    beside = care_lines(plans, last)
    lines = (*held.told, *_table(made, trees), *_unfit(made, last), *([""] if beside else []), *beside, *written)
    return Result(code, lines, _data(made, care), problems, closing)


def _table(made: Schedule, trees: dict[str, Tree]) -> list[str]:
    rows = [
        [
            f"{when:%a} {day_told(when)}" if not n else "",
            t.tag,
            trees[t.tag].name,
            t.what,
            f"{t.minutes} min",
            day_told(t.last),
        ]
        for when, tasks in sorted(made.days.items())
        for n, t in enumerate(tasks)
    ]
    return (
        table(rows, ["day", "tag", "name", "work", "takes", "until"])
        if rows
        else ["nothing fits on your bench days" if made.unfit else "nothing is due on your bench days"]
    )


def _unfit(made: Schedule, last: date) -> list[str]:
    """What found no room: works whose window closes within the weeks planned, and those that can wait until after them."""
    pressing = [u for u in made.unfit if u.task.last <= last]
    later = [u for u in made.unfit if u.task.last > last]
    told: list[str] = []
    if pressing:
        total = sum(u.more_minutes for u in pressing)
        more = f"; {total} minutes more would fit them one by one" if total else ""
        told += ["", f"{counted(len(pressing), 'work')} found no room{more}:"]
        told += [f"  {u.task.tag} {u.task.what}: {_why(u)}" for u in pressing]
    if later:
        told += ["", f"{counted(len(later), 'work')} can wait until after {day_told(last)}:"]
        told += [f"  {u.task.tag} {u.task.what}: its window closes on {day_told(u.task.last)}" for u in later]
    return told


def _why(unfit: Unfit) -> str:
    if unfit.on is None:
        return f"no bench day before {day_told(unfit.task.last)}, when its window closes"
    return f"{unfit.more_minutes} minutes more on {day_told(unfit.on)} would do"


def _files(
    options: argparse.Namespace, held: Run, made: Schedule, trees: dict[str, Tree], care: Sequence[Cared]
) -> list[str]:
    from ..paper.calendar_file import bench_day_bytes
    from ..paper.day_list import day_list
    from ..paper.imposition import impose

    opened = held.opened
    said: list[str] = []
    if options.ics and not options.dry_run:
        title = f"{opened.collection.settings.title}: bench days"
        write_output(options.ics, bench_day_bytes(made, trees, title, opened.today), "--ics FILE")
        said.append(f"calendar: {options.ics}")
    if options.output is None or not made.days:
        return said
    if not options.dry_run:
        must_be_writable(options.output)
    plan = sheet_layout(opened, options, ("sheet", "walk"), "pocket-a6", "pocket-quarter-letter")
    (serial,) = held.serials(1, printed.load_ledger(opened.folder), options.seed)
    drawn = day_list(made, trees, opened.collection.settings, plan, serial, opened.today, care)
    papers = impose(in_pairs(drawn.pages), page_grid(plan, options.output))
    print_out(held, options, papers, "bench days", printed.Record([drawn.sheet] if drawn.sheet else []))
    where = "nothing written (--dry-run)" if options.dry_run else str(options.output)
    said.append(f"pocket list: {where}" + (f"; type it back under: sheet {serial}" if serial else ""))
    return said


def _data(made: Schedule, care: Sequence[Cared]) -> BenchPlanData:
    return {
        "care": [
            {
                "what": one.what,
                "opens": one.opens[0].isoformat(),
                "closes": one.closes[-1].isoformat(),
                "tags": list(one.tags),
            }
            for one in care
        ],
        "days": [
            {
                "date": when.isoformat(),
                "free_minutes": made.free[when],
                "works": [
                    {"tag": t.tag, "work": t.what, "minutes": t.minutes, "until": t.last.isoformat()} for t in tasks
                ],
            }
            for when, tasks in sorted(made.days.items())
        ],
        "unfit": [
            {
                "tag": u.task.tag,
                "work": u.task.what,
                "more_minutes": u.more_minutes,
                "on": u.on.isoformat() if u.on else None,
            }
            for u in made.unfit
        ],
    }
