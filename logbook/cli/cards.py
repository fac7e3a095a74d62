"""Print pocket cards for a season, a session or an absence.

  season     the site's marks with their bands, frost, feeding, and a chart of the year
  wiring     for each branch with a diameter: the wire to take, the length to cut, turns; totals by size
  repotting  a table of the trees that are due, by their windows: pot, soil by litres, bags to buy
  minder     for whoever looks after the trees: one rule for all, which trees are otherwise, what not to do
  crib       how a note is typed and every word it may say of these trees, wire gauges, cautions
  display    a card to set beside a tree at a show: name, species, age, style
  review     a season looked back on: done, missed, wires, vigour over the years, trunks
  years      a tree's photographs, one year beside the next
  wall       the year of all trees on twelve fixed months, to hang on a wall; --by group: equal trees in one row
  roll       every tree with its picture, by bench; --value: what each is worth; --heirs: a first page of what must not wait
  ahead      what comes in the next five seasons, tree by tree
  scale      a page that shows whether the printer keeps its size

examples:
  benchleaf cards season -o season.pdf
  benchleaf cards wiring --metal copper --tag 001
  benchleaf cards repotting --bag 14
  benchleaf cards season wiring repotting -o bench.pdf
  benchleaf cards minder --from 2027-07-10 --to 2027-07-24
  benchleaf cards display --tag 004 --layout pocket-a7
  benchleaf cards review --season 2026 --layout dossier-a4
  benchleaf cards years --tag 004
  benchleaf cards wall -o wall.pdf
  benchleaf cards roll --heirs --value -o roll.pdf
  benchleaf cards ahead -o ahead.pdf
  benchleaf cards scale -o scale.pdf
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import field
from datetime import date, timedelta

from ..collection.model import Tree
from ..diagnostics import Problem, stop
from ..horticulture.work import Thing
from ..paper.imposition import Grid, Leaf
from ..paper.layouts import Layout
from ..paper.page import Page
from ..planning.lists.care_list import care_of
from ..storage.outputs import must_be_writable
from ..storage.printed import Record, load_ledger
from ..values import dataclass
from . import large_cards
from .common import (
    Opened,
    a_day,
    chosen,
    json_argument,
    left_out,
    today_argument,
    tree_arguments,
)
from .printing import (
    PaperData,
    Run,
    how_to_print,
    in_pairs,
    large_argument,
    page_grid,
    print_arguments,
    print_out,
    print_run,
    printed_size,
    record_arguments,
    season_pages,
    sheet_layout,
    shift_of,
    where_told,
)
from .results import Result
from .review import season_review

SHAPE = PaperData
AWAY_DAYS = 14
BAG_LITRES = 10.0


@dataclass(frozen=True, slots=True)
class Roll:
    """How the cards on whole pages are wanted: the roll's serial, how the wall's rows stand, for heirs, with what each is worth."""

    serial: str
    by: str
    heirs: bool
    worth: bool


@dataclass(frozen=True, slots=True)
class _Wish:
    """What a card is made for."""

    opened: Opened
    trees: list[Tree]
    layout: Layout
    metal: str
    bag: float
    span: tuple[date, date]
    season: int | None
    all_trees: bool
    roll: Roll
    problems: list[Problem] = field(default_factory=list)
    kept: Record = field(default_factory=Record)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument(
        "card",
        nargs="+",
        choices=("scale", *_CARDS),
        help="which card; several pocket cards share their sheets of paper",
    )
    tree_arguments(parser)
    parser.add_argument(
        "--metal", choices=("aluminium", "copper"), default="aluminium", help="wire metal (default: aluminium)"
    )
    parser.add_argument("--bag", type=_litres, default=BAG_LITRES, metavar="L", help="litres in a bag (default: 10)")
    parser.add_argument("--from", dest="first", type=a_day, metavar="DATE", help="minder: the first day away")
    parser.add_argument("--to", dest="last", type=a_day, metavar="DATE", help="minder: the last day away")
    parser.add_argument(
        "--season", type=int, metavar="YEAR", help="review: named by its spring (default: the last whole one)"
    )
    parser.add_argument(
        "--by", choices=("bench", "group"), default="bench", help="wall: how rows stand (default: bench)"
    )
    parser.add_argument(
        "--heirs", action="store_true", help="roll: begin with what somebody who comes after must know"
    )
    parser.add_argument("--value", action="store_true", help="roll: what each tree is worth, or a line for it")
    print_arguments(parser, "card.pdf")
    large_argument(parser)
    record_arguments(parser)
    json_argument(parser)
    today_argument(parser)


def _litres(text: str) -> float:
    try:
        litres = float(text)
    except ValueError:
        litres = 0.0
    if not 0.1 <= litres <= 2000:
        raise argparse.ArgumentTypeError(f"expected litres from 0.1 to 2000, found '{text}'")
    return litres


def run(options: argparse.Namespace) -> Result:
    """Draw the card that was asked for, and tell where it went; the roll goes on record, since its ticks are looks."""
    cards = list(dict.fromkeys(options.card))
    alone = next((card for card in cards if card in ("scale", *_LARGE)), "")
    if alone and len(cards) > 1:
        raise stop(f"'{alone}' fills pages of its own", hint="print it by itself; pocket cards share their paper")
    if options.large and alone == "scale":
        raise stop("the trial page has the size it has", hint="leave out --large")
    with print_run(options, recorded=alone == "roll" and not options.draft) as held:
        return _printed(held, options)


def _printed(held: Run, options: argparse.Namespace) -> Result:
    from ..paper.imposition import impose

    opened = held.opened
    if not options.dry_run:
        must_be_writable(options.output)
    wish = _wish(held, options)
    leaves, grid = _leaves(wish, options)
    cards, sided = ", ".join(dict.fromkeys(options.card)), options.card[0] not in _LARGE
    whole = not sided or options.card[0] == "scale"
    papers = impose(
        printed_size(leaves, wish.layout),
        grid,
        options.edge,
        cut=not whole,
        two_sided=sided,
        shift=shift_of(options),
    )
    tap = print_out(held, options, papers, f"{cards} card", wish.kept)
    problems, closing, code = left_out(opened)
    told = [f"type its ticks back under: sheet {serial}" for serial in wish.kept.serials]
    where = f"{cards} card: {where_told(options, tap)}"
    lines = (*held.told, where, *told, *how_to_print(options, two_sided=sided))
    return Result(code, lines, tap.data, (*tap.warnings, *wish.problems, *problems), closing)


def _wish(held: Run, options: argparse.Namespace) -> _Wish:
    """What is asked for. Raises ProblemsFound for days in the wrong order."""
    opened = held.opened
    first = options.first or opened.today
    last = options.last or first + timedelta(days=AWAY_DAYS)
    if last < first:
        raise stop(f"the last day away ({last}) is before the first ({first})", hint="give --from and --to in order")
    kinds, metric, us = _LAYOUTS.get(options.card[0], (("sheet", "dossier"), "pocket-a6", "pocket-quarter-letter"))
    serial = ""
    if options.card[0] == "roll":
        (serial,) = held.serials(1, load_ledger(opened.folder), options.seed)
    return _Wish(
        opened,
        chosen(opened, options, none_will_do=set(options.card) <= {"scale", "crib", "season"}),
        sheet_layout(opened, options, kinds, metric, us),
        options.metal,
        options.bag,
        (first, last),
        options.season,
        not (options.tag or options.bench),
        Roll(serial, options.by, options.heirs, options.value),
    )


def _leaves(wish: _Wish, options: argparse.Namespace) -> tuple[list[Leaf], Grid]:
    """The card's pages on leaves, and how they stand on paper."""
    from ..paper.imposition import grid_for
    from ..paper.printer_test import scale_page

    paper = wish.layout.paper
    if options.card[0] == "scale":
        return [(scale_page(paper), scale_page(paper, back=True))], grid_for(paper, paper)
    pages = [page for card in dict.fromkeys(options.card) for page in _CARDS[card](wish)]
    grid = page_grid(wish.layout, options.output)
    return [(page, None) for page in pages] if options.card[0] in _LARGE else in_pairs(pages), grid


def _season(wish: _Wish) -> list[Page]:
    return season_pages(wish.opened, wish.layout)


def _wiring(wish: _Wish) -> list[Page]:
    """Trees that may be wired now or soon; those asked for by tag in any case."""
    from ..paper.bench_cards import wiring_card
    from ..planning.lists.wire_list import totals, wire_for

    plans = [
        p for p in wish.opened.plans(wish.trees) if any(j.record and Thing.WIRE in j.record.puts for j in p.jobs)
    ]
    rows = [(plan.tree, laid) for plan in plans if (laid := wire_for(plan.tree, plan.state, wish.metal))]
    sums = totals(one for _, laid in rows for one in laid)
    units = wish.opened.collection.settings.units
    return wiring_card(rows, sums, units, wish.layout, wish.opened.today, wish.metal)


def _repotting(wish: _Wish) -> list[Page]:
    from ..paper.bench_cards import repotting_card
    from ..planning.lists.repotting_list import repottings, shopping

    opened = wish.opened
    limit = opened.today + timedelta(days=365)
    groups = {tree.tag: opened.garden.group_of(tree) for tree in opened.collection.trees}
    rows = repottings(opened.plans(wish.trees), opened.collection.trees, groups)
    rows = [row for row in rows if row.job.opens and row.job.opens <= limit]
    units = opened.collection.settings.units
    return repotting_card(rows, shopping(rows, wish.bag), units, wish.layout, opened.today, wish.bag)


def _minder(wish: _Wish) -> list[Page]:
    from ..paper.minder import Minded, minder_card, minders_care
    from ..planning.lists.watering import thirst_between

    opened, site = wish.opened, wish.opened.site
    minded = [
        Minded(
            plan.tree,
            thirst_between(plan.state, opened.garden.around(plan.tree, opened.today).site, *wish.span),
            plan.tree.indoors == "always"
            or (plan.tree.indoors == "winter" and not site.calendar.grows(wish.span[0])),
            tuple(minders_care(care_of(plan, wish.span[1]), wish.span, opened.wording)),
        )
        for plan in opened.plans(wish.trees)
    ]
    return minder_card(minded, wish.span, opened.knowledge, wish.layout, opened.collection.settings.title)


def _crib(wish: _Wish) -> list[Page]:
    """With the works of the trees that were chosen."""
    from ..paper.crib import crib_pages
    from .saying import announced_to

    return crib_pages(announced_to(wish.opened, wish.trees), wish.opened.knowledge, wish.layout)


def _display(wish: _Wish) -> list[Page]:
    from ..paper.dossier import display_card

    return [page for tree in wish.trees for page in display_card(tree, wish.layout, wish.opened.today.year)]


def _review(wish: _Wish) -> list[Page]:
    from ..paper.season_review import review_pages

    opened = wish.opened
    trees = list(opened.collection.trees) if wish.all_trees else wish.trees
    made = season_review(opened, trees, wish.season)
    settings = opened.collection.settings
    return review_pages(made, {t.tag: t for t in trees}, settings.units, wish.layout, settings.title)


def _years(wish: _Wish) -> list[Page]:
    """Trees with photos; those asked for by tag or bench in any case."""
    from ..paper.photos import photos_by_path
    from ..paper.season_review import dated_photos, years_pages

    collection, southern = wish.opened.collection, wish.opened.site.southern
    width = (wish.layout.room[0] - 2 * wish.layout.margin) / 2
    pages = []
    for tree in wish.trees:
        made, problems = photos_by_path(collection, tree, width)
        wish.problems.extend(problems)
        if made or not wish.all_trees:
            pages += years_pages(
                tree, dated_photos(tree, made, collection.settings.units), wish.layout, southern=southern
            )
    if not pages:
        raise stop("no tree has a photo on record", hint="log one: '14 oct photo photos/004-2026.jpg'")
    return pages


def _wall(wish: _Wish) -> list[Page]:
    return large_cards.wall(wish.opened, wish.trees, wish.layout, wish.roll.by)


def _roll(wish: _Wish) -> list[Page]:
    asked = wish.roll
    pages, sheet, problems = large_cards.the_roll(
        wish.opened, wish.trees, wish.layout, asked.serial, worth=asked.worth, heirs=asked.heirs
    )
    wish.problems.extend(problems)
    wish.kept.add(*[sheet.enlarged(wish.layout.times)] if sheet else [])
    return pages


def _ahead(wish: _Wish) -> list[Page]:
    return large_cards.years_ahead(wish.opened, wish.trees, wish.layout)


_LARGE = ("wall", "roll", "ahead")  # one page a side of paper
_LAYOUTS = {
    "wall": (("wall",), "wall-a4", "wall-letter"),
    "roll": (("dossier", "walk"), "dossier-a4", "dossier-letter"),
    "ahead": (("dossier", "sheet"), "dossier-a4", "dossier-letter"),
}
_CARDS: dict[str, Callable[[_Wish], list[Page]]] = {
    "season": _season,
    "wiring": _wiring,
    "repotting": _repotting,
    "minder": _minder,
    "display": _display,
    "crib": _crib,
    "review": _review,
    "years": _years,
    "wall": _wall,
    "roll": _roll,
    "ahead": _ahead,
}
