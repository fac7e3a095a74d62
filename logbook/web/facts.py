"""What a tree's page says, as plain values for its template: from the plan, in the words that paper has for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, fields, replace
from datetime import date, timedelta

from ..collection.entry_text import month_told, render_entry, render_intention
from ..collection.model import Entry, Settings, Tree
from ..horticulture.knowledge import Knowledge
from ..paper.sheet.blocks.bars import (
    WireBar,
    feeding_words,
    holds_together,
    still_done,
    telling,
    wire_bars,
    wire_words,
)
from ..paper.sheet.blocks.head import facts_of
from ..paper.sheet.blocks.jobs import afterwards, first_needed, newest_thought, title_of, when_told
from ..paper.sheet.blocks.leave import care_told, cautions_of, refused_by_reason, vital_care, water_told
from ..paper.sheet.blocks.lettering import folded
from ..paper.sheet.context import SheetContext, day_on_paper
from ..paper.sheet.good_to import good_to
from ..paper.sheet.offers import Marked, Offers, offers_of
from ..paper.words import say as say_on_paper
from ..planning.asked import ask_words
from ..planning.condition import Hold
from ..planning.model import Job, Plan
from ..values import dataclass
from .crowding import crowding
from .pictures import LAYOUT, Drawn, Years, charts_drawn, measures_told, tree_drawn, year_drawn
from .spoken import headline
from .typed_back import DONE
from .words import say

PARTS = ";"  # parts two facts of a line
EARLY = timedelta(days=21)  # that a job may be done before its window
ALSO_EM = 0.8
BESIDES_PHOTOS = frozenset(f.name for f in fields(Entry)) - {"date", "photo", "sources", "spot"}


@dataclass(frozen=True, slots=True)
class BarTold:
    """A bar: what is on the tree or waits, when that ends; `short` is how the first screen says it, `why` what is to be known besides, `also`
    what stands in the bar itself.
    """

    lead: str
    end: str
    why: str = ""
    short: str = ""
    also: str = ""


@dataclass(frozen=True, slots=True)
class JobTold:
    """A job in words; `line` is what a note says once it is done, empty where a score is wanted in its place; `soon` the day from which it may be
    ticked, where that is to come.
    """

    mark: str
    title: str
    when: str
    must: str
    sign: str
    too_late: str
    how: str
    line: str
    soon: str = ""


@dataclass(frozen=True, slots=True)
class Shot:
    """A photograph as it lies beside the pages: its file there, its size in pixels, its day, and its caption."""

    file: str
    width: int
    height: int
    day: str = ""
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Measures:
    """The charts of what was measured, and their table: names, and a row a day."""

    charts: tuple[str, ...]
    names: tuple[str, ...]
    rows: tuple[tuple[date, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Keeper:
    """What only its keeper's page says: facts by name, what is asked for the record, and the tree's file."""

    facts: tuple[tuple[str, str], ...]
    asks: tuple[str, ...]
    yaml: str


@dataclass(frozen=True, slots=True)
class TreeFacts:
    """All that a page says of a tree. `keeper` is None on pages for any visitor."""

    tag: str
    name: str
    species: str
    headline: str
    facts: tuple[str, ...]
    bars: tuple[BarTold, ...]
    more_bars: tuple[BarTold, ...]
    nothing: str
    first: JobTold | None
    jobs: tuple[JobTold, ...]
    further: tuple[JobTold, ...]
    care: tuple[str, ...]
    refused: tuple[tuple[str, str], ...]
    take_care: tuple[str, ...]
    year: Drawn | None
    drawing: Drawn | None
    measures: Measures
    shots: tuple[Shot, ...]
    log: tuple[tuple[str, str], ...]
    good_to: date
    crowded: str = ""
    keeper: Keeper | None = None


@dataclass(frozen=True, slots=True)
class Garden:
    """What all pages of a collection are made with. `shots`: photographs by their path as it is logged."""

    settings: Settings
    knowledge: Knowledge
    own: bool
    shots: Mapping[str, Shot]
    years: Years = field(default_factory=dict, repr=False)  # those drawn in this run


def tree_facts(plan: Plan, garden: Garden, yaml: str = "") -> TreeFacts:
    """What the page of a tree says; of a plan that anybody may see, unless the page is the keeper's own."""
    offers = offers_of(plan)
    sheet = SheetContext(plan, garden.settings, garden.knowledge, LAYOUT, LAYOUT.page[0], offers.front)
    tree, names_rows = plan.tree, measures_told(sheet)
    jobs = [_job(sheet, marked) for marked in offers.front]
    on = wire_bars(plan)
    wires, holds = list(_wire_told(on)), list(_hold_bars(sheet))
    facts = TreeFacts(
        tree.tag,
        tree.name or tree.full_name,
        tree.full_name if tree.name else "",
        headline(plan, on, offers.front, sheet.wording),
        tuple(facts_of(plan, aged=plan.vigour_aged)),
        (*wires[:1], *holds[:1]),
        (*wires[1:], *holds[1:]),
        _nothing(plan, offers),
        jobs[0] if jobs else None,
        tuple(jobs[1:]),
        tuple(_said_once(_job(sheet, marked) for marked in _further(offers))),
        (*water_told(plan), *(care_told(sheet, job) for job in vital_care(plan))),
        tuple((", ".join(works), sheet.wording.reason(why)) for why, works in refused_by_reason(plan).items()),
        (*map(sheet.wording.reason, plan.advice), *cautions_of(sheet, *_further(offers))),
        year_drawn(sheet, garden.years),
        tree_drawn(sheet),
        Measures(charts_drawn(sheet), *names_rows),
        _shots(plan, garden),
        tuple(_log(sheet)),
        good_to(plan),
        keeper=_keeper(sheet, yaml) if garden.own else None,
    )
    return replace(facts, crowded=_crowded(facts))


def _crowded(facts: TreeFacts) -> str:
    lines = [(f"{facts.tag} {facts.name}", 1.3, 90.0), (facts.nothing, 1.15, 0.0)]
    for bar in facts.bars:
        lines += [(bar.short, 1.0, 36.0)] if bar.short else [(bar.lead, 1.0, 36.0), (bar.end, 1.0, 36.0)]
        lines += [(bar.also, ALSO_EM, 36.0)]
    first, gaps = facts.first, 18.0 + 18.0 * len(facts.bars) + (14.0 if facts.nothing else 0.0)
    if first:
        lines += [(first.title, 1.15, 0.0), (first.when, 1.0, 0.0), (first.must, 1.0, 0.0)]
        lines += [
            (say_on_paper("when", sign=first.sign), 1.0, 0.0),
            (say_on_paper("too late", sign=first.too_late), 1.0, 0.0),
        ]
        gaps += 16.0
    return crowding(lines, gaps)


def _wire_told(bars: Sequence[WireBar]) -> Iterator[BarTold]:
    """Wires, each with what its day is worth; with the first one stands where more wire is, since that is further down."""
    more = folded([ident for bar in bars[1:] for ident in bar.branches if ident not in bars[0].branches])
    for number, bar in enumerate(bars):
        words = say_on_paper("cut it off") if bar.overdue or bar.bites else say_on_paper("sooner") if bar.off else ""
        others = say("more wire", branches=more) if more and not number else ""
        yield BarTold(*wire_words(bar), also="; ".join(part for part in (words, others) if part))


def _hold_bars(sheet: SheetContext) -> Iterator[BarTold]:
    for holds in holds_together(sheet.plan.holds):
        yield _hold_bar(sheet, holds)


def _hold_bar(sheet: SheetContext, holds: Sequence[Hold]) -> BarTold:
    """What waits and until when, by the state that ends last; then why, all the states, and what is still done."""
    wording = sheet.wording
    *others, last = holds
    why = [part for hold in others for part in (wording.hold_ends(hold), wording.hold_why(hold))]
    why += [wording.hold_why(last), still_done(holds), *feeding_words(sheet.plan)]
    apart = [part for part in dict.fromkeys(why) if part != wording.hold_ends(last)]
    return BarTold(
        wording.hold_what(telling(holds)),
        wording.hold_ends(last),
        " · ".join(apart),
        wording.held(last),
    )


def _nothing(plan: Plan, offers: Offers) -> str:
    first = first_needed(plan)
    if first is None or (plan.holds and not offers.front):
        return ""
    return say_on_paper(
        "nothing else needed" if plan.state.wires else "nothing needed", day=day_on_paper(first, plan.today)
    )


def _further(offers: Offers) -> Iterator[Marked]:
    """Wire that comes off, looks at wire, and what only may be done; the walk round the tree has a button of its own, and wire that should
    be off already is not looked at.
    """
    some = [marked for marked in (*offers.back, *offers.spare) if not marked.job.is_look_over]
    overdue = {m.job.branches for m in some if m.job.takes_wire and m.job.since}
    return (m for m in some if m.job.takes_wire or not (m.job.is_about_wire and m.job.branches in overdue))


def _job(sheet: SheetContext, marked: Marked) -> JobTold:
    job = marked.job
    return JobTold(
        marked.mark,
        title_of(job),
        when_told(job, sheet.plan.today),
        sheet.wording.reasons(job.conditions),
        job.sign,
        job.too_late,
        "; ".join([*([job.how] if job.how else []), *afterwards(sheet, job)]),
        "" if job.rate_first else line_of(job),
        _soon(job, sheet.plan.today),
    )


def _soon(job: Job, today: date) -> str:
    """The day from which a job may be ticked; empty where it may be now. A page stands for months, and a wet finger touches more than it means."""
    if job.opens is None or job.opens - EARLY <= today:
        return ""
    return (job.opens - EARLY).isoformat()


def _said_once(jobs: Iterable[JobTold]) -> Iterator[JobTold]:
    """The jobs, without the signs that one before them has already: several wires are looked at alike."""
    seen = set()
    for job in jobs:
        signs = job.must, job.sign, job.too_late, job.how
        yield replace(job, must="", sign="", too_late="", how="") if signs in seen else job
        seen.add(signs)


def line_of(job: Job) -> str:
    """What a note says once a job is done; nothing for words of the grower's own that a note would take for two facts."""
    if job.record is None:
        return "" if PARTS in job.own else DONE + job.own
    return " ".join(part for part in (job.work, ", ".join(job.branches)) if part)


def _shots(plan: Plan, garden: Garden) -> tuple[Shot, ...]:
    """The photographs in time order, each once; what was written beside one is the keeper's own."""
    first = {e.photo: e for e in reversed(plan.tree.log) if e.photo in garden.shots}
    ordered = sorted(first.values(), key=lambda e: (e.date.earliest, e.date.latest))
    return tuple(replace(garden.shots[e.photo], day=e.date.told(), caption=e.note) for e in ordered)


def _log(sheet: SheetContext) -> Iterator[tuple[str, str]]:
    """The log, newest first; where a photograph lies says nothing here, since it is shown."""
    units = sheet.settings.units
    for entry in reversed(sheet.plan.state.entries):
        plain = entry.only(BESIDES_PHOTOS) if entry.photo else entry
        if plain is not None:
            yield entry.date.told(), render_entry(plain, units)


def _keeper(sheet: SheetContext, yaml: str) -> Keeper:
    plan = sheet.plan
    thought = newest_thought(plan)
    meant = (f"{render_intention(thought)} ({month_told(thought.date)})",) if thought else ("",)
    facts = ((say("fact meant"), *meant), *_kept(plan.tree))
    asks = tuple(ask_words(ask, sheet.knowledge.stages) for ask in plan.asks)
    return Keeper(tuple((name, value) for name, value in facts if value), asks, yaml)


def _kept(tree: Tree) -> tuple[tuple[str, str], ...]:
    return (
        (say("fact aim"), tree.aim),
        (say("fact front"), tree.front),
        (say_on_paper("fact stands"), tree.bench),
        (say_on_paper("fact value"), tree.value),
        (say_on_paper("fact provenance"), tree.provenance),
        (say_on_paper("fact from"), tree.origin.place if tree.origin else ""),
        (say_on_paper("fact parent"), tree.origin.parent if tree.origin else ""),
        (say_on_paper("fact also"), ", ".join(tree.also)),
    )


def left_when(tree: Tree) -> str:
    """What the page of a tree that has left says."""
    assert tree.ended is not None, "a tree that has left"
    return say("left", when=month_told(tree.ended.date))
