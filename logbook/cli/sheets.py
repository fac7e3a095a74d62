"""Print pocket record sheets: what a grower needs before starting on the front, pencil lines on the back.

Each sheet takes a serial that is kept in printed/, so that its lines can be typed back in. --draft prints without.

examples:
  benchleaf sheets -o sheets.pdf
  benchleaf sheets --season-card
  benchleaf sheets --tag 014 --tag 031 --layout pocket-quarter-letter
"""

from __future__ import annotations

import argparse
from typing import Any

from ..paper.layouts import Layout, layout
from ..paper.page import Page
from ..problems import Problem, counted, stop
from ..record import ledger as ledgers
from ..record.model import Tree
from ..record.writing import replace_file
from .common import (
    Opened,
    chosen,
    json_argument,
    left_out,
    must_be_writable,
    open_collection,
    output_arguments,
    today_argument,
    tree_arguments,
    watched,
    write_output,
)
from .results import Result

EDGES = ("long", "short")


def arguments(parser: argparse.ArgumentParser) -> None:
    tree_arguments(parser)
    output_arguments(parser, "sheets.pdf")
    parser.add_argument(
        "--edge", choices=EDGES, default="long", help="the edge the printer turns paper over (default: long)"
    )
    parser.add_argument(
        "--season-card", action="store_true", help="print the season's pocket card as well, on the first leaf"
    )
    parser.add_argument("--draft", action="store_true", help="no serial and no record: can't be typed in")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    from ..paper.imposition import impose
    from ..paper.pdf import render
    from ..paper.sheets import record_sheet

    opened, plan, trees = ready_to_print(options, "sheet", "pocket-a6", "pocket-quarter-letter")
    ledger = ledgers.load_ledger(opened.folder)
    serials = (
        [""] * len(trees)
        if options.draft
        else ledgers.draw_serials(len(trees), ledger, opened.today, [f"{t.tag} {t.digest}" for t in trees])
    )
    plans = opened.plans(trees)
    sheets = [
        record_sheet(p, opened.collection.settings, opened.knowledge, plan, s)
        for p, s in watched(list(zip(plans, serials, strict=True)), "drawing")
    ]
    leaves = [leaf for sheet in sheets for leaf in sheet.leaves]
    if options.season_card:
        leaves = [*_season_leaves(opened, plan), *leaves]
    grid = page_grid(plan)
    papers = impose(leaves, grid, options.edge)
    kept = [sheet.sheet for sheet in sheets if sheet.sheet]
    if not options.dry_run:
        record_run(opened, kept)
        write_output(
            options.output,
            render(papers, f"{opened.collection.settings.title}: record sheets", lambda p: watched(p, "printing")),
        )
    still_out = sum(1 for s in ledger.sheets.values() if set(s.tags) & {t.tag for t in trees})
    lines = [
        f"{counted(len(trees), 'record sheet')} on {counted(len(papers), 'page')}, {grid.count} up: "
        + (f"nothing written (--dry-run), would be {options.output}" if options.dry_run else str(options.output))
    ]
    lines += ["draft: no serials, the notes on it can't be typed in"] if options.draft else []
    lines += [f"print at 100 % ('actual size'), two-sided, turned over the {options.edge} edge"]
    lines += [f"{counted(still_out, 'earlier sheet')} of these trees can still be typed in"] if still_out else []
    boxed = boxed_characters(papers)
    problems, closing, code = left_out(opened)
    data: dict[str, Any] = {
        "file": str(options.output),
        "pages": len(papers),
        "sheets": [{"tag": t.tag, "serial": s} for t, s in zip(trees, serials, strict=True)],
    }
    return Result(code, tuple(lines), data, (*boxed, *problems), closing)


def _season_leaves(opened: Opened, plan: Layout) -> list[tuple[Page, Page | None]]:
    """The season card, its second page on the back of its first."""
    from ..paper.cards import season_card

    site = opened.site
    groups = [g for g in opened.knowledge.groups if g in {site.group_of(t) for t in opened.collection.living}]
    pages = season_card(site, opened.collection.settings, groups, plan, site.season_of(opened.today), opened.today)
    return [(pages[i], pages[i + 1] if i + 1 < len(pages) else None) for i in range(0, len(pages), 2)]


def ready_to_print(options: argparse.Namespace, kind: str, metric: str, us: str) -> tuple[Opened, Layout, list[Tree]]:
    """The collection, the layout and the trees a print is made from; what can't be written is told before the work."""
    opened = open_collection(options)
    if not options.dry_run:
        must_be_writable(options.output)
    return opened, sheet_layout(opened, options.layout, kind, metric, us), chosen(opened, options)


def sheet_layout(opened: Opened, name: str | None, kind: str, metric: str, us: str) -> Layout:
    """The layout asked for, or the default for the collection's units. Raises ProblemsFound for one of another kind."""
    found = layout(name or (us if opened.collection.settings.units.us else metric))
    if found.kind != kind:
        raise stop(f"'{found.name}' lays out a {found.kind}, not a {kind}", hint=f"for example: --layout {metric}")
    return found


def page_grid(plan: Layout) -> Any:
    from ..paper.imposition import grid_for

    grid = grid_for(plan.paper, plan.page, plan.gap, plan.edge_margin)
    if not grid.count:
        raise stop(
            f"not one page of {plan.page[0]:g} × {plan.page[1]:g} mm fits inside the paper's margin",
            path=plan.name,
            hint="choose larger paper or a smaller page",
        )
    return grid


def record_run(opened: Opened, sheets: list[ledgers.Sheet]) -> None:
    """Write the run down before its paper exists: a sheet without a record could never be typed in."""
    if sheets:
        replace_file(opened.folder / ledgers.FOLDER / ledgers.run_name(sheets), ledgers.run_text(sheets))


def boxed_characters(papers: Any) -> list[Problem]:
    """A warning naming the characters that no face holds."""
    from ..paper import type as setting
    from ..paper.page import Text

    texts = {i.text for paper in papers for placed in paper.placed for i in placed.page.items if isinstance(i, Text)}
    missing = sorted({c for text in texts if not text.isascii() for c in setting.missing(text)})
    if not missing:
        return []
    named = ", ".join(f"{c} (U+{ord(c):04X})" for c in missing[:8])
    return [
        Problem(
            f"printed as a box, since no font here has it: {named}",
            hint="use another character, or leave the box",
            severity="warning",
        )
    ]
