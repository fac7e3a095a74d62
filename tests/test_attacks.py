"""Files made to exhaust or mislead: refused or done in bounded time and memory, measured in a process of its own."""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from functools import cache
from pathlib import Path

import pytest

from .conftest import make_collection, snapshot

SECONDS, MEGABYTES = 30, 600  # generous for a busy machine; each takes a second or two and under 150 MB here
TREE = 'tag: "001"\nspecies: Acer palmatum\nlog:\n  - {date: 2026-01-10, note: before}\n'


@cache
def bombs() -> dict[str, str]:
    aliases = "x-a0: &a0 [1, 1]\n" + "".join(f"x-a{n}: &a{n} [*a{n - 1}, *a{n - 1}]\n" for n in range(1, 45))
    return {
        "alias bomb": aliases + TREE,
        "alias to itself": "x-a: &a [*a]\n" + TREE,
        "sequences 100,000 deep": "x-a: " + "[" * 100_000 + "\n" + TREE,
        "mappings 100,000 deep": "x-a: " + "{a: " * 100_000 + "\n" + TREE,
        "blocks 2,000 deep": "".join(" " * n + "a:\n" for n in range(2000)) + TREE,
        "a million values": "x-a: [" + "1," * 1_000_000 + "]\n" + TREE,
        "five megabytes": TREE + "x-a: " + "a" * 5_000_000 + "\n",
        "four megabytes of one note": TREE.replace("before", "a" * 3_900_000),
        "a hundred thousand keys": "".join(f"x-{n}: 1\n" for n in range(100_000)) + TREE,
        "a python object": TREE + "x-a: !!python/object/apply:os.system [id]\n",
        "a tag of one's own": TREE + "x-a: !run {a: 1}\n",
        "a path out of the collection": TREE.replace("note: before", "photo: ../../../../etc/passwd"),
        "a tag that is a path": TREE.replace('"001"', '"../../001"'),
        "bytes that are no text": TREE + "\x00\x01\x02",
        "a quoted text without its end": TREE + 'x-a: "' + "a\n" * 200_000,
        "a hundred thousand anchors": "".join(f"x-{n}: &a{n} 1\n" for n in range(100_000)) + TREE,
        "many entries": TREE + "".join(f"  - {{date: 2020, note: n{n}}}\n" for n in range(40_000)),
    }


def measured(*words: str) -> tuple[int, str, float, float]:
    """Exit code, messages, seconds and peak megabytes of one command."""
    script = (
        "import sys\nfrom logbook.cli.main import run\ncode = run(sys.argv[1:])\n"
        "peak = [r for r in open('/proc/self/status') if r.startswith('VmHWM')] if sys.platform == 'linux' else []\n"
        "sys.stderr.write(f'\\npeak {int(peak[0].split()[1]) if peak else 0}')\nsys.exit(code)\n"
    )
    begun = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-c", script, *words], capture_output=True, text=True, timeout=SECONDS + 60
    )
    said, _, peak = done.stderr.rpartition("peak ")
    return done.returncode, done.stdout + said, time.monotonic() - begun, int(peak) / 1024


@pytest.mark.parametrize("name", bombs())
def test_trees_made_to_hurt(name: str, tmp_path: Path) -> None:
    folder = make_collection(tmp_path / "c", {"001": bombs()[name]})
    code, said, seconds, megabytes = measured("-C", str(folder), "check")
    assert code in (0, 1) and "Traceback" not in said and "fault of its own" not in said, said[-500:]
    assert seconds < SECONDS and megabytes < MEGABYTES
    if name not in ("a hundred thousand keys", "four megabytes of one note", "many entries"):
        assert code == 1 and "trees/001.yaml" in said


NOTES = {
    "a million lines": "tree 001\n" + "14 oct moss yellow\n" * 1_000_000,
    "two thousand lines": "tree 001\n" + "".join(f"14 oct moss {n}\n" for n in range(1_990)),
    "one line of ten megabytes": "tree 001\n14 oct " + "moss " * 2_000_000 + "\n",
    "nothing but headers": "tree 001\n" * 1_999,
    "a million semicolons": "tree 001\n14 oct wired" + ";" * 1_000_000 + "\n",
    "ten thousand parts": "tree 001\n14 oct " + "looked;" * 10_000 + "\n",
    "four hundred wires": "tree 001\n" + "".join(f"14 oct wired {n}\n15 oct wire off {n}\n" for n in range(200)),
    "digits": "tree 001\n14 oct trunk " + "9" * 1_000_000 + "\n",
    "spaces": "tree 001\n14 oct" + " " * 1_000_000 + "x\n",
    "words that begin like work": "tree 001\n14 oct " + "wired 1 " * 20_000 + "\n",
}


@pytest.mark.parametrize("name", NOTES)
def test_notes_made_to_hurt(name: str, tmp_path: Path) -> None:
    folder = make_collection(tmp_path / "c", {"001": TREE})
    before = snapshot(folder / "trees")
    path = tmp_path / "n.txt"
    path.write_text(NOTES[name], encoding="utf-8")
    words = ("-C", str(folder), "reconcile", str(path), "--dry-run", "--today", "2026-11-20")
    code, said, seconds, megabytes = measured(*words)
    assert code in (0, 1, 3) and "Traceback" not in said and "fault of its own" not in said, said[-500:]
    assert seconds < SECONDS and megabytes < MEGABYTES, (seconds, megabytes)
    assert snapshot(folder / "trees") == before
    if name == "a million lines":
        assert code == 1 and "give them in parts" in said


def test_the_limits_are_felt() -> None:
    """The measuring itself: a process that takes memory is seen to."""
    assert resource.getpagesize() > 0
    script = "x = bytearray(200_000_000)\nprint([r for r in open('/proc/self/status') if r.startswith('VmHWM')][0].split()[1])"
    if sys.platform == "linux":
        told = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout
        assert int(told) / 1024 > 190
