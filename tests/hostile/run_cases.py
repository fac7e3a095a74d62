"""Runs cases in a process of its own with limits, and tells what each of them came to, as JSON.

Given on the command line: a folder to work in, and the names of the cases. Memory is the process's own peak (VmHWM, set back
before each case) over what it had; a case that takes longer than its seconds is stopped and told as such.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import os
import resource
import shutil
import signal
import sys
import time
from pathlib import Path

ADDRESS_SPACE = 2_500_000_000  # what a case may map at most: libraries for pictures map much that they never touch
SECONDS = 60  # by the clock, on a machine that may be busy; what is judged is the time of the processor


class TooLong(BaseException):
    """The case's time is up."""


def tree_hash(folder: Path) -> str:
    """One hash of all names, kinds and regular files below a folder; no link is followed."""
    found = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        mode = path.lstat().st_mode
        found.update(f"{path.relative_to(folder)}\0{mode}\0".encode("utf-8", "surrogateescape"))
        if path.is_symlink():
            found.update(os.fsencode(path.readlink()))
        elif path.is_file():
            size = path.stat().st_size  # a giant is known by that alone
            found.update(path.read_bytes() if size < 100_000_000 else str(size).encode())
    return found.hexdigest()


def peak_megabytes(*, back: bool = False) -> float:
    """The most memory this process had; with `back` counted from now on."""
    if back:
        Path("/proc/self/clear_refs").write_text("5")
    said = Path("/proc/self/status").read_text()
    return int(next(line for line in said.splitlines() if line.startswith("VmHWM")).split()[1]) / 1024


def told(words: list[str]) -> tuple[int, str]:
    """Exit code and all that is shown."""
    from logbook.cli.main import run

    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            code = run(words)
        except SystemExit as left:
            code = int(left.code or 0)
    return code, out.getvalue()


def outcome(name: str, home: Path) -> dict[str, object]:
    """Make the case's folder, do what it says, and say what came of it."""
    from .cases import CASES, collection

    case = CASES[name]
    home.mkdir()
    (home / "outside").mkdir()
    (home / "outside" / "precious.txt").write_text("untouched\n")
    folder = collection(home / "c")
    case.make(folder)
    outside, inside = tree_hash(home / "outside"), tree_hash(folder / "trees") if (folder / "trees").is_dir() else ""
    words = [word.replace("{c}", str(folder)).replace("{home}", str(home)) for word in case.words]
    stood, began = peak_megabytes(back=True), time.process_time()
    signal.alarm(SECONDS)
    try:
        code, said = told(["-C", str(folder), *words])
    except TooLong:
        code, said = -1, "took too long"
    finally:
        signal.alarm(0)
    return {
        "code": code,
        "said": said[:100_000],
        "length": len(said),
        "seconds": time.process_time() - began,
        "megabytes": peak_megabytes() - stood,
        "outside": tree_hash(home / "outside") == outside
        and {path.name for path in home.iterdir()} <= {"outside", "c", *case.makes},
        "trees": not inside or tree_hash(folder / "trees") == inside,
    }


def main() -> None:
    """Run the cases named, one after another."""

    def stop(_signal: int, _frame: object) -> None:
        raise TooLong

    signal.signal(signal.SIGALRM, stop)
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESS_SPACE, ADDRESS_SPACE))
    work = Path(sys.argv[1])
    found = {}
    for number, name in enumerate(sys.argv[2:]):
        found[name] = outcome(name, work / str(number))
        shutil.rmtree(work / str(number), ignore_errors=True)
    sys.stdout.write(json.dumps(found))


if __name__ == "__main__":
    main()
