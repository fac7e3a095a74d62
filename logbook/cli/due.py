"""What to do next, tree by tree: when it opens, when it is best, when it is too late.

examples:
  benchleaf due
  benchleaf due 004 014
  benchleaf due --within 60
  benchleaf due --why 014
  benchleaf due --ics due.ics --csv due.csv
"""

from __future__ import annotations

import argparse
import csv
import io
import os
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Literal, TypedDict

from .. import escapes
from ..collection.model import Tree
from ..planning.asked import ask_words
from ..planning.condition import Hold
from ..planning.lists.due_rows import Shown, listed
from ..planning.model import Job, Plan
from ..planning.scheduler import WEEKS, Schedule, bench_days, schedule, tasks_of
from ..planning.wording import kind_of
from ..season.reasons import Reason
from ..storage.outputs import write_output
from .common import (
    Opened,
    ReasonData,
    chosen,
    days,
    json_argument,
    left_out,
    no_tree,
    open_collection,
    open_for,
    today_argument,
    tree_arguments,
)
from .due_lines import due_lines, plain_lines
from .due_why import sentences
from .in_two import in_two
from .results import AsJson, Result, prints_plainly


class JobData(TypedDict):
    """A work on offer. Days are ISO dates, null where only the tree's own signs can tell."""

    work: str
    what: str
    status: Literal["now", "ahead", "overdue", "by sign"]
    branches: list[str]
    opens: str | None
    best: str | None
    closes: str | None
    band_days: int
    condition: str
    how: str
    night_c: float | None
    sign: str
    too_late: str
    as_planned: bool
    rate_first: bool
    kind: str | None
    reasons: list[ReasonData]


class RefusalData(TypedDict):
    """A work to leave alone, and why."""

    work: str
    why: str
    reasons: list[ReasonData]


class HoldData(TypedDict):
    """A state in which kinds of work wait."""

    state: str
    kinds: list[str]
    since: str
    until: str | None
    strength_first: bool
    text: str


class WireOnData(TypedDict):
    """Wire that is on the tree."""

    on: str
    branches: list[str]


class PlanData(TypedDict):
    """One tree's plan: what to do (`jobs`), the care beside it (`care`), what to leave alone, what to find out; `advice`: whether it can live there."""

    tag: str
    name: str
    species: str
    group: str
    stage: str
    vigour: int | None
    resting: bool
    wires: list[WireOnData]
    jobs: list[JobData]
    care: list[JobData]
    refused: list[RefusalData]
    advice: list[ReasonData]
    no_work: list[HoldData]
    asks: list[str]
    silent_since: str | None


class DueData(TypedDict):
    """What to do next, tree by tree."""

    today: str
    trees: list[PlanData]


SHAPE = DueData
WITHIN = 370  # days


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    parser.add_argument("trees", nargs="*", metavar="TREE", help="only these trees, by tag, number or name")
    parser.add_argument("--why", metavar="TAG", help="one tree's dates with all their reasons, in sentences")
    parser.add_argument(
        "--within", type=days, metavar="DAYS", help=f"only what opens within so many days (default {WITHIN})"
    )
    parser.add_argument("--ics", type=Path, metavar="FILE", help="write the windows as a calendar file (RFC 5545)")
    parser.add_argument(
        "--all",
        action="store_true",
        help="what is later too, and works that only may be done; with --ics: every window",
    )
    parser.add_argument("--plain", action="store_true", help="one sentence a job")
    parser.add_argument("--csv", type=Path, metavar="FILE", help="write the windows as a table")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """The works of all trees by date, and the files asked for; or one tree with all its reasons."""
    asked = [*options.tag, *options.trees]
    alone = len(asked) == 1 and not (options.why or options.bench or options.ics)
    opened = open_for(options, asked[0], waits=True) if alone else open_collection(options, waits=True)
    if options.why:
        return _why(opened, options.why)
    options.tag = [*options.tag, *options.trees]
    trees = chosen(opened, options)
    if options.json and not (options.ics or options.csv):
        return _as_data(opened, trees)
    whole = options.json or options.ics or options.csv
    plans = opened.plans(trees) if whole else [listed(plan) for plan in opened.planned(trees)]
    limit = opened.today + timedelta(days=options.within or WITHIN)
    written = _write_files(options, opened, plans, limit)
    problems, closing, code = left_out(opened)
    return Result(
        code,
        (*(() if options.json else _lines(options, plans, limit, opened)), *written),
        DueData(today=opened.today.isoformat(), trees=[plan_data(p, opened) for p in plans] if options.json else []),
        problems,
        closing,
    )


def _as_data(opened: Opened, trees: Sequence[Tree]) -> Result:
    """The plans as data, made into text where they are made."""
    plain = prints_plainly()

    def data_of(tree: Tree) -> str:
        return escapes.json_text(plan_data(opened.plan(tree), opened), plain=plain)

    problems, closing, code = left_out(opened)
    data = {"today": opened.today.isoformat(), "trees": AsJson(in_two(trees, data_of))}
    return Result(code, (), data, problems, closing)


def _lines(options: argparse.Namespace, plans: list[Plan], limit: date, opened: Opened) -> list[str]:
    """The rows for people; trees asked for by name are told to the end of their year."""
    all_of_it = options.all or bool(options.tag) or options.within is not None
    shown = Shown(limit, later=all_of_it, optional=options.all or bool(options.tag))
    plain = options.plain or os.environ.get("TERM") == "dumb"
    return (plain_lines if plain else due_lines)(plans, shown, opened.wording)


def _write_files(options: argparse.Namespace, opened: Opened, plans: list[Plan], limit: date) -> list[str]:
    """The calendar and the table, where they were asked for."""
    lines = []
    if options.ics:
        from ..paper.calendar_file import calendar_bytes

        title, days = opened.collection.settings.title, _bench_plan(opened, plans)
        data = calendar_bytes(plans, title, opened.today, opened.wording, days=days, everything=options.all)
        write_output(options.ics, data, "--ics FILE")
        lines.append(f"calendar: {options.ics}")
    if options.csv:
        text = io.StringIO()
        rows = csv.writer(text, lineterminator="\n")
        rows.writerow(
            [
                "tag",
                "name",
                "work",
                "branches",
                "opens",
                "best",
                "closes",
                "band_days",
                "status",
                "sign",
                "too_late",
                "condition",
            ]
        )
        for plan in plans:
            for job in (*plan.jobs, *plan.care):
                if job.opens is None or job.opens <= limit:
                    row = [
                        plan.tree.tag,
                        plan.tree.name,
                        job.what,
                        " ".join(job.branches),
                        job.opens or "",
                        job.best or "",
                        job.closes or "",
                        job.band,
                        job.status,
                        job.sign,
                        job.too_late,
                        opened.wording.reasons(job.conditions),
                    ]
                    rows.writerow(map(escapes.cell, row))
        write_output(options.csv, text.getvalue().encode("utf-8"), "--csv FILE")
        lines.append(f"table: {options.csv}")
    return lines


def _bench_plan(opened: Opened, plans: list[Plan]) -> Schedule | None:
    """What the bench days of the coming weeks hold; None where the collection names none."""
    hours = opened.collection.settings.bench_days
    if not hours:
        return None
    last = opened.today + timedelta(weeks=WEEKS)
    return schedule(tasks_of(plans, opened.collection.trees, last), bench_days(hours, opened.today, WEEKS))


def _why(opened: Opened, tag: str) -> Result:
    tree = opened.collection.tree(tag)
    if tree is None:
        raise no_tree(opened, tag)
    plan = opened.plan(tree)
    one = plan_data(plan, opened)
    return Result(0, tuple(sentences(plan, opened)), {**one, **DueData(today=opened.today.isoformat(), trees=[one])})


def plan_data(plan: Plan, opened: Opened) -> PlanData:
    """A tree's plan as plain data."""
    state = plan.state
    return {
        "tag": plan.tree.tag,
        "name": plan.tree.name,
        "species": plan.tree.full_name,
        "group": plan.group,
        "stage": state.stage,
        "vigour": state.vigour,
        "resting": bool(state.resting),
        "wires": [{"on": w.on.text, "branches": list(w.branches)} for w in state.wires],
        "jobs": [_job_data(job, opened) for job in plan.jobs],
        "care": [_job_data(job, opened) for job in plan.care],
        "refused": [
            {"work": r.work, "why": opened.wording.reason(r.why), "reasons": reasons_data(r.reasons, opened)}
            for r in plan.refusals
        ],
        "advice": reasons_data(plan.advice, opened),
        "no_work": [_hold_data(hold, opened) for hold in plan.holds],
        "asks": [ask_words(ask, opened.knowledge.stages) for ask in plan.asks],
        "silent_since": plan.silent_since.isoformat() if plan.silent_since else None,
    }


def _hold_data(hold: Hold, opened: Opened) -> HoldData:
    return {
        "state": hold.state.value,
        "kinds": sorted(kind.value for kind in hold.kinds),
        "since": hold.since.text,
        "until": hold.until.isoformat() if hold.until else None,
        "strength_first": hold.strong,
        "text": opened.wording.hold(hold),
    }


def _job_data(job: Job, opened: Opened) -> JobData:
    return {
        "work": job.work,
        "what": job.what,
        "status": job.status.value,
        "branches": list(job.branches),
        "opens": job.opens.isoformat() if job.opens else None,
        "best": job.best.isoformat() if job.best else None,
        "closes": job.closes.isoformat() if job.closes else None,
        "band_days": job.band,
        "condition": opened.wording.reasons(job.conditions),
        "how": job.how,
        "night_c": job.night,
        "sign": job.sign,
        "too_late": job.too_late,
        "as_planned": job.optional,
        "rate_first": job.rate_first,
        "kind": job.record.kind_of_turn("").value if job.record else None,
        "reasons": reasons_data(job.reasons, opened),
    }


def reasons_data(reasons: Iterable[Reason], opened: Opened) -> list[ReasonData]:
    """Reasons as data: what each rests on, its code, and its sentence."""
    told, data = opened.told, []
    for reason in reasons:
        found = told.get(reason)
        if found is None:
            text = opened.wording.reason(reason)
            found = told[reason] = ReasonData(kind=kind_of(reason), code=reason.code.value, text=text)
        data.append(found)
    return data
