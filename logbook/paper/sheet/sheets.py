"""Record sheets: a plan becomes a front and a back, with the ledger's account of what may be written on it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...collection.dates import day_told
from ...collection.model import Settings, Tree
from ...diagnostics import counted
from ...horticulture.knowledge import Knowledge
from ...planning.planner import Job, Plan
from ...storage.printed import LETTERS, Offered, Sheet, Spot
from ..flow import Room, flow
from ..imposition import Leaf
from ..layouts import Layout
from ..page import Item, Page, Rule, Text, moved, shifted
from ..photos import Photo
from ..typesetting import line_mm
from .back import Back, BackText, Tick, back_page
from .blocks.facts import chart_to_draw, days_told
from .context import ASKS, LAST_LINES, TO_DRAW, SheetContext, jobs_on_sheet
from .front import chunks, foot, head, head_height


@dataclass(frozen=True, slots=True)
class RecordSheet:
    """Leaves (front, back) of one tree, what the ledger keeps of them (None for a draft), and a hash of the front's words."""

    leaves: tuple[Leaf, ...]
    sheet: Sheet | None
    words: str = ""


def tree_link(settings: Settings, tree: Tree) -> str:
    """What the code on a pot opens; the bare tag where the collection has no link."""
    if not settings.link:
        return tree.tag
    return settings.link.replace("{file}", tree.path).replace("{tag}", tree.tag)


def sheet_code(settings: Settings, tree: Tree, serial: str) -> str:
    """The code on a sheet's back: the tree's link with the serial behind a '#', which a browser ignores."""
    return f"{tree_link(settings, tree)}#{serial}" if serial else tree_link(settings, tree)


def record_sheet(
    plan: Plan,
    settings: Settings,
    knowledge: Knowledge,
    layout: Layout,
    serial: str,
    photo: Photo | None = None,
) -> RecordSheet:
    """Draw one tree's sheet. An empty serial makes a draft that can't be typed in."""
    jobs = jobs_on_sheet(plan)[: len(LETTERS)]
    letters = tuple(LETTERS[: len(jobs)])
    width = layout.room[0] - 2 * layout.margin
    context = SheetContext(plan, settings, knowledge, layout, width, letters, photo=photo)
    fronts = _fronts(context)
    backs = _backs(context, jobs, serial, len(fronts))
    lines = [line for back in backs for line in back.lines]
    leaves = _leaves(fronts, backs, layout)
    if not serial:
        return RecordSheet(leaves, None, front_words(context, fronts))
    tree = plan.tree
    sheet = Sheet(
        serial,
        plan.today,
        layout.name,
        layout.version,
        settings.units.name,
        (tree.tag,),
        dict.fromkeys(lines, tree.tag),
        tuple(_offered(letter, job) for letter, job in zip(letters, jobs, strict=True)),
        tuple(_bound_spot(spot, layout) for back in backs for spot in back.spots),
        {tree.tag: tree.digest},
        {tree.tag: front_words(context, fronts)},
        tuple(ask.value for ask in plan.asks),
    )
    return RecordSheet(leaves, sheet, sheet.fronts[tree.tag])


def front_words(context: SheetContext, fronts: Sequence[Page]) -> str:
    """A hash of what the fronts say, so that an unchanged sheet need not be printed again.

    What hangs on the paper's room alone does not count: how lines are broken, on which page they stand (the head of a
    further page belongs to no block), how many of the log's days stand there.
    """
    texts = (i for n, page in enumerate(fronts) for i in page.items if isinstance(i, Text) and (i.block or not n))
    said = " ".join(
        [*(i.text for i in texts if i.block not in ("foot", "last", TO_DRAW, ASKS)), *days_told(context)[:LAST_LINES]]
    )
    return hashlib.sha256(" ".join(said.split()).encode()).hexdigest()[:32]


def _fronts(context: SheetContext) -> list[Page]:
    """The log's last lines give way where that saves a page; of several pages at least one line stays on the last."""
    rooms = _flowed(context)
    for fewer in range(LAST_LINES - 1, -1, -1):
        if len(rooms) == 1 or (fewer == 0 and len(rooms) > 2):
            break
        tried = replace(context, last_lines=fewer)
        shorter = _flowed(tried)
        if len(shorter) < len(rooms):
            rooms, context = shorter, tried
            break
    return [_front(context, made, number, len(rooms)) for number, made in enumerate(rooms)]


def _flowed(context: SheetContext) -> list[Room]:
    layout = context.layout
    foot_height = line_mm(context.small)

    def room(number: int) -> Room:
        top = layout.margin + head_height(context, again=number > 0)
        return Room(layout.margin, top, context.width, layout.room[1] - layout.margin - foot_height)

    rooms = flow(chunks(context), room)
    spare = chart_to_draw(context)
    if spare and rooms[-1].fits(spare.above + sum(piece.height for piece in spare.pieces)):
        rooms[-1].y += spare.above
        for piece in spare.pieces:
            rooms[-1].place(spare.name, piece)
    return rooms


def _front(context: SheetContext, made: Room, number: int, count: int) -> Page:
    layout = context.layout
    title = [moved(item, layout.margin, layout.margin) for item in head(context, again=number > 0)]
    entries = context.plan.state.entries
    words = ""
    if count > 1:
        words = "more on the next page" if number + 1 < count else f"page {number + 1} of {count}"
    elif not context.last_lines and entries:
        words = f"log: {counted(len(entries), 'line')} in {context.plan.tree.path}"
    if words:
        made.y = layout.room[1] - layout.margin - line_mm(context.small)
        made.place("foot", foot(words, context.width, context.small))
    label = f"{context.plan.tree.tag} front {number + 1}"
    return Page(*layout.room, (*title, *made.items), tuple(made.blocks), label)


def _backs(context: SheetContext, jobs: tuple[Job, ...], serial: str, count: int) -> list[Back]:
    """A back for every front, and more where the ticks need them; the pencil lines are numbered through."""
    plan, settings = context.plan, context.settings
    ticks = tuple(
        Tick(letter, "looked, all well" if job.is_look_over else job.what)
        for letter, job in zip(context.letters, jobs, strict=True)
    )
    words = BackText(
        plan.tree.tag,
        plan.tree.name or plan.tree.full_name,
        serial,
        sheet_code(settings, plan.tree, serial),
        settings.link and tree_link(settings, plan.tree),
        day_told(plan.today),
    )
    backs: list[Back] = []
    first = 1
    while len(backs) < count or ticks:
        side = 2 * len(backs) + 2 if len(backs) < count else count + len(backs) + 1
        back = back_page(context.layout, words, ticks, first, side, scores=not backs)
        backs.append(back)
        first += len(back.lines)
        ticks = back.left_over
    return backs


def _leaves(fronts: Sequence[Page], backs: Sequence[Back], layout: Layout) -> tuple[Leaf, ...]:
    """Fronts with their backs; backs beyond them fill leaves of their own, both sides."""
    leaves: list[Leaf] = [
        (bound(front, layout), bound(back.page, layout, back=True))
        for front, back in zip(fronts, backs, strict=False)
    ]
    more = [back.page for back in backs[len(fronts) :]]
    for index in range(0, len(more), 2):
        other = bound(more[index + 1], layout, back=True) if index + 1 < len(more) else None
        leaves.append((bound(more[index], layout), other))
    return tuple(leaves)


def bound(page: Page, layout: Layout, *, back: bool = False) -> Page:
    """The page with its bound edge beside it, and marks where the holes go; the edge changes sides on the back."""
    binder = layout.binder
    if binder is None:
        return page
    width, height = layout.page
    dx, dy = _binder_shift(layout, back=back)
    middle = binder.room / 2
    marks: list[Item] = []
    for at in binder.punch:
        x, y = (
            (width - middle if back else middle, at)
            if binder.edge == "left"
            else (width - at if back else at, middle)
        )
        marks += [Rule(x - 1.5, y, x + 1.5, y, 0.15), Rule(x, y - 1.5, x, y + 1.5, 0.15)]
    return shifted(page, dx, dy, width, height, tuple(marks))


def _binder_shift(layout: Layout, *, back: bool) -> tuple[float, float]:
    if layout.binder is None:
        return 0.0, 0.0
    if layout.binder.edge == "top":
        return 0.0, layout.binder.room
    return (0.0 if back else layout.binder.room), 0.0


def _bound_spot(spot: Spot, layout: Layout) -> Spot:
    """The spot in mm of the page as cut. Even pages are backs."""
    dx, dy = _binder_shift(layout, back=spot.page % 2 == 0)
    return replace(spot, x=round(spot.x + dx, 3), y=round(spot.y + dy, 3))


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
