"""Print pocket record sheets: what a grower needs before starting on the front, pencil lines on the back.

Each sheet takes a serial that is kept in printed/, so that its lines can be typed back in. --draft prints without.

examples:
  benchleaf sheets -o sheets.pdf
  benchleaf sheets --changed --due-within 60d
  benchleaf sheets --season-card --no-photos
  benchleaf sheets --booklet -o book.pdf
  benchleaf sheets --large --tag 014
  benchleaf sheets --form --tag 014 -o form.pdf
  benchleaf sheets --tag 014 --tag 031 --layout pocket-quarter-letter
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Iterator
from dataclasses import field, replace
from datetime import timedelta
from typing import TYPE_CHECKING, NotRequired, TypedDict

from ..collection.model import Tree
from ..diagnostics import Problem, counted, stop
from ..paper.imposition import Leaf
from ..paper.layouts import Layout
from ..planning.asked import ask_words
from ..planning.model import Plan
from ..storage import printed
from ..values import dataclass
from .common import Opened, days, json_argument, left_out, today_argument, tree_arguments
from .printing import (
    Run,
    due_soon,
    how_to_print,
    in_pairs,
    large_argument,
    page_grid,
    print_arguments,
    print_out,
    print_run,
    printed_size,
    progress,
    ready_to_print,
    record_arguments,
    season_pages,
    shift_of,
    where_told,
)
from .results import Result, say

if TYPE_CHECKING:  # heavy to import, and only named here
    from ..paper.page import Paper
    from ..paper.sheet.sheets import RecordSheet

OUT_DAYS = 120
THICK_PAGES = 40
LARGEST_PHOTO_MM = 40.0


class SheetData(TypedDict):
    """A tree's sheet and its serial; the serial is empty for a draft."""

    tag: str
    serial: str


class SheetsData(TypedDict):
    """The sheets that were printed; without files and pages where none was."""

    files: NotRequired[list[str]]
    pages: NotRequired[int]
    sheets: list[SheetData]


SHAPE = SheetsData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    parser.add_argument(
        "--changed", action="store_true", help="only trees whose front would differ from their last printed sheet"
    )
    parser.add_argument(
        "--due-within", type=days, metavar="DAYS", help="only trees with work that is open, or opens in so many days"
    )
    print_arguments(parser, "sheets.pdf")
    parser.add_argument(
        "--photos",
        action=argparse.BooleanOptionalAction,
        default=True,
        help="print each tree's latest photo where there is room (the default)",
    )
    parser.add_argument(
        "--more", action="store_true", help="the whole log of each tree, on as many leaves as it takes"
    )
    parser.add_argument(
        "--season-card", action="store_true", help="print the season's pocket card as well, on the first leaf"
    )
    parser.add_argument(
        "--booklet", action="store_true", help="a book to fold and staple: cover, indexes, season card, every tree"
    )
    parser.add_argument(
        "--form", action="store_true", help="a PDF to fill in on a screen, page by page, and give back to reconcile"
    )
    large_argument(parser)
    record_arguments(parser)
    json_argument(parser)
    today_argument(parser)


@dataclass(slots=True)
class _Run:
    """One print: what it draws from, and what it notes on the way."""

    opened: Opened
    layout: Layout
    photos: bool
    ledger: printed.Ledger
    more: bool = False
    serials: list[str] = field(default_factory=list)
    kept: printed.Record = field(default_factory=printed.Record)
    problems: list[Problem] = field(default_factory=list)

    def plan(self, tree: Tree) -> Plan:
        """The tree's plan; a question that was printed this season is not asked again."""
        made = self.opened.plan(tree)
        calendar = self.opened.site.calendar
        begun = calendar.season_start(calendar.season_of(self.opened.today))
        stages = self.opened.knowledge.stages  # older records hold a question in words
        asked = self.ledger.asked_since(tree.tag, begun)
        return replace(made, asks=tuple(ask for ask in made.asks if not {ask.value, ask_words(ask, stages)} & asked))

    def sheet(self, tree: Tree, serial: str) -> RecordSheet:
        from ..paper.sheet.sheets import record_sheet

        photo = None
        if self.photos:
            from ..paper.photos import latest_photo

            photo, faults = latest_photo(self.opened.collection, tree, max(self.layout.photo, LARGEST_PHOTO_MM))
            self.problems += faults
        settings = self.opened.collection.settings
        return record_sheet(
            self.plan(tree), settings, self.opened.knowledge, self.layout, serial, photo, more=self.more
        )

    def leaves(self, trees: list[Tree]) -> Iterator[Leaf]:
        for tree, serial in zip(progress(trees), self.serials, strict=True):
            sheet = self.sheet(tree, serial)
            if sheet.sheet:
                self.kept.add(sheet.sheet.enlarged(self.layout.times))
            yield from sheet.leaves


def run(options: argparse.Namespace) -> Result:
    """Draw the record sheets, and put them on record unless they are drafts."""
    if options.form and (options.booklet or options.draft):
        raise stop("a form is neither a booklet nor a draft", hint="leave out --booklet and --draft")
    if options.large and (options.booklet or options.form):
        raise stop("a booklet and a form have one size", hint="leave out --large, or --booklet and --form")
    whole = options.bench or options.booklet or options.season_card
    only = options.tag[0] if len(options.tag or ()) == 1 and not whole else ""
    with print_run(options, recorded=not options.draft, only=only) as held:
        return _printed(held, options)


def _printed(held: Run, options: argparse.Namespace) -> Result:
    opened = held.opened
    plan, trees = ready_to_print(opened, options, "sheet", "pocket-a6", "pocket-quarter-letter")
    ledger = printed.load_ledger(opened.folder)
    run_ = _Run(opened, plan, options.photos, ledger, options.more)
    trees = _asked_for(run_, options, trees, ledger)
    if not trees:
        nothing = "nothing to print: no sheet would differ, or no work is near"
        problems, closing, code = left_out(opened)
        return Result(code, (*held.told, nothing), {"sheets": []}, problems, closing)
    run_.serials = held.serials(len(trees), ledger, options.seed)
    _announce(options, run_.layout, len(trees))
    way = _book if options.booklet else _form if options.form else _loose
    papers, up = way(run_, options, trees)
    tap = print_out(held, options, papers, "record sheets", run_.kept)
    lines = [
        *held.told,
        f"{counted(len(trees), 'record sheet')} on {counted(tap.sides, 'page')}, {up}: {where_told(options, tap)}",
        *_to_do(options),
        *_still_out(opened, ledger, trees),
    ]
    problems, closing, code = left_out(opened)
    data: SheetsData = {
        **tap.data,
        "sheets": [{"tag": t.tag, "serial": s} for t, s in zip(trees, run_.serials, strict=True)],
    }
    return Result(
        code or int(bool(run_.problems)),
        tuple(lines),
        data,
        (*run_.layout.notices, *tap.warnings, *run_.problems, *problems),
        closing,
    )


def _announce(options: argparse.Namespace, plan: Layout, count: int) -> None:
    """How much paper it will be, before it is drawn, to whoever sits there; a book tells it by itself."""
    if options.booklet or options.form or not sys.stderr.isatty():
        return
    grid = page_grid(plan, options.output)
    sides = 2 * math.ceil(count / grid.count)
    more = "; a tree that needs a second leaf takes more" if count > 1 or options.more else ""
    say(f"{counted(count, 'record sheet')}: {counted(sides, 'side')} of paper{more}")


def _to_do(options: argparse.Namespace) -> list[str]:
    """What to do with the paper."""
    lines = ["draft: no serials, the notes on it can't be typed in"] if options.draft else []
    if options.form:
        lines += [f"fill it in and give it back: benchleaf reconcile {options.output.name}"]
    else:
        lines += how_to_print(options)
    lines += ["cut, lay the halves in order into one another, fold and staple"] if options.booklet else []
    return lines


def _asked_for(run_: _Run, options: argparse.Namespace, trees: list[Tree], ledger: printed.Ledger) -> list[Tree]:
    """The trees left by --due-within and --changed."""
    if options.due_within is not None:
        trees = [tree for tree in trees if due_soon(run_.plan(tree), options.due_within)]
    if options.changed:
        trees = [tree for tree in trees if _is_changed(run_, tree, ledger.last_fronts(tree.tag))]
    return trees


def _is_changed(run_: _Run, tree: Tree, kept: set[str]) -> bool:
    """Whether a front printed today would say something else than each that was printed last."""
    from ..paper.sheet.said import front_said, is_changed

    said = front_said(run_.plan(tree), run_.opened.knowledge)
    return all(is_changed(said, one, run_.opened.today) for one in kept)


def _loose(run_: _Run, options: argparse.Namespace, trees: list[Tree]) -> tuple[Iterator[Paper], str]:
    """Leaves to be cut, several up."""
    from ..paper.imposition import impose

    grid = page_grid(run_.layout, options.output)

    def leaves() -> Iterator[Leaf]:
        if options.season_card:
            yield from in_pairs(season_pages(run_.opened, run_.layout))
        yield from run_.leaves(trees)

    return impose(
        printed_size(leaves(), run_.layout), grid, options.edge, shift=shift_of(options)
    ), f"{grid.count} up" if grid.count > 1 else "one page each"


def _form(run_: _Run, options: argparse.Namespace, trees: list[Tree]) -> tuple[Iterator[Paper], str]:  # noqa: ARG001
    """Each page by itself, with fields to fill in."""
    from ..paper.fillable import form_leaves
    from ..paper.imposition import grid_for, impose

    def leaves() -> Iterator[Leaf]:
        for tree, serial in zip(progress(trees), run_.serials, strict=True):
            sheet = run_.sheet(tree, serial)
            run_.kept.add(*[sheet.sheet] if sheet.sheet else [])
            yield from form_leaves(sheet)

    grid = grid_for(run_.layout.page, run_.layout.page)
    return impose(leaves(), grid, cut=False, two_sided=False), "one page each"


def _book(run_: _Run, options: argparse.Namespace, trees: list[Tree]) -> tuple[Iterator[Paper], str]:
    """A book to fold: two pages side by side, as many such spreads as the paper holds."""
    from ..collection.dates import day_told
    from ..paper.booklet import Content, blank, book_pages
    from ..paper.imposition import booklet_leaves, impose
    from .saying import announced_to

    plan, opened = run_.layout, run_.opened
    sheets = [run_.sheet(tree, serial) for tree, serial in zip(progress(trees), run_.serials, strict=True)]
    run_.kept.add(*(sheet.sheet for sheet in sheets if sheet.sheet))
    content = Content(
        trees,
        sheets,
        season_pages(opened, plan),
        opened.collection.settings,
        opened.knowledge,
        announced_to(opened, trees),
        day_told(opened.today),
    )
    pages = book_pages(content, plan)
    grid = page_grid(replace(plan, page=(2 * plan.page[0], plan.page[1])), options.output)
    papers = impose(booklet_leaves(pages, blank(plan)), grid, options.edge, shift=shift_of(options))
    thick = "" if len(pages) <= THICK_PAGES else ", which is thick to fold: print it in parts with --bench or --tag"
    return papers, f"a book of {len(pages)} pages, {counted(grid.count, 'spread')} up{thick}"


def _still_out(opened: Opened, ledger: printed.Ledger, trees: list[Tree]) -> list[str]:
    """How many sheets of these trees, printed in the last months, never came back; older ones are let be."""
    since = opened.today - timedelta(days=OUT_DAYS)
    typed = {e.source.split("/")[0] for tree in opened.collection.trees for e in tree.log if e.source}
    tags = {tree.tag for tree in trees}
    sheets = (sheet for sheet in ledger.sheets.values() if sheet.day >= since and set(sheet.tags) & tags)
    out = sum(sheet.serial not in typed for sheet in sheets)
    return [f"{counted(out, 'earlier sheet')} never came back and can still be typed in"] if out else []
