"""The table of `explain works`: what each work is called in a note, what it asks of a tree, when, and what waits after it."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..collection.load import SETTINGS_FILE, load_settings
from ..diagnostics import Problem, nearest, stop
from ..horticulture.forbids import Forbid, Match, Until
from ..horticulture.knowledge import Knowledge
from ..horticulture.loader import shipped_knowledge
from ..horticulture.work import Row, Work
from .explain_shapes import RowData, WorkData
from .results import PROBLEMS, Result, table

HEAD = ("work", "mark", "in a note", "asks of", "minutes", "hard", "then waits")


def explain_works(options: argparse.Namespace) -> Result:
    """Every work in one table; with --work one of them with its rows, its signs and all that waits after it."""
    knowledge, problems = _knowledge(Path(options.folder))
    works = list(knowledge.works.values())
    if options.work:
        named = knowledge.works.get(options.work)
        if named is None:
            close = nearest(options.work, knowledge.works)
            raise stop(f"there is no work '{options.work}'", hint=f"did you mean '{close}'?" if close else "")
        works = [named]
    lines = _told(works[0], knowledge) if options.work else [*table([_cells(w, knowledge) for w in works], HEAD)]
    data: list[WorkData] = [_data(work, knowledge) for work in works]
    return Result(PROBLEMS if problems else 0, tuple(lines), {"works": data}, tuple(problems))


def _knowledge(folder: Path) -> tuple[Knowledge, list[Problem]]:
    """The trade's, with the collection's own where the folder is one."""
    shipped = shipped_knowledge()
    if not (folder / SETTINGS_FILE).is_file():
        return shipped, []
    settings, problems = load_settings(folder, shipped)
    if settings is None:
        return shipped, problems
    own, faults = shipped.own(settings)
    return own, [*problems, *faults]


def _cells(work: Work, knowledge: Knowledge) -> tuple[str, ...]:
    hard = {"": "", "true": "always", "heavy": "if heavy"}[work.hard.value]
    waits = len(_lines_after(work, knowledge))
    return (work.name, work.mark, ", ".join(work.typed), work.kind.value, str(work.minutes), hard, str(waits or ""))


def _told(work: Work, knowledge: Knowledge) -> list[str]:
    lines = [
        f"{work.name} ({work.mark})" if work.mark else work.name,
        f"  in a note: {', '.join(work.typed)}",
        f"  asks something of: {work.kind.value}; about {work.minutes} minutes on a tree of middling size",
    ]
    lines += [f"  care: {knowledge.cautions[work.caution]}"] if work.caution else []
    for row in work.rows:
        lines.append(f"{', '.join(sorted(row.groups))}{_only(row)}:")
        lines.append(f"  when: {_when(row)}{_every(row)}" + (f"; vigour {row.vigour} or more" if row.vigour else ""))
        lines.append(f"  do it when: {row.sign}")
        lines += [f"  too late when: {row.too_late}"] if row.too_late else []
        lines += [f"  how: {row.how}"] if row.how else []
    after = _lines_after(work, knowledge)
    lines += ["after it wait:", *(f"  {text}" for text in after)] if after else []
    return lines


def _only(row: Row) -> str:
    only = [*sorted(row.genera), *(trait.value for trait in row.where)]
    barred = [f"not {trait.value}" for trait in row.not_where]
    return f" ({', '.join([*only, *barred])})" if only or barred else ""


def _when(row: Row) -> str:
    first = str(row.window) if row.window else row.rule
    second = str(row.also) if row.also else row.also_rule
    return f"{first}, or {second}" if second else first


def _every(row: Row) -> str:
    if not row.every:
        return "; only if meant"
    if len(set(row.every.values())) == 1:
        years = next(iter(row.every.values()))
        return "; every year" if years == 1 else f"; every {years:g} years"
    return "; every " + ", ".join(f"{years:g} ({age})" for age, years in row.every.items()) + " years"


def _lines_after(work: Work, knowledge: Knowledge) -> list[str]:
    """What waits after a turn of the work, however heavy it was, and what only a heavy or a hard one holds up."""
    told = []
    for line in knowledge.forbids.lines:
        always = line.after.was(work, "", "light")
        if always or line.after.was(work, "heavy", "hard"):
            told.append(_waits(line, "" if always else " (if it was heavy or took hard roots)"))
    return told


def _waits(line: Forbid, only: str) -> str:
    groups = f", on {len(line.groups)} growth groups" if line.groups else ""
    return f"{_meant(line.works)}: {_until(line.until)}{groups}{only}"


def _meant(match: Match) -> str:
    kinds = [f"{kind.value} work" for kind in sorted(match.kinds)]
    heavy = [f"heavy {word}" for word in sorted(match.heavy)]
    hard = [f"hard {word}" for word in sorted(match.hard)]
    return ", ".join([*kinds, *sorted(match.acts), *heavy, *hard]) + (", other than itself" if match.others else "")


def _until(until: Until) -> str:
    if until.hardened:
        return "until the new shoots have hardened"
    if until.seasons:
        return "the rest of this season" if until.seasons == 1 else f"{until.seasons} growing seasons"
    return f"{until.months} months" if until.months else f"{until.weeks} growing weeks"


def _data(work: Work, knowledge: Knowledge) -> WorkData:
    return {
        "name": work.name,
        "typed": list(work.typed),
        "mark": work.mark,
        "kind": work.kind.value,
        "hard": work.hard.value,
        "minutes": work.minutes,
        "forbids": _lines_after(work, knowledge),
        "rows": [_row_data(row) for row in work.rows],
    }


def _row_data(row: Row) -> RowData:
    return {
        "groups": sorted(row.groups),
        "window": _when(row),
        "every": dict(row.every),
        "least_vigour": row.vigour or None,
        "only_for": [*sorted(row.genera), *(t.value for t in row.where), *(f"not {t.value}" for t in row.not_where)],
        "sign": row.sign,
        "too_late": row.too_late,
        "how": row.how,
    }
