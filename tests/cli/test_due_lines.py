"""What `due` says to a grower: the dearest first, one line for a tree that was let be, care by work, wire in one row."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ..conftest import TODAY, Answer

Bench = Callable[..., Answer]


def table_of(out: str) -> list[str]:
    """The rows of the first table."""
    lines = out.splitlines()
    return lines[1 : next((n for n, line in enumerate(lines) if not line or "for over a year" in line), len(lines))]


def test_what_is_lost_by_waiting_stands_above_what_may_be_done(demo: Path, bench: Bench) -> None:
    open_now = [row for row in table_of(bench("due", "--today", TODAY, folder=demo).out) if " now " in row]
    optional = ["(as planned)" in row for row in open_now if "look" not in row]
    assert optional == sorted(optional) and True in optional and False in optional


def test_two_silent_years_are_one_screen(demo: Path, bench: Bench) -> None:
    """Nothing was typed for two years: a line a tree, wire first, no works that no one knows to be wanted."""
    told = bench("due", "--today", "2028-11-25", folder=demo).out
    rows = table_of(told)
    assert len(rows) <= 12 and rows[0].startswith("004") and "look at its wire" in rows[0]
    assert not any("overdue" in row for row in rows), "it does not scold"
    assert "11 trees not written of for over a year" in told
    assert "overdue" in bench("due", "--why", "004", "--today", "2028-11-25", folder=demo).out


def test_a_tree_that_is_new_is_planned(demo: Path, bench: Bench) -> None:
    """Nothing is written of it yet, but of others there is: its works stand in the list."""
    assert sum(row.startswith("006") for row in table_of(bench("due", "--today", TODAY, folder=demo).out)) > 3


def test_wire_is_one_row(demo: Path, bench: Bench) -> None:
    rows = [
        row
        for row in table_of(bench("due", "--today", TODAY, folder=demo).out)
        if "wire" in row and "wiring" not in row
    ]
    assert len(rows) == 1 and "wire check 1, 2, 3, off by 24 Aug 2027" in rows[0]


def test_care_is_told_by_work(demo: Path, bench: Bench) -> None:
    """Shelter, wash and the rest: a line each for all the trees that have it."""
    told = bench("due", "--today", TODAY, folder=demo).out
    care = told[told.index("\ncare ") :].split("\n\n")[0].strip().splitlines()[1:]
    names = [row.split("  ")[0] for row in care]
    assert "winter shelter" in names and len(names) == len(set(names))


def test_a_hold_is_said_once(demo: Path, bench: Bench) -> None:
    """Works that wait because the tree rests are not told one by one beside it."""
    lines = bench("due", "--today", TODAY, folder=demo).out.splitlines()
    resting = [line for line in lines if line.startswith("005  ")]
    assert sum("NO CUTTING" in line for line in resting) == 1 and not any("no repotting" in line for line in resting)


def test_what_kills_a_weak_tree_says_to_score_it_first(tmp_path: Path, bench: Bench) -> None:
    """Nothing is known of its strength, and there are no temperatures: it may be offered, but never without the word."""
    bench("start", "--latitude", "-38", tmp_path / "g")
    bench("add", "001", "--species", "Ficus microcarpa", folder=tmp_path / "g")
    rows = [
        row
        for row in table_of(bench("due", "--today", "2027-03-02", folder=tmp_path / "g").out)
        if "full defoliation" in row
    ]
    assert rows and all("rate vigour first" in row for row in rows)
