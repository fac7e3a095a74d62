"""Every writing verb stopped at every step, and given again: it ends as if nothing had happened.

Steps are those of the disk (`StrikingDisk`); a killed process is one that does nothing any more from there on. What a print leaves
is told apart: a run that was stopped after its record was written has left one record more, and never one less.
"""

from __future__ import annotations

import contextlib
import errno
import functools
import json
import os
import random
import shutil
import signal
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path

import pypdf
import pytest

from logbook.intake import line_status
from logbook.storage.disk import RealDisk
from logbook.storage.journal import KEPT
from logbook.storage.printed import load_ledger

from ..conftest import snapshot
from .failing_disk import Killed, StrikingDisk
from .verbs import CHANGES, NOTES, PRINTS, VERBS, Said, a_home, call, disk_of, do

ONCE = ("undo", "dismiss")  # done twice they do more: behind their last step they have been done, told or not
SAMPLE = 4  # of the steps of each verb, in the ordinary suite
DEMO = ["start", "--demo"]
KILLS_OF_EACH = 270  # verbs that change something, in the soak: more than three thousand in all


def state(home: Path) -> dict[str, bytes]:
    """All that a verb can leave, but for the lock, and the half of a typed text that is kept aside when it was being kept.

    Of the records of notes, which tell each run, what they come to.
    """
    found = {
        p: d
        for p, d in snapshot(home).items()
        if not (p.endswith(".lock") or _is_fates(p) or (KEPT in p and NOTES["saturday"].encode().startswith(d)))
    }
    if (home / "c" / "notes").is_dir():
        disk = RealDisk(home / "c")
        found["how lines stand"] = repr((line_status.audit(disk), line_status.waiting(disk))).encode()
    return found


def _is_fates(path: str) -> bool:
    return path.startswith("c/notes/") and path.endswith(".json")


@pytest.fixture(scope="module")
def begun() -> Iterable[Path]:
    home = Path(tempfile.mkdtemp(prefix="verbs-"))
    yield a_home(home)
    shutil.rmtree(home)


@pytest.fixture(scope="module")
def open_batch(begun: Path) -> Iterable[Path]:
    """The same with an `add --from` killed just behind its commit: neither of its files is there yet."""
    outer = Path(tempfile.mkdtemp(prefix="verbs-"))
    home = copied(begun, outer / "h")
    at = step_behind_the_commit(home, "add --from")
    copied(begun, home)
    struck(home, "add --from", at, StrikingDisk.kill)
    assert not (home / "c/trees/032.yaml").exists()
    yield home
    shutil.rmtree(outer)


def copied(begun: Path, to: Path) -> Path:
    """A fresh start; always at one path, since records and PDFs may name it."""
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(begun, to)
    return to


def struck(home: Path, verb: str, at: int, strike: Callable[[], None]) -> tuple[Said | None, int]:
    """A verb with something happening at one step: what it said, if it lived, and how many steps there were."""
    StrikingDisk.reset(at, strike)
    with disk_of(StrikingDisk):
        try:
            said = do(home, verb)
        except Killed:
            said = None
    return said, StrikingDisk.changes if verb in ONCE else StrikingDisk.points


def points_of(length: int, whole: bool) -> Iterable[int]:
    step = 1 if whole else max(1, length // SAMPLE)
    return range(0, length, step)


def refuse() -> None:
    raise OSError(errno.EIO, "Input/output error")


STRIKES: dict[str, Callable[[], None]] = {"killed": StrikingDisk.kill, "refused": refuse}


def check_change(begun: Path, tmp_path: Path, verb: str, *, whole: bool) -> None:
    home = copied(begun, tmp_path / "h")
    said, length = struck(home, verb, -1, lambda: None)
    assert said is not None and said.code in (0, 3), said
    ended = state(home)
    assert ended != state(begun)
    for at in points_of(length, whole):
        for name, strike in STRIKES.items():
            home = copied(begun, tmp_path / "h")
            said, _ = struck(home, verb, at, strike)
            if said is None or said.code == 1:
                said = do(home, verb)
                assert said.code in (0, 3), (at, name, said)
            batches = name == "killed"  # a disk that refuses one file leaves it for a batch of its own
            assert without(batches, state(home)) == without(batches, ended), (verb, at, name)


def without(batches: bool, found: dict[str, bytes]) -> dict[str, bytes]:
    return {path: data for path, data in found.items() if batches or ".journal/" not in path}


@pytest.mark.parametrize("verb", CHANGES)
def test_a_verb_stopped_and_given_again(begun: Path, tmp_path: Path, verb: str) -> None:
    check_change(begun, tmp_path, verb, whole=False)


@pytest.mark.soak
@pytest.mark.parametrize("verb", CHANGES)
def test_a_verb_stopped_at_every_step(begun: Path, tmp_path: Path, verb: str) -> None:
    check_change(begun, tmp_path, verb, whole=True)


@pytest.mark.soak
@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here: a process can't be killed at a chosen time")
@pytest.mark.parametrize("verb", CHANGES)
def test_a_verb_killed_at_random_times(begun: Path, tmp_path: Path, verb: str) -> None:
    """SIGKILL to a process of its own, at times drawn over all that the verb takes; then it is given again."""
    draw = random.Random(verb)
    for _ in range(2):  # the first one loads what it needs
        home = copied(begun, tmp_path / "h")
        started = time.perf_counter()
        assert do(home, verb).code in (0, 3)
        took, ended = time.perf_counter() - started, state(home)
    alive = 0
    for _ in range(KILLS_OF_EACH):
        home = copied(begun, tmp_path / "h")
        child = os.fork()
        if child == 0:
            with contextlib.suppress(BaseException):
                do(home, verb)
            os._exit(0)
        time.sleep(draw.uniform(0.0, took))
        os.kill(child, signal.SIGKILL)
        alive += os.WIFSIGNALED(os.waitpid(child, 0)[1])
        if verb not in ONCE or state(home) != ended:
            said = do(home, verb)
            assert said.code in (0, 1, 3), said
        assert state(home) == ended, verb
    assert alive > KILLS_OF_EACH / 10, "enough were killed before they had ended"


def check_print(begun: Path, tmp_path: Path, verb: str, *, whole: bool) -> None:
    home = copied(begun, tmp_path / "h")
    said, length = struck(home, verb, -1, lambda: None)
    assert said is not None and said.code == 0, said
    records = len(list((home / "c" / "printed").glob("*.json")))
    assert records == 1
    for at in points_of(length, whole) if whole else range(length // 2, length, 3):
        home = copied(begun, tmp_path / "h")
        struck(home, verb, at, StrikingDisk.kill)
        said = do(home, verb)
        assert said.code == 0, (at, said)
        assert_on_record(home, verb)
        assert len(list((home / "c" / "printed").iterdir())) in (1, 2), (
            "the paper of one may be missing, never its record"
        )
        assert not list(home.rglob("*.part"))
        unchanged = {p: d for p, d in state(home).items() if p.startswith("c/trees")}
        assert unchanged == {p: d for p, d in state(begun).items() if p.startswith("c/trees")}


def assert_on_record(home: Path, verb: str) -> None:
    """The paper that lies there says numbers that are on record."""
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(home / f"{verb}.pdf").pages)
    ledger = load_ledger(home / "c")
    known = ledger.spare if verb == "spare" else tuple(ledger.sheets)
    assert any(number in text for number in known) and not ledger.problems


@pytest.mark.parametrize("verb", PRINTS)
def test_a_print_stopped_and_given_again(begun: Path, tmp_path: Path, verb: str) -> None:
    check_print(begun, tmp_path, verb, whole=False)


@pytest.mark.soak
@pytest.mark.parametrize("verb", PRINTS)
def test_a_print_stopped_at_every_step(begun: Path, tmp_path: Path, verb: str) -> None:
    check_print(begun, tmp_path, verb, whole=True)


@pytest.mark.parametrize(
    ("words", "step"),
    [
        (["start"], 2),
        (DEMO, 17),
        pytest.param(["start"], 1, marks=pytest.mark.soak),
        pytest.param(DEMO, 1, marks=pytest.mark.soak),
    ],
)
def test_a_start_stopped_and_given_again(tmp_path: Path, words: list[str], step: int) -> None:
    new = tmp_path / "new"
    assert call(*words, str(new)).code == 0
    ended = state(new)
    at = 0
    while True:
        shutil.rmtree(new)
        StrikingDisk.reset(at, StrikingDisk.kill)
        with disk_of(StrikingDisk):
            try:
                call(*words, str(new))
                break
            except Killed:
                pass
        said = call(*words, str(new))
        assert said.code == 0 or "there is a collection already" in said.err, (at, said)
        assert state(new) == ended, at
        at += step
    assert at > 5
    assert call(*words, str(new)).code == 1, "where one is, none is begun"


def check_undos(begun: Path, tmp_path: Path, *, whole: bool) -> None:
    """Two batches, the undo of the later one cut short and repeated: the earlier one still stands."""
    ready = copied(begun, tmp_path / "ready")
    assert do(ready, "add --from").code == 0
    home = copied(ready, tmp_path / "h")
    said, length = struck(home, "undo", -1, lambda: None)
    assert said is not None and said.code == 0
    ended = state(home)
    assert "moss yellow" in (home / "c/trees/001.yaml").read_text() and not (home / "c/trees/032.yaml").exists()
    for at in points_of(length, whole):
        home = copied(ready, tmp_path / "h")
        said, _ = struck(home, "undo", at, StrikingDisk.kill)
        assert said is None
        again = do(home, "undo")
        assert again.code == 0 and "032.yaml" in again.out, (at, again)
        assert state(home) == ended, at


def test_an_undo_cut_short_and_repeated_takes_back_one_batch(begun: Path, tmp_path: Path) -> None:
    check_undos(begun, tmp_path, whole=False)


@pytest.mark.soak
def test_an_undo_cut_short_at_every_step_takes_back_one_batch(begun: Path, tmp_path: Path) -> None:
    check_undos(begun, tmp_path, whole=True)


def test_an_undo_that_another_verb_finished_is_told(begun: Path, tmp_path: Path) -> None:
    home = copied(begun, tmp_path / "h")
    at = step_behind_the_commit(home, "undo")
    home = copied(begun, tmp_path / "h")
    struck(home, "undo", at, StrikingDisk.kill)
    told = do(home, "add")
    assert told.code == 0 and "finished a run of 2026-11-20 that was cut short (2 entries)" in told.out


def step_behind_the_commit(home: Path, verb: str) -> int:
    """The first step at which a run that is killed leaves an open batch."""
    start = home.parent / "start"
    shutil.copytree(home, start)
    for at in range(500):
        copied(start, home)
        struck(home, verb, at, StrikingDisk.kill)
        if list((home / "c" / ".journal").glob("*.json")):
            shutil.rmtree(start)
            return at + 1
    raise AssertionError("no step leaves an open batch")


def saves_at(home: Path, path: str, line: str) -> Callable[[], None]:
    """An editor that writes the file whole, with a line more."""

    def save() -> None:
        target = home / "c" / path
        beside = home / "editor"
        beside.write_bytes(target.read_bytes() + line.encode())
        beside.replace(target)

    return save


def check_beside_an_editor(begun: Path, tmp_path: Path, verb: str, *, whole: bool) -> None:
    home = copied(begun, tmp_path / "h")
    _, length = struck(home, verb, -1, lambda: None)
    wanted = (home / "c/trees/001.yaml").read_text("utf-8")
    for at in points_of(length, whole):
        home = copied(begun, tmp_path / "h")
        said, _ = struck(home, verb, at, saves_at(home, "trees/001.yaml", "# saved by hand\n"))
        assert said is not None and said.code in (0, 3), (at, said)
        text = (home / "c/trees/001.yaml").read_text("utf-8")
        assert text.count("# saved by hand\n") == 1, (verb, at)
        assert sorted(text.splitlines()) == sorted([*wanted.splitlines(), "# saved by hand"]), (verb, at)
        assert not [p for p in (home / "c").rglob(".*") if p.suffix in (".part", ".draft", ".old")]


BESIDE = ("reconcile", "add --from", "end merged", "undo")


@pytest.mark.parametrize("verb", BESIDE)
def test_what_an_editor_saves_meanwhile_stays(begun: Path, tmp_path: Path, verb: str) -> None:
    check_beside_an_editor(begun, tmp_path, verb, whole=False)


@pytest.mark.soak
@pytest.mark.parametrize("verb", BESIDE)
def test_what_an_editor_saves_at_any_step_stays(begun: Path, tmp_path: Path, verb: str) -> None:
    check_beside_an_editor(begun, tmp_path, verb, whole=True)


@pytest.mark.parametrize("verb", VERBS)
def test_a_dry_run_changes_no_byte(begun: Path, open_batch: Path, tmp_path: Path, verb: str) -> None:
    """Not even the lock is made; the same after a batch was cut short, which it counts as finished and does not finish."""
    home = copied(begun, tmp_path / "h")
    (home / "c" / ".lock").unlink()
    before = snapshot(home)
    dry = do(home, verb, "--dry-run")
    assert dry.code in (0, 3) and snapshot(home) == before, dry
    copied(open_batch, home)
    before = snapshot(home)
    dry = do(home, verb, "--dry-run")
    assert snapshot(home) == before
    assert verb == "add --from" or "an earlier run was cut short" in dry.out, dry
    if verb == "undo":
        assert "032.yaml" in dry.out, "what it would take back is the batch that is not finished yet"
    if verb == "add --from":
        assert "032 is there already" in dry.out


def test_a_dry_run_plans_over_what_was_cut_short(begun: Path, tmp_path: Path) -> None:
    """The same notes after a kill behind the commit: they are there already, in memory; the real run then says the same."""
    home = copied(begun, tmp_path / "h")
    at = step_behind_the_commit(home, "reconcile")
    home = copied(begun, tmp_path / "h")
    struck(home, "reconcile", at, StrikingDisk.kill)
    assert "bark loose" not in (home / "c/trees/001.yaml").read_text("utf-8")
    fates = []
    for more in ("--dry-run", "--json"):
        dry = do(home, "reconcile", more, "--json")
        fates.append([item["fate"] for item in json.loads(dry.out)["items"]])
    assert fates == [["there", "there", "question"]] * 2


@functools.cache
def journal_of_format_1(old: str, new: str) -> str:
    """As the first version wrote it, its keys in its order."""
    import hashlib

    sums = [hashlib.sha256(text.encode()).hexdigest() for text in (old, new)]
    entry = {"date": "2026-11-01", "note": "from before"}
    row = {"number": 2, "text": "1 nov from before", "header": "tree 001", "again": "1 nov from before", "tag": "001"}
    row |= {"fate": "write", "key": "001 abc", "why": "", "hint": "", "path": "trees/001.yaml"}
    change = {"path": "trees/001.yaml", "old_sha256": sums[0], "new_sha256": sums[1], "old": old, "new": new}
    said = {
        "format": 1,
        "id": "000007-2026-11-01",
        "day": "2026-11-01",
        "kind": "write",
        "notes": NOTES_NAME,
        "of": "",
    }
    return json.dumps({**said, "files": [{**change, "entries": [entry]}], "fates": [row]}, indent=1) + "\n"


NOTES_NAME = "2026-11-01-0123456789ab.txt"


@pytest.mark.parametrize("where", ["open", "done"])
def test_a_journal_of_the_first_format_is_finished_and_undone(begun: Path, tmp_path: Path, where: str) -> None:
    home = copied(begun, tmp_path / "h")
    tree = home / "c/trees/001.yaml"
    old = tree.read_bytes().decode()
    new = old + "  - {date: 2026-11-01, note: from before}\n"
    (home / "c/notes" / NOTES_NAME).write_text("tree 001\n1 nov from before\n", encoding="utf-8")
    folder = home / "c/.journal" / ("done" if where == "done" else ".")
    (folder / "000007-2026-11-01.json").write_text(journal_of_format_1(old, new), encoding="utf-8")
    if where == "done":
        tree.write_bytes(new.encode())
    else:
        said = do(home, "add")
        assert (
            "finished a run of 2026-11-01 that was cut short (1 entry)" in said.out
            and tree.read_bytes().decode() == new
        )
        assert do(home, "undo").code == 0, "the tree that was added goes first"
    assert do(home, "undo").code == 0
    assert tree.read_bytes().decode() == old
    assert not (folder / "000007-2026-11-01.json").exists() or where == "done"
    assert line_status.audit(RealDisk(home / "c")).balanced


@pytest.mark.parametrize("verb", ["add", "add --from"])
def test_a_file_that_appears_meanwhile_is_never_covered(begun: Path, tmp_path: Path, verb: str) -> None:
    """A syncing program puts a tree there under the same tag, at every step: its text stays, and is told."""
    name = {"add": "031", "add --from": "032"}[verb]
    theirs = f'tag: "{name}"\nspecies: Larix kaempferi\nlog: []\n'
    home = copied(begun, tmp_path / "h")
    _, length = struck(home, verb, -1, lambda: None)
    told = 0
    for at in range(0, length, 3):
        home = copied(begun, tmp_path / "h")
        path = home / f"c/trees/{name}.yaml"

        def put(path: Path = path) -> None:
            path.with_suffix(".theirs").write_text(theirs, encoding="utf-8")
            path.with_suffix(".theirs").replace(path)

        said, _ = struck(home, verb, at, put)
        assert path.read_text("utf-8") == theirs, at
        assert said is not None and (said.code, "added 1 tree" in said.out or "added 032" in said.out) in (
            (0, True),
            (1, False),
        )
        told += said.code
        assert not [p for p in (home / "c").rglob(".*") if p.suffix in (".part", ".draft", ".old")]
    assert told > length // 9
