"""The front of a record sheet: what a grower needs before starting, back after half a year.

In order: wire that is on, what to do next, what to leave alone and why, what was last meant, how the tree stands,
the aim, the log's last lines. Blocks only; where they land is for `sheets`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from ...collection.dates import day_told
from ...collection.entry_text import month_told, render_entry, render_intention, wire_told
from ...collection.model import Entry, Settings
from ...horticulture.knowledge import Knowledge
from ...horticulture.work import OnSheet
from ...planning.model import Job, Plan, Status
from ...planning.wording import Wording, ask_words, wording_of
from ...season.reasons import Reason
from ..charts import branch_chart, empty_chart, growth_charts
from ..flow import Chunk, Piece, baseline_text, heading, lines, right_text
from ..layouts import Layout
from ..page import Box, Item, Picture, Text, moved
from ..photos import Photo
from ..typesetting import fitted, line_mm, shrunk, width_mm

AHEAD_DAYS = 150
LATER_DAYS = 370
BADGE_MM = 5.0
INDENT_MM = 7.0
LAST_LINES = 5
TO_DRAW = "chart to draw"
ASKS = "asks"


@dataclass(frozen=True, slots=True)
class Desk:
    """What the blocks are made from."""

    plan: Plan
    settings: Settings
    knowledge: Knowledge
    layout: Layout
    width: float
    letters: tuple[str, ...]
    last_lines: int = LAST_LINES
    photo: Photo | None = None

    @property
    def wording(self) -> Wording:
        """How reasons are said on this sheet."""
        return wording_of(self.settings)

    @property
    def bench(self) -> float:
        return self.layout.size("bench")

    @property
    def small(self) -> float:
        return self.layout.size("small")


def jobs_on_sheet(plan: Plan) -> tuple[Job, ...]:
    """The jobs a sheet offers: what is open and what opens before the next visit, what was planned by date first."""
    limit = plan.today + timedelta(days=AHEAD_DAYS)
    works = [j for j in plan.jobs if not j.is_look_over]
    shown = [j for j in works if j.opens is None or j.opens <= limit] or works[:1]
    return tuple(shown + [j for j in plan.jobs if j.is_look_over][:1])


def chunks(desk: Desk) -> list[Chunk]:
    """The blocks the layout asks for, in its order; empty ones left out."""
    made = (
        block(desk) for name in desk.layout.front for block in (_BLOCKS[name], *([_asks] if name == "state" else []))
    )
    return [chunk for chunk in made if chunk.pieces]


def head(desk: Desk, *, again: bool = False) -> list[Item]:
    """Tag, name, species and bench across the top, a photo beside them if one is wanted; smaller where the sheet goes on."""
    tree = desk.plan.tree
    wish = 12.0 if again else desk.layout.size("tag")
    height = line_mm(wish)
    width = desk.width
    items: list[Item] = []
    if desk.photo and not again:
        wide, high = desk.photo.size_mm(desk.layout.photo)
        width -= wide + 3.0
        items.append(Picture(desk.width - wide, 0.0, wide, high, desk.photo.jpeg, "photo"))
    tag = baseline_text(tree.tag, 0.0, height, shrunk(tree.tag, wish, width * 0.45, bold=True), bold=True)
    items.append(tag)
    left, room = tag.width + 3.0, width - tag.width - 3.0
    name, name_pt = fitted(tree.name or tree.full_name, desk.layout.size("name"), room, bold=True)
    if again:
        return [
            *items,
            Text(left, tag.y, f"{name}", min(name_pt, 9.0), True, width=width_mm(name, min(name_pt, 9.0), True)),
        ]
    items.append(Text(left, height * 0.40, name, name_pt, True, width=width_mm(name, name_pt, True)))
    under = " · ".join(part for part in (tree.full_name if tree.name else "", tree.bench) if part)
    words, words_pt = fitted(under, desk.bench, room)
    items.append(
        Text(left, height * 0.40 + line_mm(desk.bench) * 0.98, words, words_pt, width=width_mm(words, words_pt))
    )
    return items


def head_height(desk: Desk, *, again: bool = False) -> float:
    words = line_mm(12.0 if again else desk.layout.size("tag")) + 1.2
    if desk.photo is None or again:
        return words
    return max(words, desk.photo.size_mm(desk.layout.photo)[1] + 1.2)


def _wire(desk: Desk) -> Chunk:
    """A black bar for each wire, with the day to look and the day it must be off."""
    pieces: list[Piece] = []
    for wire in desk.plan.state.wires:
        job = desk.plan.wire_job(wire.branches)
        bites = wire.bite in ("starting", "cut")
        by = (job.since or job.closes) if job else None
        where = f" {', '.join(wire.branches)}" if wire.branches else ""
        inner = desk.width - 4.0
        rows = lines(f"WIRE ON{where} since {wire.on.told()}", 10.5, inner, bold=True, white=True)
        details = [
            wire_told(wire.metal, wire.sizes),
            f"look from {day_told(job.opens)}" if job and job.opens and not job.since and not bites else "",
            f"BITE {wire.bite.upper()}: OFF NOW" if bites else f"{_late(job)}off by {day_told(by)}" if by else "",
        ]
        rows += lines(" · ".join(d for d in details if d), desk.bench, inner, bold=True, white=True)
        pieces.append(_bar(rows, desk.width))
    for hold in desk.plan.holds:
        rows = lines(desk.wording.hold(hold), desk.bench, desk.width - 4.0, bold=True, white=True)
        pieces.append(_bar(rows, desk.width))
    return Chunk("wire", tuple(pieces))


def _late(job: Job | None) -> str:
    return "OVERDUE, " if job and job.since else ""


def _bar(rows: list[Piece], width: float) -> Piece:
    height = sum(row.height for row in rows) + 1.6
    items: list[Item] = [Box(0, 0, width, height, fill=0.0)]
    y = 0.8
    for row in rows:
        items += [_shift(item, 2.0, y) for item in row.items]
        y += row.height
    return Piece(height + 0.8, tuple(items))


def _shift(item: Item, dx: float, dy: float) -> Item:
    return moved(item, dx, dy)


def _next(desk: Desk) -> Chunk:
    jobs = jobs_on_sheet(desk.plan)
    if not [j for j in jobs if not j.is_look_over]:
        rows = lines("Nothing this season", 15.0, desk.width, bold=True, keep=True)
        return Chunk("next", (*rows, *_job_pieces(desk, jobs), *_later(desk, jobs)))
    title = heading("Next", desk.width, desk.small)
    return Chunk("next", (title, *_job_pieces(desk, jobs), *_one_visit(desk, jobs), *_later(desk, jobs)))


def _one_visit(desk: Desk, jobs: tuple[Job, ...]) -> list[Piece]:
    """Which letters fit one visit, and about when."""
    letters = {id(job): letter for letter, job in zip(desk.letters, jobs, strict=False)}
    told = []
    for visit in desk.plan.visits:
        named = sorted(letters[id(job)] for job in visit.jobs if id(job) in letters)
        if len(named) > 1:
            told.append(f"{' + '.join(named)} about {day_told(visit.day)}")
    return [Piece(0.6), *lines("One visit: " + "; ".join(told), desk.bench, desk.width, bold=True)] if told else []


def _later(desk: Desk, jobs: tuple[Job, ...]) -> list[Piece]:
    """What opens later in the year, in one paragraph: nothing to tick yet."""
    limit = desk.plan.today + timedelta(days=LATER_DAYS)
    ahead = [j for j in desk.plan.jobs if j not in jobs and j.opens and j.opens <= limit and not j.is_look_over]
    told = [f"{j.what} from {day_told(j.opens)}" for j in ahead if j.opens]
    return [Piece(1.2), *lines("Later: " + "; ".join(told), desk.bench, desk.width)] if told else []


def _care(desk: Desk) -> Chunk:
    """Upkeep that is open or near: feeding, shelter, frost."""
    limit = desk.plan.today + timedelta(days=AHEAD_DAYS)
    told_works = [j for j in desk.plan.care if j.record and j.record.sheet is OnSheet.LATER]
    near = [j for j in told_works if j.opens and j.opens <= limit]
    told = [f"{j.work} {_span(j, desk)}" for j in near]
    fed = next((e for e in reversed(desk.plan.state.entries) if e.feed), None)
    if fed and any(j.work == fed.work for j in near):
        told.append(f"last fed {fed.feed} on {fed.date.told()}")
    return Chunk("care", tuple(lines("Care: " + "; ".join(told), desk.bench, desk.width)) if told else ())


def _span(job: Job, desk: Desk) -> str:
    until = f"until {day_told(job.closes)}" if job.closes else ""
    return (
        until if job.opens and job.opens <= desk.plan.today else f"{day_told(job.opens)} {until}" if job.opens else ""
    )


def _job_pieces(desk: Desk, jobs: tuple[Job, ...]) -> list[Piece]:
    pieces: list[Piece] = []
    for letter, job in zip(desk.letters, jobs, strict=False):
        pieces += _job(desk, letter, job)
    return pieces


def _job(desk: Desk, letter: str, job: Job) -> list[Piece]:
    """Letter, work and date in one line; then the sign to do it by, the sign of too late, and any condition."""
    room = desk.width - INDENT_MM
    when = _when(job, desk)
    if job.is_look_over:
        return [_titled(desk, letter, "looked, all well", "any visit", 9.0)]
    rows = (
        [_titled(desk, letter, job.what, when, desk.layout.size("work"))]
        if _one_line(desk, job, when)
        else [*_long_title(desk, letter, job), *lines(when, desk.bench, room, bold=True, indent=0)]
    )
    if len(rows) > 1:
        rows = [*rows[:1], *[_indented(r) if i else r for i, r in enumerate(rows)][1:]]
    if job.conditions:
        rows += lines(desk.wording.reasons(job.conditions), desk.bench, desk.width, bold=True, indent=INDENT_MM)
    best = (
        f"best {day_told(job.best, job.closes or job.best)} ± {job.band} d"
        if job.best and job.band and job.best > desk.plan.today
        else ""
    )
    signs = [best, f"when: {job.sign}" if job.sign else "", f"too late: {job.too_late}" if job.too_late else ""]
    rows += lines(" · ".join(part for part in signs if part), desk.bench, desk.width, indent=INDENT_MM)
    if job.caution:
        rows += lines(desk.knowledge.cautions[job.caution], desk.small, desk.width, indent=INDENT_MM)
    kept = [Piece(r.height, r.items, keep=True) for r in rows[:-1]]
    return [*kept, Piece(rows[-1].height + 0.8, rows[-1].items)]


def _one_line(desk: Desk, job: Job, when: str) -> bool:
    size = desk.layout.size("work")
    return width_mm(job.what, size, True) + width_mm(when, desk.bench, True) + 3.0 <= desk.width - INDENT_MM


def _titled(desk: Desk, letter: str, what: str, when: str, size: float) -> Piece:
    height = max(line_mm(size), BADGE_MM + 0.6)
    title = baseline_text(what, INDENT_MM, height, size, bold=True)
    return Piece(
        height, (*_badge(letter, height), title, right_text(when, desk.width, height, desk.bench, bold=True))
    )


def _long_title(desk: Desk, letter: str, job: Job) -> list[Piece]:
    size = desk.layout.size("work")
    first, *rest = lines(job.what, size, desk.width, bold=True, indent=INDENT_MM)
    height = max(first.height, BADGE_MM + 0.6)
    lead = baseline_text(first.items[0].text, INDENT_MM, height, size, bold=True)  # type: ignore[union-attr]
    return [Piece(height, (*_badge(letter, height), lead)), *rest]


def _indented(piece: Piece) -> Piece:
    return Piece(
        piece.height, tuple(_shift(i, INDENT_MM, 0) if getattr(i, "x", INDENT_MM) == 0 else i for i in piece.items)
    )


def _badge(letter: str, height: float) -> tuple[Item, ...]:
    """The job's letter in a small frame: what is typed when it is done."""
    top = (height - BADGE_MM) / 2
    words = baseline_text(letter, 0.0, BADGE_MM, 10.5, bold=True)
    return (Box(0.0, top, BADGE_MM, BADGE_MM, 0.3), _shift(words, (BADGE_MM - words.width) / 2, top))


def _when(job: Job, desk: Desk) -> str:
    if job.opens is None:
        return "by its signs"
    if job.opens <= desk.plan.today:
        until = f" until {day_told(job.closes)}" if job.closes else ""
        if job.status is Status.OVERDUE:
            return f"overdue since {day_told(job.since)}" if job.since else f"overdue{until}"
        return f"now{until}"
    until = f", until {day_told(job.closes)}" if job.closes else ""
    start = day_told(job.opens, job.closes) if job.closes else day_told(job.opens)
    return f"begin looking {start}{until}"


def _leave(desk: Desk) -> Chunk:
    """Works to leave alone, those with one reason on one line."""
    by_reason: dict[Reason, list[str]] = {}
    for refusal in desk.plan.refusals:
        by_reason.setdefault(refusal.why, []).append(refusal.work)
    pieces: list[Piece] = []
    for why, works in by_reason.items():
        pieces += lines(f"no {', '.join(works)}: {desk.wording.reason(why)}", desk.bench, desk.width, bold=True)
    rest = desk.plan.state.resting
    if rest and pieces:
        lead = "rest ends" if rest.not_before else "to end the rest:"
        pieces += lines(f"{lead} {desk.wording.rest_ends(rest)}", desk.bench, desk.width)
    return Chunk("leave", (heading("Leave alone", desk.width, desk.small), *pieces) if pieces else ())


def _meant(desk: Desk) -> Chunk:
    """The last intention that is not a dated job of its own."""
    thoughts = [e for e in desk.plan.state.entries if e.intend and not e.intend.by and not e.intend.work]
    if not thoughts:
        return Chunk("meant", ())
    last = thoughts[-1]
    text = f"Meant {month_told(last.date)}: {render_intention(last)}"
    return Chunk("meant", tuple(lines(text, desk.bench, desk.width)))


def _state(desk: Desk) -> Chunk:
    plan, state = desk.plan, desk.plan.state
    facts = [
        state.stage or "stage not on record",
        f"vigour {state.vigour} ({month_told(state.vigour_on)})"
        if state.vigour and state.vigour_on
        else "vigour not on record",
        f"repotted {month_told(state.repotted)}" if state.repotted else "repotting not on record",
    ]
    rows = lines(" · ".join(facts), desk.bench, desk.width)
    caution = desk.knowledge.poison_words(plan.tree.species)
    rows += lines(caution, desk.small, desk.width) if caution else []
    return Chunk("state", tuple(rows))


def _asks(desk: Desk) -> Chunk:
    """The one thing the record most lacks. A block of its own: an open question alone makes no sheet a new one."""
    asked = [ask_words(ask, desk.knowledge.stages) for ask in desk.plan.asks]
    rows = [row for ask in asked for row in lines(f"Please note: {ask}", desk.bench, desk.width, bold=True)]
    return Chunk(ASKS, tuple(rows), 0.6)


def _aim(desk: Desk) -> Chunk:
    tree = desk.plan.tree
    text = " ".join(part for part in (tree.aim, f"Front: {tree.front}." if tree.front else "") if part)
    return Chunk(
        "aim", (heading("Aim", desk.width, desk.small), *lines(text, desk.bench, desk.width)) if text else ()
    )


def days_told(desk: Desk) -> list[str]:
    """The log day by day, latest first, works before measures before remarks."""
    days: dict[str, list[Entry]] = {}
    for entry in desk.plan.state.entries:
        days.setdefault(entry.date.told(), []).append(entry)
    told = []
    for day, entries in reversed(days.items()):
        ordered = sorted(entries, key=lambda e: 0 if e.work else 2 if e.note else 1)
        told.append(f"{day}: {'; '.join(render_entry(entry, desk.settings.units) for entry in ordered)}")
    return told


def _last(desk: Desk) -> Chunk:
    """The log's last days, latest first, each with all that stands on it, and how many there are."""
    days = days_told(desk)
    if not days or not desk.last_lines:
        return Chunk("last", ())  # where there are some, the foot says so
    rows: list[Piece] = []
    for told in days_told(desk)[: desk.last_lines]:
        rows += lines(told, desk.small, desk.width)
    count, shown = len(days), desk.last_lines
    title = "Last lines" if count <= shown else f"Last {shown} of {count} days; all in {desk.plan.tree.path}"
    return Chunk("last", (heading(title, desk.width, desk.small), *rows))


def _branches(desk: Desk) -> Chunk:
    """The branch chart, where branches are recorded."""
    if not any(b.id not in desk.plan.state.removed for b in desk.plan.tree.branches):
        return Chunk("branches", ())
    chart = branch_chart(desk.plan.tree, desk.plan.state, desk.width, desk.settings.units)
    return Chunk("branches", (heading("Branches", desk.width, desk.small), *chart))


def _charts(desk: Desk) -> Chunk:
    charts = growth_charts(desk.plan.state.readings, desk.plan.tree.targets, desk.settings.units, desk.width)
    said = lines(desk.wording.growth(desk.plan.growth), desk.bench, desk.width) if desk.plan.growth else []
    if not charts and not said:
        return Chunk("charts", ())
    return Chunk("charts", (heading("Measured", desk.width, desk.small), *said, *charts))


def chart_to_draw(desk: Desk) -> Chunk | None:
    """An empty branch chart to draw on, for a tree without recorded branches; printed where there is room left."""
    if "branches" not in desk.layout.front or desk.plan.tree.branches:
        return None
    title = heading("Branches: draw them", desk.width, desk.small)
    return Chunk(TO_DRAW, (title, *empty_chart(desk.width)))


_BLOCKS: dict[str, Callable[[Desk], Chunk]] = {
    "wire": _wire,
    "next": _next,
    "leave": _leave,
    "meant": _meant,
    "care": _care,
    "state": _state,
    "aim": _aim,
    "branches": _branches,
    "charts": _charts,
    "last": _last,
}


def foot(text: str, width: float, size: float) -> Piece:
    """A small line at the bottom, set right."""
    height = line_mm(size)
    return Piece(height, (right_text(text, width, height, size),))
