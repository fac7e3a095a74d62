"""A tick and a written line of one work, tree and day that came in two runs: one entry, and more is told of it. Pure.

The entry that stands in the log keeps its words; what the other one tells besides is spliced in, and its line is named in `from`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from datetime import date
from typing import Any

from ..collection.dates import When
from ..collection.model import Entry, Tree
from ..collection.yaml_editor import Value
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Thing, Work
from ..planning.tree_state import counting
from ..storage.printed import Ledger
from ..values import dataclass
from .grammar.readings import Reading
from .hands import same_hands, with_hands
from .log_as_read import lines_of

_TOLD_BESIDE = ("note", "by")  # of two remarks both stay, and of two hands; neither speaks against the other
_EMPTY: tuple[object, ...] = ("", (), None, False, {})


@dataclass(frozen=True, slots=True)
class More:
    """What is spliced into an entry, and the entry as it then stands. `nothing`: only another line that it came from."""

    entry: Entry
    amendment: Mapping[str, Value]

    @property
    def nothing(self) -> bool:
        """Whether no field is added."""
        return not self.amendment["add"]


def job_of(source: str, tag: str, ledger: Ledger) -> str:
    """The work that was offered on a line of a sheet, which a tick there says was done; an empty string where none was."""
    serial, _, row = source.partition("/")
    sheet = ledger.sheets.get(serial)
    job = sheet.job(row.split(".")[0], tag) if sheet else None
    return job.work if job else ""


def ticked_in(log: Sequence[Entry], tag: str, ledger: Ledger) -> dict[str, tuple[str, ...]]:
    """Works of a log that were ticked, by the serial of their sheet."""
    found: dict[str, tuple[str, ...]] = {}
    for entry in log:
        for source in entry.sources:
            if entry.work and job_of(source, tag, ledger) == entry.work:
                serial = source.partition("/")[0]
                found[serial] = (*found.get(serial, ()), entry.work)
    return found


def another_doing(tick: Sequence[str], line: Sequence[str], work: Work | None) -> bool:
    """Whether a tick of a job for some branches, and a line of its work for others, are two doings.

    A line that names fewer branches than the job, or more, is the same one. A job that takes wire off and names no branch is of the wire
    that nobody told the place of: a line that names branches does not tell of that.
    """
    if tick and line:
        job, told = set(tick), set(line)
        return not (job <= told or told <= job)
    takes_wire = work is not None and Thing.WIRE in work.takes and Thing.BRANCH not in work.takes
    return takes_wire and bool(line) and not tick


def is_ticked(entry: Entry, tag: str, ledger: Ledger) -> bool:
    """Whether an entry was made of a tick, or of a list's row that says it was done."""
    return any(job_of(source, tag, ledger) == entry.work for source in entry.sources)


def told_of_another(a: Entry, b: Entry, ticked: Callable[[Entry], bool], work: Work | None) -> bool:
    """Whether two entries of one work and day are two doings by the branches of the job that was ticked for one of them."""
    return any(ticked(tick) and another_doing(tick.branches, line.branches, work) for tick, line in ((a, b), (b, a)))


def same_doing(
    model: Entry, log: Sequence[Entry], knowledge: Knowledge, ticked: Callable[[Entry], bool] = lambda _entry: False
) -> Entry | None:
    """The entry of the log for the same work on the same day, of other lines than its own. `ticked`: which entries a tick made."""
    if not model.work or model.replaces or not model.date.is_day:
        return None
    found = counting(log, date.max, knowledge, lambda e: e.work == model.work and e.date == model.date)
    work = knowledge.works.get(model.work)
    apart = [
        e
        for e in found
        if not (lines_of(e.sources) & lines_of(model.sources) or told_of_another(e, model, ticked, work))
    ]
    return apart[-1] if apart else None


def ticked_day(reading: Reading, tree: Tree, ledger: Ledger) -> When | None:
    """The day of a sheet's line that has none, where one of its works was ticked on the same sheet, once."""
    if reading.sheet is None or reading.date is not None:
        return None
    works = {part.get("work") for part in reading.parts} - {None}
    serial = reading.sheet.serial
    days = {
        entry.date
        for entry in tree.log
        for source in entry.sources
        if entry.work in works and source.startswith(f"{serial}/") and job_of(source, tree.tag, ledger) == entry.work
    }
    return days.pop() if len(days) == 1 else None


def covers(entry: Entry, model: Entry, *, tick: bool) -> bool:
    """Whether an entry tells all that a line does, and perhaps more; of a tick a line may have named fewer branches."""
    told = {
        f.name: getattr(model, f.name)
        for f in fields(model)
        if f.name not in ("sources", "place", "replaces", *_TOLD_BESIDE, *(("branches",) if tick else ()))
    }
    within = all(value in _EMPTY or value == getattr(entry, name) for name, value in told.items())
    return within and model.note in entry.note and same_hands(with_hands(entry.by, model.by), entry.by)


def more_of(entry: Entry, model: Entry, written: Mapping[str, Value], *, tick: bool) -> More | None:
    """What a line or a tick tells more of an entry that stands; None where they speak against each other.

    `written`: the line as an entry of the file; of a tick that names more branches than the line the line's hold.
    """
    own = ("date", "work", "from", *(("branches",) if tick and entry.branches else ()))
    told = {key: value for key, value in written.items() if key not in own}
    if any(_speaks_against(entry, model, key) for key in told if key not in _TOLD_BESIDE):
        return None
    add = {key: value for key, value in told.items() if getattr(entry, key) in _EMPTY}
    longer = _longer(entry, model)
    stood: dict[str, Value] = {key: str(getattr(entry, key)) for key in longer}
    add |= longer
    lines = [source for source in model.sources if source not in entry.sources]
    where: dict[str, Value] = {"date": str(written["date"]), "work": entry.work}
    amendment: dict[str, Value] = {
        "where": where,
        "from": list(entry.sources),
        "add": add,
        "stood": stood,
        "lines": lines,
    }
    changes: dict[str, Any] = {key: add[key] if key in _TOLD_BESIDE else getattr(model, key) for key in add}
    return More(replace(entry, sources=(*entry.sources, *lines), **changes), amendment)


def _longer(entry: Entry, model: Entry) -> dict[str, Value]:
    """Fields that stand and have more told behind them: a remark, and whose hands it was."""
    longer: dict[str, Value] = {}
    if entry.note and model.note and model.note not in entry.note:
        longer["note"] = f"{entry.note}; {model.note}"
    hands = with_hands(entry.by, model.by)
    if entry.by and not same_hands(hands, entry.by):
        longer["by"] = hands
    return longer


def _speaks_against(entry: Entry, model: Entry, key: str) -> bool:
    stands = getattr(entry, key)
    return stands not in _EMPTY and stands != getattr(model, key)
