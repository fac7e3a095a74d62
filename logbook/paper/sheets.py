"""Record sheets: a plan becomes a front and a back, with the ledger's account of what may be written on it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..problems import counted
from ..record.dates import day_told
from ..record.ledger import LETTERS, Offered, Sheet, Spot
from ..record.model import Settings, Tree
from ..trade.knowledge import Knowledge
from ..work.due import Job, Plan
from .back import BackText, Tick, back_page
from .compose import Room, flow
from .front import LAST_LINES, Desk, chunks, foot, head, head_height, jobs_on_sheet
from .layouts import Layout
from .page import Page, Text, moved
from .type import line_mm


@dataclass(frozen=True, slots=True)
class RecordSheet:
    """Leaves (front, back) of one tree, and what the ledger keeps of them (None for a draft)."""

    leaves: tuple[tuple[Page, Page | None], ...]
    sheet: Sheet | None


def tree_link(settings: Settings, tree: Tree) -> str:
    """What the code on a pot opens; the bare tag where the collection has no link."""
    if not settings.link:
        return tree.tag
    return settings.link.replace("{file}", tree.path).replace("{tag}", tree.tag)


def sheet_code(settings: Settings, tree: Tree, serial: str) -> str:
    """The code on a sheet's back: the tree's link with the serial behind a '#', which a browser ignores."""
    return f"{tree_link(settings, tree)}#{serial}" if serial else tree_link(settings, tree)


def record_sheet(plan: Plan, settings: Settings, knowledge: Knowledge, layout: Layout, serial: str) -> RecordSheet:
    """Draw one tree's sheet. An empty serial makes a draft that can't be typed in."""
    jobs = jobs_on_sheet(plan)[: len(LETTERS)]
    letters = tuple(LETTERS[: len(jobs)])
    width = layout.page[0] - 2 * layout.margin
    desk = Desk(plan, settings, knowledge, layout, width, letters)
    fronts = _fronts(desk)
    backs, spots, lines = _backs(desk, jobs, serial, len(fronts))
    leaves = tuple(zip(fronts, backs, strict=True))
    if not serial:
        return RecordSheet(leaves, None)
    offered = tuple(_offered(letter, job) for letter, job in zip(letters, jobs, strict=True))
    tree = plan.tree
    return RecordSheet(
        leaves,
        Sheet(
            serial,
            plan.today,
            layout.name,
            layout.version,
            settings.units.name,
            (tree.tag,),
            dict.fromkeys(lines, tree.tag),
            offered,
            tuple(spots),
            {tree.tag: tree.digest},
            {tree.tag: front_words(fronts)},
        ),
    )


def front_words(fronts: Sequence[Page]) -> str:
    """A hash of what the fronts say, so that an unchanged sheet need not be printed again."""
    words = "\n".join(item.text for page in fronts for item in page.items if isinstance(item, Text))
    return hashlib.sha256(words.encode()).hexdigest()[:32]


def _fronts(desk: Desk) -> list[Page]:
    layout = desk.layout
    page_width, page_height = layout.page
    foot_height = line_mm(desk.small)

    def room(number: int) -> Room:
        top = layout.margin + head_height(desk, again=number > 0)
        return Room(layout.margin, top, desk.width, page_height - layout.margin - foot_height)

    rooms = flow(chunks(desk), room)
    for fewer in range(LAST_LINES - 1, -1, -1):
        if len(rooms) == 1:
            break
        tried = replace(desk, last_lines=fewer)
        shorter = flow(chunks(tried), room)
        if len(shorter) == 1:
            rooms, desk = shorter, tried
    pages = []
    for number, made in enumerate(rooms):
        top = layout.margin
        title = [moved(item, layout.margin, top) for item in head(desk, again=number > 0)]
        entries = desk.plan.state.entries
        if len(rooms) == 1 and not desk.last_lines and entries:
            made.y = page_height - layout.margin - foot_height
            made.place(
                "foot", foot(f"log: {counted(len(entries), 'line')} in {desk.plan.tree.path}", desk.width, desk.small)
            )
        elif len(rooms) > 1:
            words = "more on the next page" if number + 1 < len(rooms) else f"page {number + 1} of {len(rooms)}"
            made.y = page_height - layout.margin - foot_height
            made.place("foot", foot(words, desk.width, desk.small))
        pages.append(
            Page(
                page_width,
                page_height,
                (*title, *made.items),
                tuple(made.blocks),
                f"{desk.plan.tree.tag} front {number + 1}",
            )
        )
    return pages


def _backs(desk: Desk, jobs: tuple[Job, ...], serial: str, count: int) -> tuple[list[Page], list[Spot], list[str]]:
    """A back for every front; the pencil lines are numbered through."""
    plan, settings = desk.plan, desk.settings
    ticks = tuple(
        Tick(letter, "looked, all well" if job.work == "look-over" else job.what)
        for letter, job in zip(desk.letters, jobs, strict=True)
    )
    pages: list[Page] = []
    spots: list[Spot] = []
    lines: list[str] = []
    for number in range(1, count + 1):
        words = BackText(
            plan.tree.tag,
            plan.tree.name or plan.tree.full_name,
            serial,
            sheet_code(settings, plan.tree, serial),
            settings.link and tree_link(settings, plan.tree),
            day_told(plan.today),
            ticks,
            number,
            len(lines) + 1,
        )
        page, more_spots, more_lines = back_page(desk.layout, words, 2 * number)
        pages.append(page)
        spots += more_spots
        lines += more_lines
    return pages, spots, lines


def _offered(letter: str, job: Job) -> Offered:
    return Offered(
        letter,
        job.tag,
        job.work,
        job.branches,
        job.opens.isoformat() if job.opens else "",
        job.closes.isoformat() if job.closes else "",
        job.own,
    )
