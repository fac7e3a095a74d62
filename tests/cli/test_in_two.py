"""Two processes give what one gives, and whatever becomes of the other one."""

from __future__ import annotations

import json
import os
import signal
import time
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
    hands = in_two(ITEMS, by_whom(0.001, 0.001))
    assert hands[0] == os.getpid() and len(set(hands)) == (2 if hasattr(os, "fork") else 1)


def by_whom(here: float, there: float) -> Callable[[int], int]:
    """Work of so many seconds in this process and in the other one, and who did it."""
    parent = os.getpid()

    def work(_: int) -> int:
        time.sleep(here if os.getpid() == parent else there)
        return os.getpid()

    return work


@pytest.mark.parametrize(("here", "there", "done_there"), [(0.002, 0.02, (1, 60)), (0.01, 0.0005, (60, 80))])
def test_the_quicker_one_does_more_and_the_other_never_too_much(
    here: float, there: float, done_there: tuple[int, int]
) -> None:
    """A core that is somebody else's too is given less; what comes back from the other process takes time, so it does half at most."""
    if not hasattr(os, "fork"):
        pytest.skip("one process")
    hands = in_two(ITEMS[:FEWEST], by_whom(here, there))
    least, most = done_there
    assert least <= sum(hand != os.getpid() for hand in hands) <= most


def test_each_item_is_done_once(tmp_path: Path) -> None:
    def work(n: int) -> int:
        time.sleep(0.0005)
        with (tmp_path / str(os.getpid())).open("a") as file:
            file.write(f"{n}\n")
        return n

    for count in (FEWEST, FEWEST + 1, 251, 252, 499, 502):
        assert in_two(range(count), work) == list(range(count))
        done = [int(n) for path in tmp_path.iterdir() for n in path.read_text().split()]
        assert sorted(done) == list(range(count))
        for path in tmp_path.iterdir():
            path.unlink()


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


def test_after_a_fault_the_other_goes_on_with_nothing(tmp_path: Path) -> None:
    parent = os.getpid()

    def work(n: int) -> None:
        if n and os.getpid() == parent:
            raise OSError("the disk is full")
        time.sleep(0.01)
        (tmp_path / str(n)).touch()

    before = children()
    with pytest.raises(OSError, match="full"):
        in_two(ITEMS, work)
    assert len(list(tmp_path.iterdir())) < 20 and children() <= before


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
