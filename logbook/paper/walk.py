"""The bench walk list: many trees on one page, one serial, one pencil line each - what sixty trees really want."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from ..collection.dates import day_told
from ..collection.model import Settings
from ..planning.lists.care_list import care_until
from ..planning.model import Job, Plan
from ..planning.tree_state import WireOn
from ..planning.wording import Wording, wording_of
from ..storage.printed import Offered, Sheet, Spot, with_page
from . import codes
from .care_words import care_words
from .flow import baseline_text
from .layouts import Layout
from .page import Block, Box, Code, Item, Page, Rule, Text
from .sheet.back import CODE_ROOM_MM, PEN_GRAY, SQUARE_IN_MM, SQUARE_MM, camera_spots, squares
from .sheet.context import jobs_on_sheet
from .typesetting import fitted, line_mm, shrunk, width_mm, wrap

YEAR_DAYS, ABOUT_DAYS = 365, 10
JOB_FROM = 0.36  # of the row's width
TITLE_PT, WORDS_PT = 9.5, 8.0
FOOT_GAP = 2.0
SOON = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class WalkList:
    """The list's pages, and what goes on record of them (None for a draft)."""

    pages: tuple[Page, ...]
    sheet: Sheet | None


@dataclass(frozen=True, slots=True)
class _List:
    """What all pages of a list share; without a serial it is a draft."""

    settings: Settings
    layout: Layout
    serial: str
    pages: int
    today: str


@dataclass(frozen=True, slots=True)
class _Drawing:
    """One page as it is drawn: its number, what is painted, and where somebody writes."""

    layout: Layout
    page: int
    items: list[Item]
    spots: list[Spot]


def walk_list(plans: Sequence[Plan], settings: Settings, layout: Layout, serial: str) -> WalkList:
    """Draw the list, the care of those days at its end; line numbers run through all its pages, and so does the serial."""
    wording = wording_of(settings)
    care = _care(plans, layout, wording)
    groups = _grouped(plans, layout, wording, sum(line_mm(WORDS_PT) for _ in care))
    shared = _List(settings, layout, serial, len(groups), day_told(plans[0].today) if plans else "")
    pages: list[Page] = []
    spots: list[Spot] = []
    jobs: list[Offered] = []
    lines: dict[str, str] = {}
    for number, group in enumerate(groups, start=1):
        first = len(lines) + 1
        foot = care if number == len(groups) else ()
        page, found = _page(shared, group, number, first, foot)
        pages.append(page)
        spots += found
        for offset, plan in enumerate(group):
            lines[str(first + offset)] = plan.tree.tag
            jobs += _offered(str(first + offset), plan)
    if not serial:
        return WalkList(tuple(pages), None)
    tags = tuple(lines.values())
    return WalkList(
        tuple(pages),
        Sheet(
            serial,
            plans[0].today,
            layout.name,
            layout.version,
            settings.units.name,
            tags,
            lines,
            tuple(jobs),
            tuple(spots),
            {p.tree.tag: p.tree.digest for p in plans},
        ),
    )


def _offered(line: str, plan: Plan) -> Iterator[Offered]:
    """The row's job as it goes on record, where there is one."""
    job = walk_job(plan)
    if job is not None:
        opens, closes = (day.isoformat() if day else "" for day in (job.opens, job.closes))
        yield Offered(line, plan.tree.tag, job.work, job.branches, opens, closes, job.own)


def walk_job(plan: Plan) -> Job | None:
    """The one job a walk list names: wire first, then what is open, what was asked for before what only may be done, then the next."""
    jobs = jobs_on_sheet(plan)

    def order(job: Job) -> tuple[bool, bool, bool]:
        is_open = job.opens is not None and job.opens <= plan.today
        return not (is_open and job.is_about_wire), not is_open, is_open and job.optional

    return min(jobs, key=order, default=None)


def _care(plans: Sequence[Plan], layout: Layout, wording: Wording) -> tuple[str, ...]:
    """What all these trees want besides, in lines that fit."""
    left, _, right = _edges(layout)
    today = plans[0].today if plans else date.min
    words = care_words(care_until(plans, today + SOON), wording, len(plans)) if plans else ""
    return tuple(wrap(words, WORDS_PT, right - left)) if words else ()


def _grouped(plans: Sequence[Plan], layout: Layout, wording: Wording, foot: float) -> list[list[Plan]]:
    """The trees of each page: as many as their rows leave room for; a page more where the foot (mm) finds none on the last."""
    groups: list[list[Plan]] = [[]]
    y = _top(layout)
    for plan in plans:
        height = _cell(plan, layout, wording).height
        if groups[-1] and y + height > _bottom(layout):
            groups.append([])
            y = _top(layout)
        groups[-1].append(plan)
        y += height
    return groups if not foot or y + FOOT_GAP + foot <= _bottom(layout) else [*groups, []]


@dataclass(frozen=True, slots=True)
class _Cell:
    """A row's job in lines that fit, and the height the row needs for them."""

    job: Job | None
    title: tuple[str, ...]
    words: tuple[str, ...]
    height: float


def _a_year_ago(plan: Plan) -> str:
    """What was done to the tree about this day last year."""
    for entry in plan.state.entries:
        apart = (plan.today - entry.date.earliest).days
        if entry.work and entry.date.is_day and abs(apart - YEAR_DAYS) <= ABOUT_DAYS:
            return f"a year ago: {entry.work} {day_told(entry.date.earliest)}"
    return ""


def _edges(layout: Layout) -> tuple[float, float, float]:
    """Left edge, where the job begins, right edge."""
    inset = SQUARE_IN_MM + SQUARE_MM + 1.5
    left, right = inset, layout.page[0] - inset
    return left, left + (right - left) * JOB_FROM, right


def _cell(plan: Plan, layout: Layout, wording: Wording) -> _Cell:
    """What must not be done comes first, then the sign; a row grows until all of it stands there."""
    job = walk_job(plan)
    if job is None:
        return _Cell(None, (), (), layout.row)
    _, middle, right = _edges(layout)
    room = right - middle - layout.box - 1.5
    what = "look it over" if job.is_look_over else job.what
    against = (
        f"no {plan.expected_refusals[0].work}: {wording.reason(plan.expected_refusals[0].why)}"
        if plan.expected_refusals
        else ""
    )
    against = wording.hold(plan.holds[0]) if plan.holds else against
    sign = wording.reasons(job.conditions) or ("" if job.is_look_over else job.sign)
    title = wrap(f"{what}: {_when(job, plan)}", TITLE_PT, room, True)
    words = wrap(" · ".join(part for part in (against, sign, _a_year_ago(plan)) if part), WORDS_PT, room)
    inside = max(layout.box, len(title) * line_mm(TITLE_PT)) + len(words) * line_mm(WORDS_PT) + 1.1
    return _Cell(job, tuple(title), tuple(words), max(layout.row, inside + layout.line + 0.4))


def _top(layout: Layout) -> float:  # noqa: ARG001 - the head has one height on every paper
    return SQUARE_IN_MM + CODE_ROOM_MM + 1.0


def _bottom(layout: Layout) -> float:
    return layout.page[1] - SQUARE_IN_MM - SQUARE_MM - 1.0


def _page(
    shared: _List, plans: Sequence[Plan], number: int, first: int, foot: Sequence[str]
) -> tuple[Page, list[Spot]]:
    """One page: its trees with line numbers from `first` on, and at the foot the care of those days."""
    layout = shared.layout
    width, height = layout.page
    left, _, right = _edges(layout)
    items: list[Item] = squares(width, height)
    blocks = _head(shared, number, left, right, items)
    items.append(Rule(left, _top(layout), right, _top(layout), 0.2, PEN_GRAY, block=f"row {first}"))
    drawing = _Drawing(layout, number, items, camera_spots(items, number) if shared.serial else [])
    y = _top(layout)
    for line, plan in enumerate(plans, start=first):
        cell = _cell(plan, layout, wording_of(shared.settings))
        _row(drawing, plan, cell, str(line), y)
        blocks.append(Block(f"row {line}", left, y, right - left, cell.height))
        y += cell.height
    for row in foot:
        items.append(_put(row, left, y + FOOT_GAP, line_mm(WORDS_PT), WORDS_PT, False, "care"))
        y += line_mm(WORDS_PT)
    if foot:
        tall = len(foot) * line_mm(WORDS_PT)
        blocks.append(Block("care", left, y + FOOT_GAP - tall, right - left, tall))
    return Page(width, height, tuple(items), tuple(blocks), f"walk list page {number}"), drawing.spots


def _head(shared: _List, number: int, left: float, right: float, items: list[Item]) -> list[Block]:
    serial = shared.serial
    top = SQUARE_IN_MM + 1.0
    text = with_page(serial, number, 1)
    symbol = codes.fit(text, CODE_ROOM_MM - 2, "Q") if serial else None
    room = right - left
    blocks: list[Block] = []
    if symbol:
        quiet = codes.QUIET_MODULES * symbol.module
        x = right - symbol.room
        items.append(Code(x + quiet, top + quiet, symbol.module, symbol.rows, text, "", "code"))
        blocks.append(Block("code", x, top, symbol.room, symbol.room))
        room -= symbol.room + 2
    rows = [
        (f"Bench walk: {shared.settings.title}", 13.0, True),
        (
            f"sheet {serial or 'DRAFT, can not be typed in'} · {shared.today} · page {number} of {shared.pages}",
            11.0,
            True,
        ),
        (
            "Tick what was done, write on the line. Typed back: '3 20 oct done', or '3 20 oct wired 1 2 copper 2.5'.",
            8.0,
            False,
        ),
    ]
    y = top + 1.0
    for words, size, bold in rows:
        fit_words, fit_size = fitted(words, size, room, bold)
        items.append(_put(fit_words, left, y, line_mm(size), fit_size, bold, "head"))
        y += line_mm(size) + 0.4
    blocks.append(Block("head", left, top, room, y - top))
    return blocks


def _row(drawing: _Drawing, plan: Plan, cell: _Cell, line: str, y: float) -> None:
    """Number, tag, name and wire on the left; the one job with its box; vigour boxes where the score is missing."""
    block = f"row {line}"
    layout, items = drawing.layout, drawing.items
    tree = plan.tree
    half = layout.row - layout.line
    left, middle, right = _edges(layout)
    tag_pt = shrunk(tree.tag, 12.0, (middle - left) * 0.6, bold=True)
    tag = _put(tree.tag, left, y + 0.5, half / 2 + 0.6, tag_pt, True, block)
    items.append(tag)
    name, size = fitted(tree.name or tree.full_name, 9.0, middle - left - tag.width - 3.5)
    items.append(_put(name, left + tag.width + 1.8, y + 0.5, half / 2 + 0.6, size, False, block))
    _second_line(plan, left, y + half / 2 + 0.6, middle - left - 1.5, half / 2, block, items)
    _job_cell(drawing, plan, cell, line, y + 0.9)
    base = y + cell.height - 0.8
    items.append(_put(line, left, base - layout.line + 1.4, layout.line - 1.4, 9.0, True, block))
    start = left + 6.0
    if plan.state.vigour is None or (cell.job and cell.job.rate_first):
        start = _vigour(drawing, plan, start, base - layout.box - 0.6, block)
    items.append(Rule(start, base, right, base, 0.2, PEN_GRAY, block=block))
    drawing.spots.append(
        Spot("line", line, tree.tag, drawing.page, start, base - layout.line, right - start, layout.line)
    )


def _second_line(
    plan: Plan, left: float, y: float, room: float, height: float, block: str, items: list[Item]
) -> None:
    """A wire warning in white on black, else where the tree stands."""
    wires = plan.state.wires
    if wires:
        words, size = fitted(_wires_told(plan), 9.0, room - 2.0, True)
        wide = width_mm(words, size, True) + 2.0
        items.append(Box(left, y, wide, height, fill=0.0, block=block))
        text = _put(words, left + 1.0, y, height, size, True, block)
        items.append(Text(text.x, text.y, text.text, text.size_pt, True, True, text.width, block))
        if plan.tree.bench and wide + 1.5 + width_mm(plan.tree.bench, 8.0) <= room:
            items.append(_put(plan.tree.bench, left + wide + 1.5, y, height, 8.0, False, block))
        return
    told = [plan.tree.bench, "resting" if plan.state.resting else plan.state.stage]
    words, size = fitted(" · ".join(t for t in told if t), 8.0, room)
    items.append(_put(words, left, y, height, size, False, block))


def _wires_told(plan: Plan) -> str:
    """All wire on the tree in one line, with the first day by which any of it must be off."""
    wires = plan.state.wires
    which = _wired_branches(wires)
    if any(w.bite in ("starting", "cut") for w in wires):
        return f"WIRE{which}: BITES, OFF NOW"
    jobs = [job for wire in wires if (job := plan.wire_job(wire.branches))]
    late = [job.since for job in jobs if job.since]
    days = [job.closes for job in jobs if job.closes]
    if late:
        return f"WIRE{which}: OVERDUE since {day_told(min(late), plan.today)}"
    return f"WIRE{which}: off by {day_told(min(days), plan.today)}" if days else f"WIRE{which}"


def _wired_branches(wires: Sequence[WireOn]) -> str:
    """The branches that carry wire, each once; empty where one of the wires is on the whole tree."""
    if not all(wire.branches for wire in wires):
        return ""
    return f" {', '.join(dict.fromkeys(branch for wire in wires for branch in wire.branches))}"


def _job_cell(drawing: _Drawing, plan: Plan, cell: _Cell, line: str, y: float) -> None:
    if cell.job is None:
        return
    items, block, box = drawing.items, f"row {line}", drawing.layout.box
    _, left, _ = _edges(drawing.layout)
    items.append(Box(left, y, box, box, 0.35, block=block))
    drawing.spots.append(Spot("job", line, plan.tree.tag, drawing.page, left, y, box, box))
    height = max(box, line_mm(TITLE_PT)) if len(cell.title) == 1 else line_mm(TITLE_PT)
    for row in cell.title:
        items.append(_put(row, left + box + 1.5, y, height, TITLE_PT, True, block))
        y += height
    y += 0.2
    for row in cell.words:
        items.append(_put(row, left + box + 1.5, y, line_mm(WORDS_PT), WORDS_PT, False, block))
        y += line_mm(WORDS_PT)


def _when(job: Job, plan: Plan) -> str:
    if job.opens is None:
        return "by its signs"
    if job.since:
        return f"overdue since {day_told(job.since, plan.today)}"
    if job.opens <= plan.today:
        return f"now, until {day_told(job.closes, plan.today)}" if job.closes else "now"
    return f"from {day_told(job.opens, plan.today)}"


def _vigour(drawing: _Drawing, plan: Plan, x: float, y: float, block: str) -> float:
    """The five boxes from a place on; where they end, mm."""
    items, box = drawing.items, drawing.layout.box
    label = _put("vigour", x, y, box, 8.0, False, block)
    items.append(label)
    x += label.width + 1.2
    for score in range(1, 6):
        items.append(Box(x, y, box, box, 0.35, block=block))
        drawing.spots.append(Spot("vigour", str(score), plan.tree.tag, drawing.page, x, y, box, box))
        items.append(_put(str(score), x + box + 0.5, y, box, 7.5, False, block))
        x += box + 3.2
    return x + 1.0


def _put(words: str, x: float, y: float, height: float, size: float, bold: bool, block: str) -> Text:
    text = baseline_text(words, 0, height, size, bold=bold)
    return Text(x, text.y + y, text.text, size, bold, False, text.width, block)
