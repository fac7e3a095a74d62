"""One measure of many trees, year beside year.

examples:
  benchleaf compare trunk
  benchleaf compare tips --bench east
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from typing import TypedDict

from ..collection.entry_text import MEASURES
from ..collection.model import Tree
from ..collection.units import Units
from ..planning.tree_state import State, state_of
from .common import Opened, chosen, json_argument, left_out, open_collection, today_argument, tree_arguments
from .results import Result, table

MOST_YEARS = 8


class CompareData(TypedDict):
    """One measure of many trees: mm (tips and vigour plain numbers) by tag and year."""

    measure: str
    trees: dict[str, dict[str, float]]


SHAPE = CompareData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("measure", choices=(*MEASURES, "vigour"), help="what to compare")
    tree_arguments(parser)
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """A table of the measure, a row a tree and a column a year."""
    opened = open_collection(options)
    found, names = _readings(opened, chosen(opened, options), options.measure)
    columns = sorted({year for years in found.values() for year in years})[-MOST_YEARS:]
    told = _way_to_tell(options.measure, opened.units)
    rows = [[tag, names[tag], *(told(years.get(year)) for year in columns)] for tag, years in found.items()]
    lines = table(rows, ["tag", "name", *map(str, columns)]) if rows else [f"no {options.measure} is on record"]
    problems, closing, code = left_out(opened)
    return Result(code, tuple(lines), _data(options.measure, found), problems, closing)


def _readings(
    opened: Opened, trees: Sequence[Tree], measure: str
) -> tuple[dict[str, dict[int, float]], dict[str, str]]:
    """By tag, the measure by year, and the names of the trees that have any."""
    found: dict[str, dict[int, float]] = {}
    names: dict[str, str] = {}
    for tree in trees:
        years = _by_year(state_of(tree, opened.garden, opened.today), measure)
        if years:
            found[tree.tag], names[tree.tag] = years, tree.name
    return found, names


def _by_year(state: State, measure: str) -> dict[int, float]:
    """The last reading of each year."""
    if measure == "vigour":
        return {e.date.earliest.year: float(e.vigour) for e in state.entries if e.vigour}
    return {r.day.year: r.value for r in state.readings.get(measure, ())}


def _way_to_tell(measure: str, units: Units) -> Callable[[float | None], str]:
    """How a cell of the table is written: tips and vigour are plain numbers, the rest are lengths."""
    said: Callable[[float], str] = "{:.0f}".format if measure in ("tips", "vigour") else units.length_told
    return lambda value: "" if value is None else said(value)


def _data(measure: str, found: dict[str, dict[int, float]]) -> CompareData:
    return {"measure": measure, "trees": {t: {str(y): v for y, v in years.items()} for t, years in found.items()}}
