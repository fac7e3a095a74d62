"""Two processes give what one gives, and whatever becomes of the other one."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.cli import in_two as module
from logbook.cli.in_two import FEWEST, in_two

from ..conftest import Answer

ITEMS = list(range(FEWEST + 51))
PARENT = os.getpid()


@pytest.fixture(autouse=True)
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a machine that has two, whatever this one has and whoever runs the test."""
    monkeypatch.setattr(module, "_can_fork", lambda: hasattr(os, "fork"))


def test_the_same_in_the_same_order() -> None:
    made = in_two(ITEMS, lambda n: {"n": n, "text": f"木 {n}", "none": None, "half": n / 2, "list": [n, [True]]})
    assert [one["n"] for one in made] == ITEMS and made[-1]["text"] == f"木 {ITEMS[-1]}"


def test_both_did_their_share() -> None:
    hands = in_two(ITEMS, lambda _: os.getpid())
    assert hands[0] == os.getpid() and len(set(hands)) == (2 if hasattr(os, "fork") else 1)


def children() -> set[str]:
    """The processes that this one started and has not seen the end of, as Linux tells them (proc(5))."""
    told = [path.read_text() for path in Path("/proc/self/task").glob("*/children")]
    return {pid for row in told for pid in row.split()}


def dies(n: int) -> int:
    if os.getpid() != PARENT and n == ITEMS[-1]:
        os.kill(os.getpid(), signal.SIGKILL)
    return n


def raises(n: int) -> int:
    if os.getpid() != PARENT:
        raise MemoryError
    return n


@pytest.mark.parametrize("data_of", [dies, raises, lambda n: object() if os.getpid() != PARENT else n])
def test_what_the_other_did_not_do_is_done_here(
    data_of: Callable[[int], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(globals(), "PARENT", os.getpid())
    before = children()
    assert in_two(ITEMS, data_of) == ITEMS
    assert children() <= before, "none is left behind"


def test_a_fault_of_the_work_itself_is_raised_here() -> None:
    def wrong(n: int) -> int:
        return n // (n - ITEMS[-1])

    with pytest.raises(ZeroDivisionError):
        in_two(ITEMS, wrong)


def test_due_tells_the_same(tmp_path: Path, bench: Callable[..., Answer], monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "g"
    bench("start", folder, "--latitude", "47.9", "--january", "-3", "4", "--july", "15", "27")
    for n in range(FEWEST + 5):
        species = ("Acer palmatum", "Pinus thunbergii", "Ulmus parvifolia")[n % 3]
        text = f'tag: "{n:03d}"\nspecies: {species}\nlog:\n  - {{date: 20{18 + n % 8}-04-01, work: repotting, vigour: {n % 3 + 3}}}\n'
        (folder / "trees" / f"{n:03d}.yaml").write_text(text, encoding="utf-8")
    (folder / "trees" / "007.yaml").write_text('tag: "007"\nspecies: Acer palmatun\nlog: []\n', encoding="utf-8")
    (folder / "trees" / "150.yaml").write_text('tag: "150"\nspecies: [\n', encoding="utf-8")
    together = bench("due", "--json", "--today", "2026-11-25", folder=folder)
    monkeypatch.setattr(module, "FEWEST", 10_000)
    alone = bench("due", "--json", "--today", "2026-11-25", folder=folder)
    assert together.code == alone.code == 1 and together.out == alone.out and together.err == alone.err
    told = json.loads(alone.out)
    assert len(told["trees"]) == FEWEST + 3 and len(told["problems"]) >= 2
