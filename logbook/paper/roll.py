"""The roll: every tree with its picture, by bench: for a lost tag, for counting, for an insurer, and for those who come after.

A tick in `here` counts as a look. The heirs' roll begins with a page of what must not wait.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Settings
from ..collection.units import Units
from ..formulas.water import every_told
from ..planning.lists.walk_rows import bench_part
from ..planning.model import Plan
from ..planning.wording import Wording
from ..storage.printed import Sheet
from ..values import dataclass
from . import rows
from .cards import card_pages
from .charts import PANEL_MM, branch_chart
from .flow import Chunk, Piece, baseline_text, heading, lines
from .headings import TICK_MM
from .layouts import Layout
from .list_pages import ListPages, ListWords
from .page import Item, Page, Picture, Rule, moved
from .photos import Photo
from .row_words import branch_ranges
from .typed_back import SAYS
from .typesetting import fitted, uncut, width_mm, wrap
from .words import say

LARGE, FEW, MANY = (2, 2), (3, 4), (4, 5)  # columns and rows a page
MANY_TREES = 48
TAG_PT, WORDS_PT = 15.0, 8.5
GAP_MM = 2.0
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
    about, typed = say("printed", day=day_told(today)), say("roll ticks" if serial else "roll draft")
    title = say("title of", name=say("roll"), title=settings.title)
    pages = ListPages(layout, serial, ListWords(title, about, typed, columns=False))
    pages.open()
    columns, lines_a_page = _grid(pages, len(entries))
    high = (pages.room_left - lines_a_page * 0.1) / lines_a_page
    bench = None
    for begin in range(0, len(entries), columns):
        some = entries[begin : begin + columns]
        y = pages.take(f"row {begin // columns + 1}", high)
        for column, entry in enumerate(some):
            place = bench_part(entry.plan.tree.bench) or say("no place")
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
    tag, points = fitted(tree.tag, TAG_PT, wide * 0.45, True)
    if bench:
        words, size = uncut(bench, WORDS_PT, (wide * 0.5, wide - width_mm(tag, points, True) - 2.0), True)
        canvas.put_right(words, x + wide, y + 4.0, size, block, bold=True)
    canvas.put(tag, x, y + 6.6, points, block, bold=True)
    box = x + wide - TICK_MM
    canvas.put_right(say("roll here"), box - 1.2, y + 9.6, WORDS_PT, block, bold=False)
    canvas.box(("say", SAYS["looked"], tree.tag), box, y + 5.6, TICK_MM, block)
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
        say("measure of", name=say(f"measure {name}"), length=units.length_told(readings[-1].value))
        for name in ("trunk", "height")
        if (readings := state.readings.get(name))
    ]
    pot = state.pot
    shape = say("roll pot of", shape=pot.shape) if pot and pot.shape else say("roll pot") if pot else ""
    told = [tree.name, tree.full_name, " · ".join(part for part in (*measured, shape) if part)]
    told += [say("poisonous")] if entry.poisonous else []
    told += [say("worth", value=tree.value) if tree.value else say("worth blank")] if worth else []
    return [part for part in told if part]


# -- start here ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Legacy:
    """What somebody who comes after must know at once: days between looks at the thirstiest tree, what comes under cover, the folder's name."""

    title: str
    printed: date
    thirst_days: float | None
    shelter: Sequence[str]
    folder: str


def start_here(legacy: Legacy, entries: Sequence[Entry], layout: Layout, wording: Wording) -> list[Page]:
    """What stands before the roll, as many pages as it takes: water, shelter, wire, trees not to be touched, poison, files, whom to ask; in large type."""
    width = layout.page[0] - 2 * layout.margin

    def block(name: str, said: Sequence[str]) -> Chunk:
        pieces = [piece for words in said for piece in lines(words, START_PT, width)]
        return Chunk(name, (heading(say(f"start {name}"), width, 11.0), *pieces), 3.0)

    title = baseline_text(say("start here"), 0.0, 12.0, 24.0, bold=True)
    of = say("start of", title=legacy.title, day=day_told(legacy.printed))
    parts = [
        Chunk("title", (Piece(12.0, (title,)), *lines(of, 11.0, width))),
        block("water", [_water(legacy.thirst_days)]),
        block("shelter", legacy.shelter or [say("no shelter")]),
        block("wire", _wires(entries) or [say("no wire")]),
        block("leave", _held(entries, wording) or [say("none held")]),
        block("poison", [_poisonous(entries)]),
        block("files", [say("files are", folder=legacy.folder)]),
        Chunk("ask", (heading(say("start ask"), width, 11.0), *_blanks(width)), 3.0),
    ]
    head = say("start here of", title=legacy.title)
    return card_pages([part for part in parts if len(part.pieces) > 1], layout, "start here", head)


def _water(days: float | None) -> str:
    """The rule for every pot, and how often the thirstiest want a look."""
    thirstiest = [say("start thirst", often=every_told(days))] if days is not None else []
    return " ".join([say("start look"), *thirstiest])


def _wires(entries: Sequence[Entry]) -> list[str]:
    told = []
    for entry in entries:
        for wire in entry.plan.state.wires:
            job = entry.plan.wire_job(wire.branches)
            day = (job.since or job.closes) if job else None
            named = " ".join(part for part in (entry.plan.tree.tag, branch_ranges(wire.branches)) if part)
            told.append(say("wire off of", tree=named, day=day_told(day)) if day else say("wire on of", tree=named))
    return told


def _held(entries: Sequence[Entry], wording: Wording) -> list[str]:
    return [f"{e.plan.tree.tag}: {wording.held(hold)}" for e in entries for hold in e.plan.holds]


def _poisonous(entries: Sequence[Entry]) -> str:
    found = [entry.plan.tree.tag for entry in entries if entry.poisonous]
    return " ".join(found) or say("none poisonous")


def _blanks(width: float) -> list[Piece]:
    rule: tuple[Item, ...] = (Rule(0.0, 9.0, width, 9.0, 0.2, 0.35),)
    return [Piece(9.5, rule) for _ in range(ASK_LINES)]
