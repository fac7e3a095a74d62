"""The words of a row: the job with its one date, its sign, the job behind it, and wire, which is never left out."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from datetime import date

from ..collection.dates import day_told
from ..horticulture.work import Thing
from ..planning.lists.walk_rows import Bench, Open, last_day, tag_ranges
from ..planning.lists.walk_rows import Row as Wanted
from ..planning.model import Job, Plan
from ..planning.wording import Wording
from ..storage.printed import Offered
from . import rows
from .sheet.blocks.bars import where_of
from .typed_back import SAYS, SCORES
from .words import say

YEAR_DAYS, ABOUT_DAYS = 365, 10
MOST_IDENT = 24
# what a box about wire says: of a tree that has wire on record, and of one that has none
WIRED, UNWIRED = ("wire checked", "wire taken off"), ("wire on", "no wire")


def row_of(row: Wanted, living: Sequence[str], wording: Wording) -> rows.Row:
    """A row of the walk list in words."""
    plan, job = row.plan, row.job
    ident, label = row_names(row.tags, living)
    what = say("look it over") if job is None else _wire_words(row) if row.is_wire_due else _plain_what(job)
    return rows.Row(
        ident,
        label,
        under_tag(row),
        what,
        _due(row) if row.is_wire_due else when(job, plan.today) if job else "",
        tuple(_must(row, wording)),
        tuple(part for part in _may(row) if part),
        job=job is not None,
        rates=row.rates,
        more=_a_year_ago(plan),
        blank=_blank(row),
    )


def first_look_row(row: Wanted) -> rows.Row:
    """A row that asks how a tree stands after a silence: here, wire, vigour, when it was last repotted."""
    plan = row.plan
    year = plan.today.year
    on, off = WIRED if plan.state.wires else UNWIRED
    says = (
        (say("is here"), SAYS["looked"]),
        (say("is gone"), SAYS["gone"]),
        (say("is wired"), SAYS[on]),
        (say("is off"), SAYS[off]),
        *((say("is vigour", score=n) if n == SCORES[0] else n, n) for n in SCORES),
        (say("is repotted", year=year - 1), SAYS["repotted"].format(year=year - 1)),
        (f"{year - 2}", SAYS["repotted"].format(year=year - 2)),
        (say("is neither"), SAYS["not repotted"]),
    )
    return rows.Row(plan.tree.tag, plan.tree.tag, under_tag(row), job=False, looked=False, says=says)


def row_names(tags: Sequence[str], living: Sequence[str]) -> tuple[str, str]:
    """A row's name on record, as it is typed, and the same as printed."""
    if len(tags) == 1:
        return tags[0], tags[0]
    told = tag_ranges(tags, living)
    if len(told) == 1:
        return told[0].replace("–", "-"), told[0]
    return f"{tags[0]}+{len(tags) - 1}", f"{tags[0]} +{len(tags) - 1}"


def rest_words(bench: Bench, living: Sequence[str], wording: Wording) -> str:
    """A bench's trees without a row: what is still open for them, what must not be done to them, and those that need nothing."""
    parts = [say("unheard", tags=_tags(bench.unheard, living))] if bench.unheard else []
    if found := bench.still_open:
        told = (say("open for", tags=_tags(one.tags, living), work=_open_words(one)) for one in found)
        parts.append(say("still open", works=", ".join(told)))
    parts += [f"{wording.hold_what(hold).lower()}: {_tags(tags, living)}" for hold, tags in bench.held.items()]
    parts += [say("idle", tags=_tags(bench.idle, living))] if bench.idle else []
    return " · ".join(parts)


def _open_words(one: Open) -> str:
    """`wiring until 2 – 26 Mar`: the work, and the first and the last day on which it closes; the grower's own words stand on the sheet."""
    what = say("as meant") if one.job.own and one.job.record is None else one.job.work
    if one.closes is None:
        return what
    first, last = one.closes
    if first == last:
        return say("open until", work=what, day=_short_day(last))
    month = "" if (first.year, first.month) == (last.year, last.month) else f" {first:%b}"
    return say("open until", work=what, day=f"{first.day}{month}–{_short_day(last)}")


def _short_day(day: date) -> str:
    return f"{day.day} {day:%b}"


def _tags(tags: Sequence[str], living: Sequence[str]) -> str:
    return " ".join(tag_ranges(tags, living))


def row_slug(name: str, taken: Collection[str]) -> str:
    """A bench's name as the name of a row: small letters and figures, hyphens between; one that no row has yet."""
    slug = re.sub(r"[\W_]+", "-", name.casefold()).strip("-")[:MOST_IDENT] or "bench"
    numbered = (f"{slug}-{n}" for n in range(2, len(taken) + 3))
    return slug if slug not in taken else next(one for one in numbered if one not in taken)


def under_tag(row: Wanted) -> str:
    """The tree's name; how many there are where a row or a pot holds several."""
    tree = row.plan.tree
    if len(row.tags) > 1:
        return say("several", count=len(row.tags), name=tree.full_name)
    name = tree.name or tree.full_name
    return say("several", count=tree.count, name=name) if tree.count > 1 else name


def _blank(row: Wanted) -> tuple[str, str]:
    if len(row.tags) > 1:
        return say("but not"), SAYS["but not"]
    count = row.plan.tree.count
    return (say("left of", count=count), SAYS["count"]) if count > 1 else ("", "")


def _plain_what(job: Job) -> str:
    """The work with its branches; the grower's own words without their date, which stands beside them."""
    return job.own or job.says or " ".join(part for part in (job.work, branch_ranges(job.branches)) if part)


def _wire_words(row: Wanted) -> str:
    bites = any(wire.bites for wire in row.plan.state.wires)
    branches, note = branch_ranges(row.branches), ", ".join(_unnamed(row))
    line = "row wire off of" if branches else "row wire off where" if note else "row wire off"
    named = say(
        "row wire off all" if row.is_all_wire and not (branches or note) else line, branches=branches, note=note
    )
    return say("row bites", wire=named) if bites else named


def _unnamed(row: Wanted) -> list[str]:
    """Where the wire is whose branches nobody named, as its notes say it; nothing where one of them does not."""
    notes = [where_of(wire) for wire in row.plan.state.wires if not wire.branches]
    return list(dict.fromkeys(part for note in notes for part in note)) if all(notes) else []


def _due(row: Wanted) -> str:
    today = row.plan.today
    bites = any(wire.bites for wire in row.plan.state.wires)
    if bites or row.off is None:
        return say("at once")
    return say("by", day=day_told(row.off, _year(row.off, today)))


def branch_ranges(branches: Sequence[str], to: str = "–") -> str:
    """`1–3, 5, S1`: three and more numbers in a row as a range, numbers before what has letters; `to` joins its ends."""
    numbers = sorted({int(b) for b in branches if b.isascii() and b.isdecimal()})
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] + 1 == number:
            runs[-1].append(number)
        else:
            runs.append([number])
    told = [part for run in runs for part in ([f"{run[0]}{to}{run[-1]}"] if len(run) > 2 else map(str, run))]
    return ", ".join([*told, *(b for b in dict.fromkeys(branches) if not (b.isascii() and b.isdecimal()))])


def when(job: Job, today: date) -> str:
    """The one date of a job: by, until or from; a day before the print day carries its year."""
    if job.own and job.by and job.record is None:
        day = day_told(job.by.latest, _year(job.by.latest, today)) if job.by.is_day else job.by.told()
        return say("by", day=day)
    if job.opens is None:
        return say("by its signs")
    if job.opens > today:
        return say("from", day=day_told(job.opens, today))
    last = last_day(job)
    word = "by" if job.record and Thing.WIRE in (*job.record.takes, *job.record.looks) else "until"
    return say(word, day=day_told(last, _year(last, today))) if last else say("at once")


def _year(day: date, today: date) -> date | None:
    """The day in whose year no year is told: none where it has passed."""
    return today if day >= today else None


def _must(row: Wanted, wording: Wording) -> Iterator[str]:
    """What is never left out: what the job hangs on, wire that is none of it, and what must not be done."""
    if row.job is not None and (told := wording.reasons(row.job.conditions[int(row.rates) :])):
        yield told
    wired = branch_ranges(row.wired)
    if row.is_wire_due or (row.job is not None and row.job.is_about_wire and row.job.branches == row.wired):
        pass
    elif row.off is not None:
        yield say(
            "wire is off by of" if wired else "wire is off by", branches=wired, day=day_told(row.off, row.plan.today)
        )
    elif row.plan.state.wires:
        yield say("wire is on of" if wired else "wire is on", branches=wired)
    for hold in row.plan.holds[:1]:
        yield wording.hold(hold)


def _may(row: Wanted) -> Iterator[str]:
    """The look at a tree long silent, the sign and the job behind, as far as there is room."""
    if row.plan.silent_since is not None:
        alone = len(row.tags) == 1
        yield say("look first", day=day_told(row.plan.silent_since)) if alone else say("look at them first")
    yield _sign(row.job)
    if row.follows is not None:
        told = when(row.follows, row.plan.today)
        yield say("then", work=_plain_what(row.follows), when=told)


def _sign(job: Job | None) -> str:
    if job is None:
        return ""
    if job.own and not job.record:
        return say("you meant this")
    return say("when", sign=job.sign) if job.sign else ""


def _a_year_ago(plan: Plan) -> str:
    """What was done to the tree about this day last year."""
    for entry in plan.state.entries:
        apart = (plan.today - entry.date.earliest).days
        if entry.work and entry.date.is_day and abs(apart - YEAR_DAYS) <= ABOUT_DAYS:
            return say("a year ago", work=entry.work, day=day_told(entry.date.earliest))
    return ""


def offered(row: Wanted, ident: str) -> Offered:
    """The row's job as it goes on record."""
    job = row.job
    assert job is not None
    branches = row.branches if row.is_wire_due else job.branches
    opens, closes = (day.isoformat() if day else "" for day in (job.opens, job.closes))
    return Offered(ident, row.tags[0], job.work, branches, opens, closes, job.own)
