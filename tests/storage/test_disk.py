"""The real disk: killed processes, a full file system, folders that can't be written, two processes at once, a saving user."""

from __future__ import annotations

import contextlib
import os
import random
import re
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest

from logbook.collection.yaml_reader import read_text
from logbook.intake import archive, line_status
from logbook.intake.grammar.lines import Reading
from logbook.intake.plan_items import Item, Plan
from logbook.intake.service import carry_out
from logbook.storage.disk import RealDisk, _exchange
from logbook.storage.journal import unfinished
from logbook.storage.store import Store

from ..conftest import Answer, make_collection, snapshot

TREE = 'tag: "{0}"\nspecies: Acer palmatum\n# a comment of mine\nlog:\n  - {{date: 2026-01-10, note: before}}\n'
DAY = date(2026, 11, 20)
KILLS, GARDENS = 60, 3


def garden_at(folder: Path, count: int = 3) -> Path:
    return make_collection(folder, {f"{n:03d}": TREE.format(f"{n:03d}") for n in range(1, count + 1)})


def session(folder: Path, words: str) -> set[str]:
    """One entry into each of three files; the paths that it says it could not write."""
    disk = RealDisk(folder)
    store = Store(disk, archive.hooks())
    store.recover()
    items = []
    for n in (1, 2, 3):
        reading = Reading(n, f"{n:03d} {words}", (f"{n:03d}",))
        entry = {"date": "2026-11-20", "note": words}
        path = f"trees/{n:03d}.yaml"
        there = f"note: {words}}}" in (folder / path).read_text("utf-8")  # to the letter: "entry 1" is no "entry 10"
        fate = "there" if there else "write"
        items.append(Item(reading, fate, f"{n:03d}", f"{n:03d} {words}", words, entry, path=path))  # type: ignore[arg-type]
    name = archive.keep_text(disk, "".join(i.reading.text + "\n" for i in items).encode(), DAY)
    filed = carry_out(store, Plan(tuple(items)), name, DAY)
    return {item.path for item in filed.plan.items if item.fate == "left over"}


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here: the process can't be killed at a chosen time")
@pytest.mark.parametrize("garden", range(GARDENS))
def test_killed_at_random_times(tmp_path: Path, garden: int) -> None:
    """SIGKILL to a process that writes batch after batch; what it left is finished, and nothing is lost or doubled."""
    folder, draw = garden_at(tmp_path / "c"), random.Random(7 + garden)
    session(folder, "warm")
    for kill in range(KILLS // GARDENS):
        child = os.fork()
        if child == 0:
            with contextlib.suppress(BaseException):
                for n in range(100):
                    session(folder, f"entry {kill} {n}")
            os._exit(0)
        time.sleep(draw.uniform(0.0005, 0.02))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    session(folder, "last")
    assert not unfinished(RealDisk(folder))
    assert line_status.audit(RealDisk(folder)).balanced
    seen = []
    for n in (1, 2, 3):
        text = (folder / "trees" / f"{n:03d}.yaml").read_text("utf-8")
        assert text.startswith(TREE.format(f"{n:03d}")) and read_text(text, "t").problems == []
        said = [line.partition("note: ")[2] for line in text.splitlines() if "note: entry" in line]
        assert len(said) == len(set(said)), "nothing twice"
        seen.append(said)
    assert seen[0] == seen[1] == seen[2], "all files or none"
    assert not list((folder / "trees").glob(".*")), "nothing is left lying about"


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 256 KB."""
    place = tmp_path / "small"
    place.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(place)]
    if sys.platform != "linux" or os.geteuid() != 0 or subprocess.run(words, capture_output=True).returncode:
        pytest.skip("mounting a small file system needs root")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_full_file_system(small_disk: Path, bench: Callable[..., Answer], tmp_path: Path) -> None:
    folder = garden_at(small_disk / "c")
    typed = tmp_path / "n.txt"
    typed.write_text("".join(f"tree {n:03d}\n14 oct a remark of some length\n" for n in (1, 2, 3)), encoding="utf-8")
    filler = small_disk / "filler"
    for leave in (0, 4096, 8192, 16384, 32768):
        room = os.statvfs(small_disk).f_bavail * os.statvfs(small_disk).f_frsize
        with contextlib.suppress(OSError):
            filler.write_bytes(b"x" * max(0, room - leave))
        answer = bench("reconcile", typed, "--yes", "--today", "2026-11-20", folder=folder)
        assert answer.code in (0, 1, 3) and "Traceback" not in answer.err
        assert answer.code == 0 or "no space left" in answer.all
        filler.unlink(missing_ok=True)
    assert bench("reconcile", typed, "--yes", "--today", "2026-11-20", folder=folder).code == 0
    for n in (1, 2, 3):
        text = (folder / "trees" / f"{n:03d}.yaml").read_text("utf-8")
        assert text.startswith(TREE.format(f"{n:03d}")) and text.count("a remark of some length") == 1


def test_a_folder_that_can_not_be_written(
    tmp_path: Path, bench: Callable[..., Answer], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As for a grower without the rights (root has them all, so the disk is made to refuse)."""
    folder = garden_at(tmp_path / "c")
    typed = tmp_path / "n.txt"
    typed.write_text("tree 001\n14 oct a remark\ntree 002\n14 oct another\n", encoding="utf-8")
    real = RealDisk.write

    def refuse(self: RealDisk, path: str, data: bytes, like: str = "") -> None:
        if "001.yaml" in path:
            raise PermissionError(13, "Permission denied", path)
        real(self, path, data, like)

    monkeypatch.setattr(RealDisk, "write", refuse)
    answer = bench("reconcile", typed, "--yes", "--today", "2026-11-20", folder=folder)
    assert (
        answer.code == 1
        and "trees/001.yaml can't be written: the file can't be written: permission denied" in answer.err
    )
    assert (
        "a remark" not in (folder / "trees/001.yaml").read_text()
        and "another" in (folder / "trees/002.yaml").read_text()
    )
    monkeypatch.undo()
    again = bench("reconcile", typed, "--yes", "--today", "2026-11-20", folder=folder)
    assert "finished a run of 2026-11-20 that was cut short" in again.out
    assert (folder / "trees/001.yaml").read_text().count("a remark") == 1


def test_two_processes_take_turns(tmp_path: Path) -> None:
    """Two commands at once: one waits for the other, and both are written."""
    folder = garden_at(tmp_path / "c")
    words = []
    for n in (1, 2):
        typed = tmp_path / f"n{n}.txt"
        typed.write_text("".join(f"tree 001\n{d} oct moss {n} at {d}\n" for d in range(1, 15)), encoding="utf-8")
        words.append(
            [
                sys.executable,
                "-m",
                "logbook",
                "-C",
                str(folder),
                "reconcile",
                str(typed),
                "--yes",
                "--today",
                "2026-11-20",
            ]
        )
    runs = [subprocess.Popen(w, stdout=subprocess.PIPE, stderr=subprocess.PIPE) for w in words]
    for run in runs:
        assert run.wait(60) == 0, run.communicate()
    text = (folder / "trees/001.yaml").read_text("utf-8")
    assert all(
        text.count(f'moss {n} at {d}"') + text.count(f"moss {n} at {d}}}") == 1 for n in (1, 2) for d in range(1, 15)
    )
    assert line_status.audit(RealDisk(folder)).balanced


def swapped_in(new: Path, target: Path) -> str:
    """Put a text in place as a rename does, and give what it wrote over."""
    if not _exchange(new, target):
        pytest.skip("two files can't be exchanged here: what the editor wrote over can't be seen")
    return new.read_text("utf-8")


MADE = re.compile(r"entry \d+(?=\})|# saved \d+$", re.MULTILINE)


@pytest.mark.parametrize("pause", [0.002, 0.0])
def test_a_user_saves_all_the_time(tmp_path: Path, pause: float) -> None:
    """An editor that reads and replaces the file over and over while batches go in: every save and every entry is there.

    Between its last look and its own rename even a careful editor may write over what just came in; what it wrote over is looked at,
    and nothing else may be missing that the run did not own up to. The same notes given again make all of it whole.
    """
    folder = garden_at(tmp_path / "c")
    target, stop, saved = folder / "trees/001.yaml", threading.Event(), []
    written_over: set[str] = set()
    entries = [f"entry {n}" for n in range(25)]

    def editor() -> None:
        n = 0
        while not stop.is_set():
            text = target.read_text("utf-8")
            temp = tmp_path / "editor"
            temp.write_text(text + f"# saved {n}\n", encoding="utf-8")
            if target.read_text("utf-8") == text:  # a careful editor looks whether the file changed under it
                was = swapped_in(temp, target)
                written_over.update(set(MADE.findall(was)) - set(MADE.findall(text)))
                saved.append(f"# saved {n}")
                n += 1
            time.sleep(pause)

    thread = threading.Thread(target=editor)
    thread.start()
    owned_up = {words for words in entries if "trees/001.yaml" in session(folder, words)}
    stop.set()
    thread.join()
    counts = Counter(MADE.findall(target.read_text("utf-8")))
    assert max(counts.values()) == 1, counts
    kept = "".join(p.read_text("utf-8") for p in (folder / ".journal/kept").glob("*"))
    assert set(entries) - set(counts) <= owned_up | written_over
    assert len(saved) > 5 and set(saved) - set(counts) <= set(MADE.findall(kept)) | written_over
    for words in entries:
        session(folder, words)
    text = target.read_text("utf-8")
    assert all(MADE.findall(text).count(words) == 1 for words in entries)
    assert text.startswith(TREE.format("001"))


def test_a_system_that_can_not_exchange_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(RealDisk, "swap", lambda *_: False)
    folder = garden_at(tmp_path / "c")
    session(folder, "one")
    before = snapshot(folder)
    session(folder, "one")
    assert {p: d for p, d in snapshot(folder).items() if p.startswith("trees")} == {
        p: d for p, d in before.items() if p.startswith("trees")
    }
    assert "note: one" in (folder / "trees/002.yaml").read_text() and not list((folder / "trees").glob(".*"))
