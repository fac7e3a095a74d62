"""The roll: every tree with its picture, by bench: for a lost tag, for counting, for an insurer, and for those who come after.

A tick in `here` counts as a look. The heirs' roll begins with a page of what must not wait.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Settings
from ..collection.units import Units
from ..planning.lists.walk_rows import bench_part
from ..planning.model import Plan
from ..planning.wording import Wording
from ..storage.printed import Sheet
from . import rows
from .charts import PANEL_MM, branch_chart
from .flow import Chunk, Piece, baseline_text, heading, lines
from .layouts import Layout
from .list_pages import ListPages, ListWords
from .page import Item, Page, Picture, Rule, moved
from .photos import Photo
from .row_words import branch_ranges
from .typesetting import fitted, wrap

LARGE, FEW, MANY = (2, 2), (3, 4), (4, 5)  # columns and rows a page
MANY_TREES = 48
TAG_PT, WORDS_PT = 15.0, 8.5
GAP_MM = 2.0
HERE = "here"
NO_PLACE = "no place on record"
POISON = "poisonous"
START_PT = 14.0
ASK_LINES = 4


@dataclass(frozen=True, slots=True)
class Entry:
    """A tree of the roll: its plan, its picture, whether it is poisonous."""

    plan: Plan
    photo: Photo | None = None
    poisonous: bool = False


@dataclass(frozen=True, slots=True)
class Roll:
    """The roll's pages, and what goes on record of them (None for a draft)."""

    pages: tuple[Page, ...]
    sheet: Sheet | None


def roll(entries: Sequence[Entry], settings: Settings, layout: Layout, serial: str, *, worth: bool = False) -> Roll:
    """Draw the roll, twelve trees a page, twenty where they are many. `worth`: what each is worth stands with it."""
    today = entries[0].plan.today if entries else date.min
    typed = "a tick in 'here' counts as a look" if serial else "draft: ticks on it can't be typed in"
    about = f"printed {day_told(today)}"
    pages = ListPages(layout, serial, ListWords(f"The roll · {settings.title}", about, typed, columns=False))
    pages.open()
    columns, lines_a_page = _grid(pages, len(entries))
    high = (pages.room_left - lines_a_page * 0.1) / lines_a_page
    bench = None
    for begin in range(0, len(entries), columns):
        some = entries[begin : begin + columns]
        y = pages.take(f"row {begin // columns + 1}", high)
        for column, entry in enumerate(some):
            place = bench_part(entry.plan.tree.bench) or NO_PLACE
            _cell(
                entry,
                (column, columns, y, high),
                pages,
                settings.units,
                facts(entry, settings.units, worth=worth),
                place if place != bench else "",
            )
            bench = place
    made = pages.done("roll")
    if not serial or not entries:
        return Roll(made, None)
    tags = tuple(entry.plan.tree.tag for entry in entries)
    return Roll(
        made,
        Sheet(
            serial,
            today,
            layout.name,
            layout.version,
            settings.units.name,
            tags,
            {tag: tag for tag in tags},
            (),
            tuple(pages.spots),
            {entry.plan.tree.tag: entry.plan.tree.digest[:16] for entry in entries},
            by_tag=True,
        ),
    )


def _grid(pages: ListPages, count: int) -> tuple[int, int]:
    """Columns and rows a page."""
    if pages.at.right - pages.at.left < rows.LARGE_MM:
        return LARGE
    return MANY if count > MANY_TREES else FEW


def _cell(
    entry: Entry, place: tuple[int, int, float, float], pages: ListPages, units: Units, told: list[str], bench: str
) -> None:
    """A tree's cell: bench where it is a new one, tag and box, picture, and what it is known by."""
    at, canvas = pages.at, pages.canvas
    column, columns, y, high = place
    wide = (at.right - at.left - GAP_MM * (columns - 1)) / columns
    x, tree = at.left + column * (wide + GAP_MM), entry.plan.tree
    block = f"tree {tree.tag}"
    canvas.items.append(Rule(x, y + 0.3, x + wide, y + 0.3, 0.4 if bench else 0.15, block=block))
    if bench:
        words, size = fitted(bench, WORDS_PT, wide * 0.5, True)
        canvas.put_right(words, x + wide, y + 4.0, size, block, bold=True)
    tag, points = fitted(tree.tag, TAG_PT, wide * 0.45, True)
    canvas.put(tag, x, y + 6.6, points, block, bold=True)
    box = x + wide - rows.TICK_MM
    canvas.put_right(HERE, box - 1.2, y + 9.6, WORDS_PT, block, bold=False)
    canvas.box(("say", rows.LOOKED, tree.tag), box, y + 5.6, rows.TICK_MM, block)
    below = [part for line in told for part in wrap(line, WORDS_PT, wide)][:6]
    room = high - 12.0 - len(below) * rows.STEP_MM - 1.5
    if entry.photo is not None and room > 10.0:
        canvas.items.append(_picture(entry.photo, x, y + 12.0, wide, room, block))
    elif entry.plan.tree.branches and room >= PANEL_MM:
        drawn = branch_chart(entry.plan.tree, entry.plan.state, wide, units)[0]
        canvas.items += [moved(item, x, y + 12.0, block) for item in drawn.items]
    base = y + high - 1.6 - (len(below) - 1) * rows.STEP_MM
    for line in below:
        canvas.put(line, x, base, WORDS_PT, block)
        base += rows.STEP_MM


def _picture(photo: Photo, x: float, y: float, wide: float, high: float, block: str) -> Picture:
    """The photograph as large as its room, its sides in proportion."""
    share = min(wide / photo.width, high / photo.height)
    return Picture(x, y, photo.width * share, photo.height * share, photo.jpeg, block)


def facts(entry: Entry, units: Units, *, worth: bool) -> list[str]:
    """Name, species, pot, last trunk and height, poison, and where it is asked for what it is worth."""
    plan = entry.plan
    tree, state = plan.tree, plan.state
    measured = [
        f"{name} {units.length_told(readings[-1].value)}"
        for name in ("trunk", "height")
        if (readings := state.readings.get(name))
    ]
    pot = state.pot
    litres = f"pot {pot.shape}".strip() if pot else ""
    told = [tree.name, tree.full_name, " · ".join(part for part in (*measured, litres) if part)]
    told += [POISON] if entry.poisonous else []
    told += [f"value: {tree.value}" if tree.value else "value: ____________"] if worth else []
    return [part for part in told if part]


# -- start here ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Legacy:
    """What somebody who comes after must know at once; each a line or more in words."""

    title: str
    printed: date
    water: str
    shelter: Sequence[str]
    files: str


def start_here(legacy: Legacy, entries: Sequence[Entry], layout: Layout, wording: Wording) -> list[Chunk]:
    """The first page: water, shelter, wire, trees not to be touched, poison, files, whom to ask; in large type."""
    width = layout.page[0] - 2 * layout.margin

    def block(name: str, title: str, said: Sequence[str]) -> Chunk:
        pieces = [piece for words in said for piece in lines(words, START_PT, width)]
        return Chunk(name, (heading(title, width, 11.0), *pieces), 3.0)

    title = baseline_text("Start here", 0.0, 12.0, 24.0, bold=True)
    parts = [
        Chunk("title", (Piece(12.0, (title,)), *lines(f"{legacy.title}, {day_told(legacy.printed)}", 11.0, width))),
        block("water", "Water", [legacy.water]),
        block("shelter", "Shelter", legacy.shelter or ["Nothing is waiting to be sheltered in the next weeks."]),
        block("wire", "Wire that must come off", _wires(entries) or ["No wire is on record."]),
        block("leave", "Do not cut, repot or wire these", _held(entries, wording) or ["None is on record."]),
        block("poison", "Poisonous if eaten: keep from children and animals", [_poisonous(entries)]),
        block("files", "Where the records are", [legacy.files]),
        Chunk("ask", (heading("Whom to ask", width, 11.0), *_blanks(width)), 3.0),
    ]
    return [part for part in parts if len(part.pieces) > 1]


def _wires(entries: Sequence[Entry]) -> list[str]:
    told = []
    for entry in entries:
        for wire in entry.plan.state.wires:
            job = entry.plan.wire_job(wire.branches)
            day = (job.since or job.closes) if job else None
            named = " ".join(part for part in (entry.plan.tree.tag, branch_ranges(wire.branches)) if part)
            told.append(f"{named}: off by {day_told(day)}" if day else f"{named}: wire is on")
    return told


def _held(entries: Sequence[Entry], wording: Wording) -> list[str]:
    return [f"{e.plan.tree.tag}: {wording.held(hold)}" for e in entries for hold in e.plan.holds]


def _poisonous(entries: Sequence[Entry]) -> str:
    found = [entry.plan.tree.tag for entry in entries if entry.poisonous]
    return " ".join(found) or "None is known to be; that is no promise."


def _blanks(width: float) -> list[Piece]:
    rule: tuple[Item, ...] = (Rule(0.0, 9.0, width, 9.0, 0.2, 0.35),)
    return [Piece(9.5, rule) for _ in range(ASK_LINES)]
