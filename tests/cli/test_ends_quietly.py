"""Outputs that are closed, full or broken, and a run that is stopped: the right code, few words, no trace."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from ..conftest import make_collection

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="/dev/full and signals as Linux has them")
TREE = 'tag: "001"\nspecies: Acer palmatum\nlog:\n  - {date: 2026-01-10, note: before}\n'
COMMAND = str(Path(sys.executable).parent / "benchleaf")
ENVIRONMENT = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
FULL = "no space left on device"


def shell(folder: Path, line: str) -> tuple[int, str, str]:
    """A line of sh in a collection; `B` is the command."""
    env = {**ENVIRONMENT, "B": COMMAND}
    done = subprocess.run(
        ["sh", "-c", line], cwd=folder, capture_output=True, text=True, timeout=60, check=False, env=env
    )
    assert "Traceback" not in done.stderr and "ignored" not in done.stderr, done.stderr
    return done.returncode, done.stdout, done.stderr


@pytest.mark.parametrize(
    ("line", "code", "told"),
    [
        ("$B --version >/dev/full", 1, FULL),
        ("$B --version >&-", 0, ""),
        ("$B -h >/dev/full", 1, FULL),
        ("$B due >/dev/full", 1, FULL),
        ("$B due --json >/dev/full", 1, FULL),
        ("PYTHONUNBUFFERED=1 $B --version >/dev/full", 1, FULL),
        ("$B due >&-", 0, ""),
        ("$B check >&- 2>&- <&-", 0, ""),
        ("$B nonsense 2>/dev/full", 2, ""),
        ("$B -C nowhere check 2>/dev/full", 1, ""),
        ("$B due --json | true", 0, ""),
    ],
)
def test_outputs_that_take_nothing(line: str, code: int, told: str, tmp_path: Path) -> None:
    folder = make_collection(tmp_path / "c", {"001": TREE})
    found, _, err = shell(folder, line)
    assert found == code and told in err


def test_paper_is_whole_where_every_stream_is_closed(tmp_path: Path) -> None:
    """The next file that is opened must not take the place of a closed stream."""
    folder = make_collection(tmp_path / "c", {"001": TREE})
    assert shell(folder, "$B sheets -o s.pdf <&- >&- 2>&-")[0] == 0
    assert (folder / "s.pdf").read_bytes().startswith(b"%PDF") and len(list((folder / "printed").iterdir())) == 1


MAIN = "from logbook.__main__ import main; import sys; print('begun', flush=True); sys.exit(main())"


@pytest.mark.parametrize("milliseconds", range(0, 300, 50))
def test_stopped_at_any_time(milliseconds: int, tmp_path: Path) -> None:
    """Ctrl-C from the command's first line on, in the middle of its imports as well."""
    folder = make_collection(tmp_path / "c", {"001": TREE})
    words = ["-C", str(folder), "sheets", "--draft", "-o", str(tmp_path / "s.pdf")]
    with subprocess.Popen(
        [sys.executable, "-c", MAIN, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as run:
        assert run.stdout is not None and run.stdout.readline() == "begun\n"
        time.sleep(milliseconds / 1000)
        run.send_signal(signal.SIGINT)
        _, err = run.communicate(timeout=60)
    assert run.returncode in (0, 130), err
    assert "Traceback" not in err and "fault of its own" not in err and "ignored" not in err, err
    assert [p.name for p in tmp_path.iterdir() if p.name.endswith(".part")] == []
