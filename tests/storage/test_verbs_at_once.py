"""Any two writing verbs started at once, in processes of their own: it ends as if one had come after the other."""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import random
import shutil
import tempfile
import time
from collections.abc import Iterable, Sequence
from pathlib import Path

import pytest

from logbook.storage.disk import RealDisk
from logbook.storage.printed import load_ledger

from ..conftest import snapshot
from .verbs import DAY, VERBS, a_home, call, disk_of, do

pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="no fork here: two runs can't be started at one instant"
)

PAIRS = list(itertools.combinations(VERBS, 2))
ALL = [*PAIRS, *((verb, verb) for verb in VERBS)]
IN_SUITE = [
    ("reconcile", "add --from"),
    ("reconcile", "end merged"),
    ("undo", "add"),
    ("add --from", "end merged"),
    ("weather", "normals"),
    ("sheets", "walk"),
    ("spare", "plan"),
]
ROUNDS_IN_SOAK = 3


class SlowDisk(RealDisk):
    """The real disk with pauses by chance, so that two runs meet at every kind of step."""

    draw = random.Random()

    def read(self, path: str) -> bytes | None:
        if self.draw.random() < 0.2:
            time.sleep(self.draw.uniform(0, 0.004))
        return super().read(path)


@pytest.fixture(scope="module")
def begun() -> Iterable[Path]:
    home = Path(tempfile.mkdtemp(prefix="pairs-"))
    yield a_home(home)
    shutil.rmtree(home)


def copied(begun: Path, to: Path) -> Path:
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(begun, to)
    return to


def at_once(runs: Sequence[Sequence[str]], seed: int) -> list[tuple[int, str]]:
    """Several commands in forked processes that start together: exit code and what was said, in their order."""
    answers, children = [], []
    gate_out, gate_in = os.pipe()
    for number, words in enumerate(runs):
        out, into = os.pipe()
        child = os.fork()
        if child == 0:
            with contextlib.suppress(BaseException):
                os.close(gate_in)
                SlowDisk.draw = random.Random(seed * 100 + number)
                os.read(gate_out, 1)
                with disk_of(SlowDisk):
                    said = call(*words)
                os.write(into, json.dumps([said.code, said.out + said.err]).encode()[:60_000])
            os._exit(0)
        os.close(into)
        children.append((child, out))
    os.close(gate_out)
    os.close(gate_in)
    for child, out in children:
        with os.fdopen(out, "rb") as file:
            code, said = json.loads(file.read() or b'[99, "it died"]')
        os.waitpid(child, 0)
        answers.append((code, said))
    return answers


def words_of(home: Path, verb: str) -> list[str]:
    return ["-C", str(home / "c"), *(word.replace("{home}", str(home)) for word in VERBS[verb])]


def state(home: Path) -> dict[str, bytes]:
    return {p: d for p, d in snapshot(home).items() if not p.endswith(".lock")}


def check_pair(begun: Path, tmp_path: Path, one: str, other: str, rounds: int) -> None:
    orders = []
    for first, second in ((one, other), (other, one)):
        home = copied(begun, tmp_path / "h")
        codes = {verb: do(home, verb).code for verb in (first, second)}
        orders.append((codes, state(home)))
    for seed in range(rounds):
        home = copied(begun, tmp_path / "h")
        answers = at_once([words_of(home, one), words_of(home, other)], seed)
        found = ({verb: code for verb, (code, _) in zip((one, other), answers, strict=True)}, state(home))
        assert found in orders, (one, other, seed, answers)


@pytest.mark.parametrize(("one", "other"), IN_SUITE, ids=[" and ".join(pair) for pair in IN_SUITE])
def test_two_verbs_at_once(begun: Path, tmp_path: Path, one: str, other: str) -> None:
    check_pair(begun, tmp_path, one, other, 1)


@pytest.mark.soak
@pytest.mark.parametrize(("one", "other"), ALL, ids=[" and ".join(pair) for pair in ALL])
def test_every_two_verbs_at_once(begun: Path, tmp_path: Path, one: str, other: str) -> None:
    if one != other:
        check_pair(begun, tmp_path, one, other, ROUNDS_IN_SOAK)
        return
    home = copied(begun, tmp_path / "h")
    wanted = []
    for _ in range(2):
        wanted.append(do(home, one).code)
    ended = state(home)
    home = copied(begun, tmp_path / "h")
    answers = at_once([words_of(home, one)] * 2, 1)
    assert sorted(code for code, _ in answers) == sorted(wanted) and set(state(home)) == set(ended)


def test_five_trees_at_once_are_five_files(begun: Path, tmp_path: Path) -> None:
    home = copied(begun, tmp_path / "h")
    runs = [["-C", str(home / "c"), "add", f"05{n}", "--species", "Acer palmatum", *DAY] for n in range(5)]
    answers = at_once(runs, 1)
    assert all(code == 0 and "added 1 tree" in said for code, said in answers), answers
    assert all((home / f"c/trees/05{n}.yaml").exists() for n in range(5))


def test_five_times_one_tag_is_one_tree(begun: Path, tmp_path: Path) -> None:
    """Five species for one tag: exactly one is added, and the file is that one's; the others are told so."""
    home = copied(begun, tmp_path / "h")
    species = ["Acer palmatum", "Larix kaempferi", "Ulmus parvifolia", "Fagus crenata", "Acer buergerianum"]
    runs = [["-C", str(home / "c"), "add", "060", "--species", name, *DAY] for name in species]
    answers = at_once(runs, 2)
    (added,) = [n for n, (code, said) in enumerate(answers) if code == 0 and "added 1 tree" in said]
    assert f"species: {species[added]}\n" in (home / "c/trees/060.yaml").read_text("utf-8")
    assert sum(code == 1 and "tag 060 is in use" in said for code, said in answers) == 4, answers


def test_five_layers_of_one_tree_stand_in_its_log_once_each(begun: Path, tmp_path: Path) -> None:
    home = copied(begun, tmp_path / "h")
    answers = at_once([words_of(home, "add --from")] * 5, 3)
    assert all(code == 0 for code, _ in answers) and sum("added 032" in said for _, said in answers) == 1
    assert (home / "c/trees/001.yaml").read_text("utf-8").count('new: "032"') == 1


def test_two_parents_can_not_claim_one_child(begun: Path, tmp_path: Path) -> None:
    home = copied(begun, tmp_path / "h")
    runs = [["-C", str(home / "c"), "add", "032", "--from", parent, *DAY] for parent in ("001", "002", "003")]
    answers = at_once(runs, 4)
    assert sorted(code for code, _ in answers) == [0, 1, 1], answers
    logs = [(home / f"c/trees/00{n}.yaml").read_text("utf-8") for n in (1, 2, 3)]
    assert sum('new: "032"' in log for log in logs) == 1
    (winner,) = [n for n, (code, _) in enumerate(answers) if code == 0]
    assert 'new: "032"' in logs[winner]
    assert f'parent: "00{winner + 1}"' in (home / "c/trees/032.yaml").read_text("utf-8")


def test_sheets_and_walk_at_once_have_two_serials_and_two_records(begun: Path, tmp_path: Path) -> None:
    """Without seeds. A line of each sheet, typed back, goes to the tree it was printed for."""
    home = copied(begun, tmp_path / "h")
    runs = [[w for w in words_of(home, verb) if w not in ("--seed", "1", "2")] for verb in ("sheets", "walk")]
    assert all(code == 0 for code, _ in at_once(runs, 5))
    ledger = load_ledger(home / "c")
    assert len(ledger.sheets) == 2 and not ledger.doubled and len(list((home / "c/printed").iterdir())) == 2
    own, walk = sorted(ledger.sheets.values(), key=lambda sheet: len(sheet.tags))
    assert walk.by_tag and "002" in walk.tags
    typed = home / "typed.txt"
    text = f"sheet {own.serial}\n1 20 nov moss gone\nsheet {walk.serial}\n002 20 nov lichen on the bark\n"
    typed.write_text(text, encoding="utf-8")
    assert call("-C", str(home / "c"), "reconcile", str(typed), "--yes", *DAY).code == 0
    assert "moss gone" in (home / "c/trees/001.yaml").read_text("utf-8")
    assert "lichen" in (home / "c/trees/002.yaml").read_text("utf-8")
    assert "lichen" not in (home / "c/trees/001.yaml").read_text("utf-8") + (home / "c/trees/003.yaml").read_text(
        "utf-8"
    )


def test_two_starts_at_once_are_one_collection(tmp_path: Path) -> None:
    new = tmp_path / "new"
    answers = at_once([["start", str(new), "--title", title] for title in ("One", "Two")], 6)
    assert sorted(code for code, _ in answers) == [0, 1], answers
    (winner,) = [title for title, (code, _) in zip(("One", "Two"), answers, strict=True) if code == 0]
    assert f"title: {winner}\n" in (new / "collection.yaml").read_text("utf-8")
