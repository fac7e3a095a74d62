"""Folders and files made to hurt: each is answered as its case says, in bounded time and memory, and nothing else happens.

The cases are data (`cases.py`); a few processes run them all, with limits on what they may map (`run_cases.py`).
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from ..conftest import make_collection
from .cases import CASES, TREE

ROOT = Path(__file__).resolve().parents[2]
PROCESSES = 4
SECONDS, MEGABYTES, CHARACTERS = 12, 700, 60_000
# what steers a terminal: none of it is ever shown
STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def faults_of(name: str, found: dict[str, object]) -> list[str]:
    """What is wrong with an answer."""
    case, said = CASES[name], str(found["said"])
    wrong = [f"it does not say {part!r}" for part in case.says if part not in said]
    wrong += [f"it says {part!r}" for part in (*case.never, "Traceback", "fault of its own") if part in said]
    wrong += [f"exit code {found['code']}, not {case.code}"] if found["code"] != case.code else []
    wrong += [f"{found['seconds']:.1f} s"] if float(str(found["seconds"])) > SECONDS else []
    wrong += [f"{found['megabytes']:.0f} MB"] if float(str(found["megabytes"])) > MEGABYTES else []
    wrong += [f"{found['length']} characters"] if int(str(found["length"])) > CHARACTERS else []
    wrong += [f"it shows {STEERS.search(said)!r}"] if STEERS.search(said) else []
    wrong += ["something outside was touched"] if not found["outside"] else []
    wrong += ["trees/ was changed"] if not (found["trees"] or case.writes) else []
    return [f"{name}: {'; '.join(wrong)}\n{said[:1500]}"] if wrong else []


def test_there_are_enough() -> None:
    assert len(CASES) >= 80


@pytest.mark.skipif(sys.platform != "linux", reason="limits and peaks are told by Linux alone")
@pytest.mark.parametrize("part", range(PROCESSES))
def test_answers(part: int, tmp_path: Path) -> None:
    names = list(CASES)[part::PROCESSES]
    done = subprocess.run(
        [sys.executable, "-m", "tests.hostile.run_cases", str(tmp_path), *names],
        cwd=ROOT, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    found = json.loads(done.stdout)
    assert set(found) == set(names)
    faults = [fault for name in names for fault in faults_of(name, found[name])]
    assert not faults, "\n\n".join(faults)


SENTINEL = "import pathlib\npathlib.Path({mark!r}).write_text('run')\nraise SystemExit('this was run')\n"
NAMED = (
    "json",
    "calendar",
    "sitecustomize",
    "usercustomize",
    "re",
    "io",
    "logging",
    "pypdf",
    "PIL",
    "reportlab",
    "yaml",
    "logbook",
)


def test_nothing_that_lies_in_the_collection_is_run(tmp_path: Path) -> None:
    """Modules of well-known names in the current folder: the command and the process that reads forms pass them by."""
    folder, mark = make_collection(tmp_path / "c", {"001": TREE}), tmp_path / "mark"
    for name in NAMED:
        (folder / f"{name}.py").write_text(SENTINEL.format(mark=str(mark)))
    (folder / "form.pdf").write_bytes(b"%PDF-1.4\n%%EOF\n")
    clean = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    command = str(Path(sys.executable).parent / "benchleaf")
    for words in (
        ["check"],
        ["sheets", "--draft", "-o", "s.pdf"],
        ["reconcile", "form.pdf"],
        ["due", "--ics", "a.ics"],
    ):
        done = subprocess.run(
            [command, *words], cwd=folder, capture_output=True, text=True, timeout=60, check=False, env=clean
        )
        assert "Traceback" not in done.stderr and "this was run" not in done.stdout + done.stderr, (
            words,
            done.stderr,
        )
        assert not mark.exists(), words
    assert (folder / "s.pdf").read_bytes().startswith(b"%PDF") and (folder / "a.ics").exists()
