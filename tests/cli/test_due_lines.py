"""What `due` says to a grower: the dearest first, one line for a tree that was let be, care by work, wire in one row."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from logbook.cli.common import open_collection
from logbook.cli.due_lines import due_lines, plain_lines
from logbook.cli.results import fitted_table, painted
from logbook.planning.lists.due_rows import GROUPS, Shown, listed

from ..conftest import TODAY, Answer

Bench = Callable[..., Answer]
HEADS = ("tag", "name", "work", "when")


def groups_of(out: str) -> dict[str, list[str]]:
    """The rows under each heading."""
    found: dict[str, list[str]] = {}
    for line in out.split("\n\n")[0].splitlines()[1:]:
        if line.startswith("Later: ") or "for over a year" in line:
            break
        if line in GROUPS:
            found[line] = []
        else:
            found[list(found)[-1]].append(line)
    return found


def rows_of(out: str) -> list[str]:
    return [row for rows in groups_of(out).values() for row in rows]


def test_what_is_open_is_parted_from_what_comes(demo: Path, bench: Bench) -> None:
    """By default no work that only may be done, and of what is later only how much; --all tells both."""
    told = bench("due", "--today", TODAY, folder=demo).out
    groups = groups_of(told)
    assert list(groups) == ["First", "Open", "Next 30 days"] and "(only if you mean to)" not in told
    assert all("now, until" in row for row in groups["Open"]) and all(
        "from " in row for row in groups["Next 30 days"]
    )
    more = bench("due", "--all", "--today", TODAY, folder=demo).out
    assert "(only if you mean to)" in more and "Later" in groups_of(more)
    left = next(line for line in told.splitlines() if line.startswith("Later: "))
    assert int(left.split()[1]) <= len(groups_of(more)["Later"])


def test_one_visit_is_one_row(demo: Path, bench: Bench) -> None:
    rows = groups_of(bench("due", "--today", TODAY, folder=demo).out)["Open"]
    assert [row for row in rows if row.startswith("001")] == [
        row for row in rows if "needle thinning, shoot sel" in row
    ]


def test_trees_are_asked_for_by_tag_number_or_name(demo: Path, bench: Bench) -> None:
    tags = {row.split()[0] for row in rows_of(bench("due", "1", "008", "slow w", "--today", TODAY, folder=demo).out)}
    assert tags == {"001", "004", "008"}
    unknown = bench("due", "nobody", folder=demo)
    assert unknown.code == 1 and "there is no tree nobody" in unknown.err


def test_a_voice_hears_one_sentence_a_job(demo: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    plain = bench("due", "--plain", "--today", TODAY, folder=demo).out
    assert "001 Ferryman: needle thinning, now, until 1 Mar 2027.\n" in plain
    assert all(line.endswith(".") and "  " not in line for line in plain.splitlines())
    assert "005 Mill House: NO CUTTING" in plain
    monkeypatch.setenv("TERM", "dumb")
    assert bench("due", "--today", TODAY, folder=demo).out == plain


def test_a_terminal_gets_its_width_and_its_colours(monkeypatch: pytest.MonkeyPatch) -> None:
    """Names are cut before anything else; NO_COLOR (https://no-color.org) is heeded."""
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    monkeypatch.setattr("shutil.get_terminal_size", lambda: os.terminal_size((60, 24)))
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    rows = fitted_table([["007", "The Old Satsuki from the Ropewalk", "repotting", "until 11 Jul"]], HEADS, shrink=1)
    assert max(map(len, rows)) <= 60 and "The Old Satsuki" in rows[1] and "…" in rows[1]
    assert painted("First", "bold") == "\x1b[1mFirst\x1b[0m"
    monkeypatch.setenv("NO_COLOR", "1")
    assert painted("First", "bold") == "First"


def test_two_silent_years_are_one_screen(demo: Path, bench: Bench) -> None:
    """Nothing was typed for two years: a line a tree, wire first, no works that no one knows to be wanted."""
    told = bench("due", "--today", "2028-11-25", folder=demo).out
    rows = told.split("\n\n")[0].splitlines()[1:]
    assert len(rows) <= 12 and rows[0].startswith("004") and "look at its wire" in rows[0]
    assert not any("overdue" in row for row in rows), "it does not scold"
    assert "11 trees not written of for over a year" in told
    assert "overdue" in bench("due", "--why", "004", "--today", "2028-11-25", folder=demo).out
    asks = ("pruning", "trimming", "pinching", "candle", "wiring", "selection", "thinning", "defoliation")
    assert not any(word in row.partition("look")[2] for row in rows for word in asks), (
        "nobody knows whether it is strong"
    )


def test_a_tree_that_is_new_is_planned(demo: Path, bench: Bench) -> None:
    """Nothing is written of it yet, but of others there is: its works stand in the list."""
    assert sum(row.startswith("006") for row in rows_of(bench("due", "--all", "--today", TODAY, folder=demo).out)) > 3


def test_wire_is_one_row(demo: Path, bench: Bench) -> None:
    rows = [
        row
        for row in rows_of(bench("due", "--all", "--today", TODAY, folder=demo).out)
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
        for row in rows_of(bench("due", "--all", "--today", "2027-03-02", folder=tmp_path / "g").out)
        if "full defoliation" in row
    ]
    assert rows and all("rate vigour first" in row for row in rows)


@pytest.mark.parametrize("today", ["2026-03-10", "2026-06-20", "2026-10-14", "2027-12-01"])
def test_lists_tell_of_lean_plans_what_they_tell_of_whole_ones(demo: Path, today: str) -> None:
    """What a plan is stripped of to hold many of them, no list says: nothing is lost by it on any day of the year."""
    opened = open_collection(argparse.Namespace(folder=str(demo), today=date.fromisoformat(today)))
    plans = opened.plans(opened.collection.living)
    lean = [listed(plan) for plan in plans]
    for shown in (Shown(opened.today + timedelta(days=370)), Shown(date.max, later=True, optional=True)):
        for lines in (due_lines, plain_lines):
            assert lines(lean, shown, opened.wording) == lines(plans, shown, opened.wording)
    assert any(plan.state.entries for plan in plans) and not any(plan.state.entries for plan in lean)


def test_a_tree_nobody_wrote_of_still_has_the_night_that_kills_it(tmp_path: Path, bench: Bench) -> None:
    """Common practice, no source: a fig is in before the nights are cold, whether somebody kept its record or not."""
    folder = tmp_path / "g"
    bench("start", folder, "--latitude", "47.9", "--january", "-3", "4", "--july", "15", "27")
    text = 'tag: "501"\nspecies: Ficus microcarpa\nlog:\n  - {date: 2026-06-10, work: repotting, roots: light}\n'
    (folder / "trees" / "501.yaml").write_text(text, encoding="utf-8")
    for more in ((), ("--all",), ("501",)):
        out = bench("due", *more, "--today", "2027-09-20", folder=folder).out
        assert "not written of for over a year" in out
        shelter = next(line for line in out.splitlines() if line.startswith("winter shelter"))
        assert "501" in shelter and "now" in shelter
        assert "then repotting from" in out and "2028" in out, "no word reads as if it were to be potted now"
    spoken = bench("due", "--plain", "--today", "2027-09-20", folder=folder).out
    assert "winter shelter" in spoken
