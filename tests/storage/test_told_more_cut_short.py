"""What is told more of an entry that stands, stopped at every step and given again; and taken back in the same way.

A tick was typed yesterday and its line today, or the other way round: the first change of such a run is one inside an entry.
"""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
import yaml

from logbook.collection.amending import stands
from logbook.intake import archive, line_status
from logbook.intake.grammar.readings import Reading
from logbook.intake.plan_items import Item, Plan
from logbook.intake.service import carry_out, take_back
from logbook.storage.disk import RealDisk
from logbook.storage.journal import KEPT, unfinished
from logbook.storage.printed import Offered, Sheet, run_text
from logbook.storage.store import Store

from ..conftest import make_collection, snapshot
from .failing_disk import KINDS, FailingDisk, Killed, StrikingDisk, survived
from .test_verbs_at_once import at_once
from .test_verbs_cut_short import STRIKES, copied, points_of, saves_at, without
from .test_verbs_cut_short import state as all_state
from .verbs import Said, call, disk_of

TODAY = date(2026, 11, 20)
DAY = ["--yes", "--today", TODAY.isoformat()]
FLOW = 'tag: "{0}"\nspecies: Acer palmatum   # mine\nbranches: [{{id: 1}}, {{id: 2}}]\nlog:\n  - {{date: 2026-01-10, found: {{stage: ramification, vigour: 4}}}}  # mine\n'
BLOCK = 'tag: "{0}"\nspecies: Acer palmatum   # mine\nbranches: [{{id: 1}}, {{id: 2}}]\nlog:\n- date: 2026-01-10\n  found: {{stage: ramification, vigour: 4}}\n  # mine\n'
TICKED = "sheet 00142-4\nC 14 oct\nD 14 oct\n"
JOBS = {"C": "repotting", "D": "feeding"}


def _record() -> str:
    sheets = []
    for serial, tag in (("00142-4", "001"), ("00143-2", "002")):
        offered = tuple(Offered(mark, tag, work) for mark, work in JOBS.items())
        lines = {str(n): tag for n in range(1, 29)}
        sheets.append(Sheet(serial, date(2026, 10, 1), "pocket-a6", 1, "metric", (tag,), lines, offered))
    return run_text(sheets)


@dataclass(frozen=True)
class Case:
    """What was typed yesterday, and what today."""

    before: str
    now: str
    tree: str = FLOW


CASES = {
    "a line to a tick": Case(TICKED, "sheet 00142-4\n1 14 oct repotted, roots light, mix 2 akadama 1 pumice\n"),
    "a line of no sheet": Case(TICKED, "tree 001\n14 oct repotted roots light; moss gone\n"),
    "two lines to two ticks": Case(
        TICKED, "sheet 00142-4\n1 14 oct repotted roots light\n2 14 oct fed 6-6-6, 10 min\n", BLOCK
    ),
    "two lines to one tick": Case(TICKED, "tree 001\n14 oct repotted roots light, third time lucky\n14 oct repotted 40 min with a helper\n"),
    "a tick to a line": Case("sheet 00142-4\n1 14 oct repotted roots light\n", "sheet 00142-4\nC 14 oct\n"),
    "with an entry and a question": Case(
        TICKED, "sheet 00142-4\n1 14 oct repotted roots light\n2 15 oct trunk 38\n3 16 oct wire off 7\n4 20 oct leaf fall\n"
    ),
    "in two files": Case(
        TICKED + "sheet 00143-2\nC 14 oct\n",
        "sheet 00143-2\n1 14 oct repotted roots light\nsheet 00142-4\n1 14 oct repotted roots hard; pot cracked\n",
        BLOCK,
    ),
}  # fmt: skip


def a_home(home: Path, case: Case) -> Path:
    """A collection `c` as it is after what was typed yesterday; what is to be typed lies beside it."""
    folder = make_collection(home / "c", {tag: case.tree.format(tag) for tag in ("001", "002")})
    (folder / "printed").mkdir()
    (folder / "printed" / "a.json").write_text(_record(), encoding="utf-8")
    for name, text in (("before", case.before), ("now", case.now)):
        (home / f"{name}.txt").write_text(text, encoding="utf-8")
    said = call("-C", str(folder), "reconcile", str(home / "before.txt"), *DAY)
    assert said.code == 0, said
    return home


def tell(home: Path) -> Said:
    return call("-C", str(home / "c"), "reconcile", str(home / "now.txt"), *DAY)


def undo(home: Path) -> Said:
    return call("-C", str(home / "c"), "undo", *DAY)


@pytest.fixture(scope="module", params=CASES)
def begun(request: pytest.FixtureRequest) -> Iterator[tuple[Case, Path]]:
    outer = Path(tempfile.mkdtemp(prefix="told-"))
    case = CASES[request.param]
    yield case, a_home(outer / "h", case)
    shutil.rmtree(outer)


def state(home: Path) -> dict[str, bytes]:
    """Of the list of what waits, what it comes to; once there was one it says that nothing waits."""
    now, found = (home / "now.txt").read_bytes(), all_state(home)
    half = {p for p, d in found.items() if ".journal/kept/" in p and now.startswith(d)}
    return {p: d for p, d in found.items() if p not in half and not p.endswith("notes/waiting.txt")}


def struck(
    run: Callable[[], Said], at: int, strike: Callable[[], None], *, once: bool = False
) -> tuple[Said | None, int]:
    StrikingDisk.reset(at, strike)
    with disk_of(StrikingDisk):
        try:
            said = run()
        except Killed:
            said = None
    return said, StrikingDisk.changes if once else StrikingDisk.points


def logs(home: Path) -> list[object]:
    return [yaml.safe_load(p.read_text("utf-8"))["log"] for p in sorted((home / "c/trees").glob("*.yaml"))]


def check_told(begun: Path, tmp_path: Path, *, whole: bool) -> None:
    home = copied(begun, tmp_path / "h")
    said, length = struck(lambda: tell(home), -1, lambda: None)
    assert said is not None and said.code in (0, 3), said
    ended, number = state(home), [len(log) for log in logs(begun)]  # type: ignore[arg-type]
    assert snapshot(home / "c/trees") != snapshot(begun / "c/trees"), "something is told"
    assert all(now - was <= 2 for now, was in zip([len(log) for log in logs(home)], number, strict=True))  # type: ignore[arg-type]
    for at in points_of(length, whole):
        for name, strike in STRIKES.items():
            home = copied(begun, tmp_path / "h")
            said, _ = struck(lambda: tell(home), at, strike)  # noqa: B023 - called at once
            if said is None or said.code == 1:
                said = tell(home)
                assert said.code in (0, 3), (at, name, said)
            batches = name == "killed"
            assert without(batches, state(home)) == without(batches, ended), (at, name)


def check_taken_back(begun: Path, tmp_path: Path, *, whole: bool) -> None:
    ready = copied(begun, tmp_path / "ready")
    assert tell(ready).code in (0, 3)
    home = copied(ready, tmp_path / "h")
    said, length = struck(lambda: undo(home), -1, lambda: None, once=True)
    assert said is not None and said.code == 0, said
    assert snapshot(home / "c/trees") == snapshot(begun / "c/trees"), "not a byte is left of it"
    ended = state(home)
    for at in points_of(length, whole):
        for name, strike in STRIKES.items():
            home = copied(ready, tmp_path / "h")
            said, _ = struck(lambda: undo(home), at, strike, once=True)  # noqa: B023
            if said is None or said.code == 1:
                said = undo(home)
                assert said.code == 0, (at, name, said)
            batches = name == "killed"
            assert without(batches, state(home)) == without(batches, ended), (at, name)
    assert tell(home).code in (0, 3)
    assert snapshot(home / "c/trees") == snapshot(ready / "c/trees"), "typed again, it is there again"


def check_beside_an_editor(begun: Path, tmp_path: Path, run: Callable[[Path], Said], *, whole: bool) -> None:
    home = copied(begun, tmp_path / "h")
    _, length = struck(lambda: run(home), -1, lambda: None)
    wanted = (home / "c/trees/001.yaml").read_text("utf-8")
    for at in points_of(length, whole):
        home = copied(begun, tmp_path / "h")
        said, _ = struck(lambda: run(home), at, saves_at(home, "trees/001.yaml", "# by hand\n"))  # noqa: B023
        assert said is not None and said.code in (0, 3), (at, said)
        text = (home / "c/trees/001.yaml").read_text("utf-8")
        assert sorted(text.splitlines()) == sorted([*wanted.splitlines(), "# by hand"]), at
        assert not [p for p in (home / "c").rglob(".*") if p.suffix in (".part", ".draft", ".old")]


def test_told_more_stopped_and_given_again(begun: tuple[Case, Path], tmp_path: Path) -> None:
    check_told(begun[1], tmp_path, whole=False)


def test_taken_back_stopped_and_given_again(begun: tuple[Case, Path], tmp_path: Path) -> None:
    check_taken_back(begun[1], tmp_path, whole=False)


def test_what_an_editor_saves_meanwhile_stays(begun: tuple[Case, Path], tmp_path: Path) -> None:
    check_beside_an_editor(begun[1], tmp_path, tell, whole=False)


@pytest.mark.soak
def test_told_more_stopped_at_every_step(begun: tuple[Case, Path], tmp_path: Path) -> None:
    check_told(begun[1], tmp_path, whole=True)


@pytest.mark.soak
def test_taken_back_stopped_at_every_step(begun: tuple[Case, Path], tmp_path: Path) -> None:
    check_taken_back(begun[1], tmp_path, whole=True)


@pytest.mark.soak
def test_what_an_editor_saves_at_any_step_stays(begun: tuple[Case, Path], tmp_path: Path) -> None:
    check_beside_an_editor(begun[1], tmp_path, tell, whole=True)
    ready = copied(begun[1], tmp_path / "ready")
    tell(ready)
    check_beside_an_editor(ready, tmp_path, undo, whole=True)


# -- two at once, and processes that are killed -------------------------------------------------------------------------

RUNS = {
    "told": ["reconcile", "{home}/now.txt", *DAY],
    "told otherwise": ["reconcile", "{home}/other.txt", *DAY],
    "undo": ["undo", *DAY],
    "ended": ["end", "002", "--how", "died", "--today", "2026-11-20"],
}
OTHER = "tree 001\n14 oct repotted 90 min, pot oval 300x200x60\n15 oct moss gone\n"


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = a_home(tmp_path_factory.mktemp("one") / "h", CASES["a line to a tick"])
    (home / "other.txt").write_text(OTHER, encoding="utf-8")
    return home


def words_of(home: Path, run: str) -> list[str]:
    return ["-C", str(home / "c"), *(word.replace("{home}", str(home)) for word in RUNS[run])]


def files(home: Path) -> dict[str, bytes]:
    return {p: d for p, d in snapshot(home).items() if not p.endswith(".lock")}


def check_pair(one: Path, tmp_path: Path, pair: tuple[str, str], rounds: int) -> None:
    orders = []
    for order in (pair, pair[::-1]):
        home = copied(one, tmp_path / "h")
        assert all(call(*words_of(home, run)).code == 0 for run in order)
        orders.append(files(home))
    for seed in range(rounds):
        home = copied(one, tmp_path / "h")
        answers = at_once([words_of(home, run) for run in pair], seed)
        assert all(code == 0 for code, _ in answers), answers
        assert files(home) in orders, (pair, seed, answers)


FORKS = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here: two runs can't be started at one instant")
PAIRS = [("told", "told"), ("told", "told otherwise"), ("told", "undo"), ("told", "ended")]


@FORKS
@pytest.mark.parametrize("pair", PAIRS, ids=" and ".join)
def test_two_at_once(one: Path, tmp_path: Path, pair: tuple[str, str]) -> None:
    check_pair(one, tmp_path, pair, 1)


@FORKS
@pytest.mark.soak
@pytest.mark.parametrize("pair", PAIRS, ids=" and ".join)
def test_two_at_once_many_times(one: Path, tmp_path: Path, pair: tuple[str, str]) -> None:
    check_pair(one, tmp_path, pair, 40)


def check_kills(one: Path, tmp_path: Path, kills: int, seed: int) -> None:
    """A process that tells and takes back by turns is killed: what it left is all in or all out, and goes on from there."""
    home = copied(one, tmp_path / "h")
    out = snapshot(home / "c/trees")
    tell(home)
    told, draw = snapshot(home / "c/trees"), random.Random(seed)
    for _ in range(kills):
        child = os.fork()
        if child == 0:
            with contextlib.suppress(BaseException):
                while True:
                    tell(home)  # first of all, so that an undo never takes back what was typed yesterday
                    undo(home)
            os._exit(0)
        time.sleep(draw.uniform(0.002, 0.08))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        if draw.random() < 0.5:
            assert tell(home).code == 0
            assert snapshot(home / "c/trees") == told
    said = tell(home)
    assert said.code == 0 and snapshot(home / "c/trees") == told
    assert not unfinished(RealDisk(home / "c")) and line_status.audit(RealDisk(home / "c")).balanced
    assert undo(home).code == 0
    assert snapshot(home / "c/trees") == out


@FORKS
def test_killed_at_random_times(one: Path, tmp_path: Path) -> None:
    check_kills(one, tmp_path, 12, 1)


@FORKS
@pytest.mark.soak
@pytest.mark.parametrize("seed", range(10))
def test_killed_many_times(one: Path, tmp_path: Path, seed: int) -> None:
    check_kills(one, tmp_path, 200, 100 + seed)


# -- a disk in memory that fails ------------------------------------------------------------------------------------------

SPLICED = tuple(f"trees/{n:03d}.yaml" for n in (1, 2))
TICK = "  - {{date: 2026-10-14, work: repotting, from: 00142-4/{0}}}\n"
ADD: tuple[dict[str, object], ...] = ({"roots": "light"}, {"minutes": 40, "note": "a: b"}, {})


def a_disk(draw: random.Random) -> FailingDisk:
    disk = FailingDisk(draw, exchanges=draw.random() < 0.85, watched=SPLICED)
    for path in SPLICED:
        disk.plant(path, (draw.choice((FLOW, FLOW.replace("\n", "\r\n"))).format("1") + TICK.format("C")).encode())
    return disk


def typed_of(draw: random.Random) -> list[tuple[str, dict[str, object]]]:
    """What is told more of each tree's tick, and sometimes an entry besides."""
    lines: list[tuple[str, dict[str, object]]] = [(path, dict(draw.choice(ADD))) for path in SPLICED]
    return lines[: draw.randint(1, 2)] + ([(SPLICED[0], {"note": "besides"})] if draw.random() < 0.5 else [])


def planned(disk: FailingDisk, lines: list[tuple[str, dict[str, object]]]) -> Plan:
    items = []
    for number, (path, add) in enumerate(lines, start=1):
        reading = Reading(number, f"{number} {add}", ("1",))
        text = (disk.read(path) or b"").decode()
        entry, amendment = {"date": "2026-10-15", **add}, {}
        if add != {"note": "besides"}:
            where = {"date": "2026-10-14", "work": "repotting"}
            amendment = {
                "where": where,
                "from": ["00142-4/C"],
                "add": add,
                "stood": {},
                "lines": [f"00142-4/{number}"],
            }
        there = stands(text, path, amendment) if amendment and text else "besides" in text
        fate = "there" if there else "write" if text else "left over"  # it may have stepped aside as the disk broke
        items.append(Item(reading, fate, "1", f"{path} {number}", "", entry, path=path, amendment=amendment))  # type: ignore[arg-type]
    return Plan(tuple(items))


def session(disk: FailingDisk, lines: list[tuple[str, dict[str, object]]]) -> None:
    store = Store(disk, archive.hooks())
    store.recover()
    name = archive.keep_text(disk, "".join(f"{n} {add}\n" for n, (_, add) in enumerate(lines, 1)).encode(), TODAY)
    carry_out(store, planned(disk, lines), name, TODAY)


def taken_back(disk: FailingDisk) -> None:
    store = Store(disk, archive.hooks())
    store.recover()
    last = store.finished_undo() or store.last()
    if last is not None and not store.finished_undo():
        take_back(store, last, TODAY)


def sound(disk: FailingDisk, quiet: dict[str, bytes]) -> None:
    found = disk.files()
    kept = b"".join(data for name, data in found.items() if name.startswith(KEPT))
    for path in SPLICED:
        saves = disk.saves.get(path, [])
        there = [line for line in saves if line in found[path]]
        assert all(line in kept for line in saves if line not in there), "what the user saved is there, or kept aside"
        lines = found[path].replace(b"\r\n", b"\n").splitlines()
        wanted = [*quiet[path].replace(b"\r\n", b"\n").splitlines(), *(line.strip() for line in there)]
        assert sorted(lines) == sorted(wanted)
    assert not unfinished(disk) and not [p for p in found if p.endswith((".part", ".draft", ".old"))]
    assert line_status.audit(disk).balanced


def one_run(seed: int) -> None:
    """A run struck by a fault at some step, perhaps its recovery by another, then a quiet one; the same for its undo."""
    lines = typed_of(random.Random(seed))
    calm = a_disk(random.Random(seed))
    before = calm.files()
    session(calm, lines)
    length, told, draw = calm.points, calm.files(), random.Random(seed)
    disk = a_disk(draw)
    for run, quiet in ((lambda: session(disk, lines), told), (lambda: taken_back(disk), before)):
        for _ in range(draw.choice((1, 1, 2))):
            disk.arm(draw.choice(KINDS), draw.randrange(length))
            survived(run)
        disk.disarm()
        Store(disk, archive.hooks()).recover()
        if quiet is told:
            run()
        while quiet is before and any(item.fate == "there" for item in planned(disk, lines).items):
            run()  # twice where the disk refused one file, which was left for a batch of its own
        sound(disk, quiet)


@pytest.mark.parametrize("chunk", range(2))
def test_an_entry_told_more_survives_anything(chunk: int) -> None:
    for seed in range(chunk * 100, (chunk + 1) * 100):
        one_run(seed)


@pytest.mark.soak
@pytest.mark.parametrize("chunk", range(50))
def test_many_entries_told_more_survive_anything(chunk: int) -> None:
    for seed in range(1_000_000 + chunk * 2000, 1_000_000 + (chunk + 1) * 2000):
        one_run(seed)
