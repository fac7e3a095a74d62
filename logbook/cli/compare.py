"""One measure of many trees, year beside year.

examples:
  benchleaf compare trunk
  benchleaf compare tips --bench east
"""

from __future__ import annotations

import argparse
from typing import TypedDict

from ..collection.entry_text import MEASURES
from ..planning.tree_state import state_of
from .common import chosen, json_argument, left_out, open_collection, today_argument, tree_arguments
from .results import Result, table

MOST_YEARS = 8


class CompareData(TypedDict):
    """One measure of many trees: mm (tips and vigour plain numbers) by tag and year."""

    measure: str
    trees: dict[str, dict[str, float]]


SHAPE = CompareData


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("measure", choices=(*MEASURES, "vigour"), help="what to compare")
    tree_arguments(parser)
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    opened = open_collection(options)
    units = opened.collection.settings.units
    found: dict[str, dict[int, float]] = {}
    names: dict[str, str] = {}
    for tree in chosen(opened, options):
        state = state_of(tree, opened.garden, opened.today)
        if options.measure == "vigour":
            years = {e.date.earliest.year: float(e.vigour) for e in state.entries if e.vigour}
        else:
            years = {r.day.year: r.value for r in state.readings.get(options.measure, ())}
        if years:
            found[tree.tag], names[tree.tag] = years, tree.name
    columns = sorted({year for years in found.values() for year in years})[-MOST_YEARS:]
    plain = options.measure in ("tips", "vigour")

    def cell(value: float | None) -> str:
        return "" if value is None else f"{value:.0f}" if plain else units.length_told(value)

    rows = [[tag, names[tag], *(cell(years.get(year)) for year in columns)] for tag, years in found.items()]
    lines = table(rows, ["tag", "name", *map(str, columns)]) if rows else [f"no {options.measure} is on record"]
    problems, closing, code = left_out(opened)
    return Result(code, tuple(lines), _data(options.measure, found), problems, closing)


def _data(measure: str, found: dict[str, dict[int, float]]) -> CompareData:
    return {"measure": measure, "trees": {t: {str(y): v for y, v in years.items()} for t, years in found.items()}}
