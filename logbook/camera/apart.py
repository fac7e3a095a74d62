"""Pictures decoded in a process of their own, with limits on memory and time, in an empty folder: they may come from anybody.

The process is given the file's bytes and hands back gray pictures one after another, each behind a line that says its name and
size; a line without a size says what is wrong, and is the last one.
"""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO

import numpy as np

from ..diagnostics import ProblemsFound, stop
from ..storage.own_limits import limit_self
from .pictures import pictures_in
from .registration import Gray

MOST_MEMORY = 3_000_000_000  # of addresses: libraries for pictures map much that they never touch
MOST_SECONDS = 600  # of the processor; a thick scan has hundreds of pages
_ROOT = Path(__file__).resolve().parents[2]
_HELPER = "import sys; sys.path.insert(0, sys.argv[1]); from logbook.camera.apart import main; main(sys.argv[2])"
_LIMITS = "this takes too much memory or time to read as a picture"
_SMALLER = "save a smaller copy; 12 million pixels are plenty"


def pictures_apart(raw: bytes, shown: str) -> Iterator[tuple[str, Gray]]:
    """Each picture of a file with its name, as `pictures_in` gives them. Raises ProblemsFound."""
    with tempfile.TemporaryDirectory(prefix="benchleaf-picture-") as folder:
        given = Path(folder) / "given"
        given.write_bytes(raw)
        words = [sys.executable, "-I", "-c", _HELPER, str(_ROOT), shown]
        with (
            given.open("rb") as stdin,
            subprocess.Popen(
                words, stdin=stdin, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, cwd=folder
            ) as run,
        ):
            assert run.stdout is not None
            try:
                yield from _received(run.stdout, shown)
            finally:
                run.stdout.close()
                with contextlib.suppress(OSError):
                    run.kill()


def _received(stream: IO[bytes], shown: str) -> Iterator[tuple[str, Gray]]:
    """The pictures out of the stream, to its last line. Raises ProblemsFound where it says what is wrong, or breaks off."""
    while line := stream.readline():
        said = json.loads(line)
        if "message" in said:
            raise stop(said["message"], path=said["path"], hint=said["hint"])
        if "end" in said:
            return
        high, wide = said["size"]
        data = stream.read(high * wide)
        if len(data) < high * wide:
            break
        yield said["name"], np.frombuffer(bytearray(data), np.uint8).reshape(high, wide)
    raise stop(_LIMITS, path=shown, hint=_SMALLER)


def main(shown: str) -> None:
    """Decode what comes by standard input, in a process of its own."""
    limit_self(MOST_SECONDS, MOST_MEMORY)
    out = sys.stdout.buffer

    def told(**said: object) -> None:
        out.write(json.dumps(said).encode() + b"\n")

    try:
        for name, gray in pictures_in(sys.stdin.buffer.read(), shown):
            told(name=name, size=gray.shape)
            out.write(gray.tobytes())
        told(end=True)
    except ProblemsFound as found:
        problem = found.problems[0]
        told(message=problem.message, path=problem.place.path if problem.place else "", hint=problem.hint)
    except MemoryError:
        told(message=_LIMITS, path=shown, hint=_SMALLER)
    out.flush()
