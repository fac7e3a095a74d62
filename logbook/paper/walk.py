"""The bench walk list: the trees that want something in the days ahead, bench by bench, one row each, one serial for all.

Rows are named by their tags: typed back as `014 14 oct done; trunk 38`. What `planning.lists.walk_rows` chose is worded here and
drawn by `rows`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from datetime import timedelta

from ..collection.dates import day_told
from ..collection.model import Settings
from ..planning.lists.care_list import care_until
from ..planning.lists.walk_rows import AHEAD_DAYS, Bench, benches_of
from ..planning.lists.walk_rows import Row as Wanted
from ..planning.model import Plan
from ..planning.wording import Wording, wording_of
from ..storage.printed import Offered, Sheet
from ..values import dataclass
from . import rows
from .care_words import care_words
from .headings import Heading
from .layouts import Layout
from .list_pages import ListPages, ListWords
from .page import Page
from .row_words import first_look_row, offered, rest_words, row_of, row_slug
from .words import say

CARE_DAYS = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class WalkList:
    """The list's pages, what goes on record of them (None for a draft), and the trees that have a row."""

    pages: tuple[Page, ...]
    sheet: Sheet | None
    tags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Walk:
    """What a walk list is made of: plans in walking order, the tags of all living trees, those to watch for their opening leaves.

    `everyone`: a row for each tree; `first_look`: rows that ask how each tree stands.
    """

    plans: Sequence[Plan]
    living: Sequence[str] = ()
    watched: Sequence[str] = ()
    everyone: bool = False
    first_look: bool = False


@dataclass(slots=True)
class _Kept:
    """What the record of the list takes from its rows."""

    lines: dict[str, str] = field(default_factory=dict)
    rows: dict[str, tuple[str, ...]] = field(default_factory=dict)
    jobs: list[Offered] = field(default_factory=list)

    def take(self, ident: str, tags: Sequence[str]) -> None:
        self.lines[ident] = tags[0]
        if len(tags) > 1:
            self.rows[ident] = tuple(tags)


def walk_list(walk: Walk, settings: Settings, layout: Layout, serial: str) -> WalkList:
    """Draw the list, the care of those days at its end. One serial runs through all its pages."""
    wording, kept = wording_of(settings), _Kept()
    pages = ListPages(layout, serial, _head(walk, settings, serial))
    pages.open()
    benches = benches_of(walk.plans, everyone=walk.everyone or walk.first_look, apart=walk.first_look)
    for bench in benches:
        _bench(bench, walk, wording, pages, kept)
    _care(walk.plans, wording, pages)
    made = pages.done("walk list")
    tags = tuple(tag for bench in benches for row in bench.rows for tag in row.tags)
    if not serial or not walk.plans:
        return WalkList(made, None, tags)
    return WalkList(made, _on_record(walk, settings, layout, serial, pages, kept), tags)


def _on_record(walk: Walk, settings: Settings, layout: Layout, serial: str, pages: ListPages, kept: _Kept) -> Sheet:
    trees = [plan.tree for plan in walk.plans]
    return Sheet(
        serial,
        walk.plans[0].today,
        layout.name,
        layout.version,
        settings.units.name,
        tuple(tree.tag for tree in trees),
        kept.lines,
        tuple(kept.jobs),
        tuple(pages.spots),
        {tree.tag: tree.digest[:16] for tree in trees},
        rows=kept.rows,
        by_tag=True,
    )


def _head(walk: Walk, settings: Settings, serial: str) -> ListWords:
    today = walk.plans[0].today if walk.plans else None
    until = day_told(today + timedelta(days=AHEAD_DAYS), today) if today else ""
    about = say("all trees") if walk.everyone else say("falls before", day=until)
    if walk.first_look:
        about = say("each tree")
    shown = walk.plans[0].tree.tag if walk.plans else "014"
    return ListWords(
        say("title of", name=say("first look" if walk.first_look else "walk"), title=settings.title),
        say("walk of", day=day_told(today), about=about) if today else "",
        say("type a row", tag=shown) if serial else say("not typed"),
        columns=not walk.first_look,
        watched=tuple(walk.watched),
    )


def _bench(bench: Bench, walk: Walk, wording: Wording, pages: ListPages, kept: _Kept) -> None:
    tags = bench.tags
    alone = len(bench.rows) == 1 and not bench.rest
    ticked = not (alone or walk.first_look)
    ident = row_slug(bench.name, kept.lines) if ticked else ""
    heading = Heading(
        bench.name or say("no place"),
        rest_words(bench, walk.living, wording),
        say("all looked") if ticked else "",
        ident,
    )
    laid = [
        rows.lay(
            first_look_row(row) if walk.first_look else row_of(row, walk.living, wording), pages.at, pages.layout.row
        )
        for row in bench.rows
    ]
    pages.heading(heading, laid[0].height if laid else 0.0)
    if ident:
        kept.take(ident, tags)
    for row, one in zip(bench.rows, laid, strict=True):
        pages.row(one, Heading(say("continued", name=heading.name)))
        _keep(row, one.row, kept)


def _keep(row: Wanted, drawn: rows.Row, kept: _Kept) -> None:
    kept.take(drawn.ident, row.tags)
    if row.job and drawn.job and not drawn.rates:
        kept.jobs.append(offered(row, drawn.ident))


def _care(plans: Sequence[Plan], wording: Wording, pages: ListPages) -> None:
    """What all these trees want besides."""
    if plans:
        care = care_until(plans, plans[0].today + CARE_DAYS)
        pages.paragraph(care_words(care, wording, len(plans)), "care")
