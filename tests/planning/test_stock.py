"""A garden's yearly account: before + came − left = after, whatever the logs hold."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.dates import on_day, read_when
from logbook.collection.fields import ENDINGS
from logbook.collection.model import Ended, Entry, Found, Origin, Tree
from logbook.planning.lists.stock import came_on, stock_on, value_of

from ..conftest import Answer

days = st.dates(date(2015, 1, 1), date(2032, 12, 31))
whens = st.one_of(
    days.map(on_day),
    days.map(lambda day: read_when(f"{day:%Y-%m}")),
    days.map(lambda day: read_when(f"{day:%Y}~")),
)


@st.composite
def entries(draw: st.DrawFn) -> Entry:
    """An entry of a random log: anything that may tell when a tree came, partial days among them."""
    acquired = draw(st.one_of(st.none(), whens))
    kind = draw(st.sampled_from(["note", "found", "came over", "new", "merged"]))
    found = Found(acquired=acquired) if kind in ("found", "came over") else None
    sources = ("handover 0123456789abcdef",) if kind == "came over" else ()
    new = ("101",) if kind == "new" else ()
    return Entry(draw(whens), found=found, sources=sources, new=new, note="n" if kind == "note" else "")


@st.composite
def trees(draw: st.DrawFn) -> list[Tree]:
    made = []
    for n in range(draw(st.integers(0, 12))):
        log = tuple(draw(st.lists(entries(), max_size=6)))  # in no order: growers type late
        began = draw(st.one_of(st.none(), whens))
        ended = draw(st.one_of(st.none(), whens))
        how = draw(st.sampled_from(ENDINGS))
        made.append(
            Tree(
                f"{n:03d}",
                log,
                origin=Origin("bought", began) if began else None,
                ended=Ended(ended, how) if ended else None,
            )
        )
    return made


@given(trees(), days)
def test_the_account_balances(some: list[Tree], last: date) -> None:
    stock = stock_on(some, last)
    left = sum(map(len, stock.left.values()))
    assert len(stock.before) + len(stock.came) - left == len(stock.after)
    standing = {tree.tag for tree in stock.after}
    assert all(tree.ended is None or tree.ended.date.latest > last for tree in stock.after)
    known = [tree for tree in some if came_on(tree) <= last]
    assert {tree.tag for tree in stock.after} == {
        tree.tag for tree in known if tree.ended is None or tree.ended.date.latest > last
    }, "what stands is what came and has not left, be the year before as it may"
    assert not standing & {tree.tag for left in stock.left.values() for tree in left}


@given(trees(), days)
def test_a_years_end_is_the_next_ones_beginning(some: list[Tree], last: date) -> None:
    later = stock_on(some, last.replace(year=last.year + 1, day=min(last.day, 28)))
    before = {tree.tag for tree in stock_on(some, later.first.fromordinal(later.first.toordinal() - 1)).after}
    assert {tree.tag for tree in later.before} == before


@pytest.mark.parametrize(
    ("text", "number"),
    [("250", 250.0), ("€ 1,200", 1200.0), ("1.200,50 EUR", 1200.5), ("$30.5", 30.5), ("a gift", None), ("", None)],
)
def test_values_as_they_are_written(text: str, number: float | None) -> None:
    assert value_of([Tree("1", (), value=text)]) == ((number, 0) if number is not None else (0, 1))


def test_the_verb(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    told = bench("review", "--stock", "2026-12-31", "--csv", tmp_path / "s.csv", "--today", "2027-01-10", folder=demo)
    assert told.code == 0 and "stock on 31 Dec 2026, from 1 Jan 2026" in told.out and "stand " in told.out
    data = json.loads(bench("review", "--stock", "2026-12-31", "--json", "--today", "2027-01-10", folder=demo).out)[
        "stock"
    ]
    gone = sum(map(len, data["left"].values()))
    assert len(data["before"]) + len(data["came"]) - gone == len(data["after"])
    rows = list(csv.DictReader((tmp_path / "s.csv").open(encoding="utf-8")))
    assert [row["tag"] for row in rows] == data["after"]
