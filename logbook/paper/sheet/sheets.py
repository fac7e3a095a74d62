"""Record sheets: a plan becomes a front and a back, with the ledger's account of what may be written on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ... import escapes
from ...collection.dates import day_told
from ...collection.model import Settings, Tree
from ...horticulture.knowledge import Knowledge
from ...planning.model import Job
from ...planning.planner import Plan
from ...storage.printed import Offered, Sheet, Spot
from ...values import dataclass
from ..imposition import Leaf
from ..layouts import Layout
from ..page import Item, Page, Rule, shifted
from ..photos import Photo
from ..words import say
from .back import Back, BackText, Tick, back_page
from .blocks.bars import by_number
from .blocks.lettering import folded
from .context import SheetContext
from .front import front_pages
from .offers import Marked, Offers, offers_of
from .said import front_said


@dataclass(frozen=True, slots=True)
class RecordSheet:
    """Leaves (front, back) of one tree, what the ledger keeps of them (None for a draft), and what the front says, as `said` keeps it."""

    leaves: tuple[Leaf, ...]
    sheet: Sheet | None
    words: str = ""


def tree_link(settings: Settings, tree: Tree) -> str:
    """What the code on a pot opens; the bare tag where the collection has no link. Odd characters are written as addresses do (RFC 3986)."""
    if not settings.link:
        return tree.tag
    return escapes.linked(settings.link, {"file": tree.path, "tag": tree.tag})


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
    *,
    more: bool = False,
) -> RecordSheet:
    """Draw one tree's sheet; with `more` its whole log. An empty serial makes a draft that can't be typed in."""
    offers = offers_of(plan)
    width = layout.room[0] - 2 * layout.margin
    context = SheetContext(plan, settings, knowledge, layout, width, offers.front, photo=photo)
    fronts = front_pages(context, more=more)
    backs = _backs(context, offers, serial, len(fronts))
    lines = [line for back in backs for line in back.lines]
    leaves = _leaves(fronts, backs, layout)
    said = front_said(plan, knowledge).text
    if not serial:
        return RecordSheet(leaves, None, said)
    tree = plan.tree
    boxes = {spot.id for back in backs for spot in back.spots if spot.kind == "job"}
    sheet = Sheet(
        serial,
        plan.today,
        layout.name,
        layout.version,
        settings.units.name,
        (tree.tag,),
        dict.fromkeys(lines, tree.tag),
        tuple(_offered(marked) for marked in (*offers.boxes, *offers.spare) if marked.mark in boxes),
        _bound_spots((spot for back in backs for spot in back.spots), layout),
        {tree.tag: tree.digest},
        {tree.tag: said},
        tuple(ask.value for ask in plan.asks),
    )
    return RecordSheet(leaves, sheet, said)


def _backs(context: SheetContext, offers: Offers, serial: str, count: int) -> list[Back]:
    """A back for every front, and more where the boxes need them; the pencil lines are numbered through.

    What only may be done has a box where it costs no line that a back should have.
    """
    plan, settings = context.plan, context.settings
    ticks, spare = _ticks(offers.boxes), _ticks(offers.spare)
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
        back = back_page(context.layout, words, ticks, first, side, scores=not backs, spare=() if backs else spare)
        backs.append(back)
        first += len(back.lines)
        ticks = back.left_over
    return backs


def _ticks(marked: Iterable[Marked]) -> tuple[Tick, ...]:
    return tuple(Tick(m.mark, say("looked") if m.job.is_look_over else _in_short(m.job)) for m in marked)


def _in_short(job: Job) -> str:
    """The work with its branches as ranges: many of them would be cut in the middle of a number."""
    if job.says or job.own or not job.branches:
        return job.what
    return f"{job.work} {folded(sorted(job.branches, key=by_number))}"


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


def _bound_spots(spots: Iterable[Spot], layout: Layout) -> tuple[Spot, ...]:
    """The spots in mm of the page as cut. Even pages are backs."""
    shifts = [_binder_shift(layout, back=back) for back in (True, False)]

    def bound(spot: Spot) -> Spot:
        dx, dy = shifts[spot.page % 2]
        at = round(spot.x + dx, 3), round(spot.y + dy, 3)
        return Spot(spot.kind, spot.id, spot.tag, spot.page, *at, spot.width, spot.height)

    return tuple(map(bound, spots))


def _offered(marked: Marked) -> Offered:
    job = marked.job
    return Offered(
        marked.mark,
        job.tag,
        job.work,
        job.branches,
        job.opens.isoformat() if job.opens else "",
        job.closes.isoformat() if job.closes else "",
        job.own,
    )
