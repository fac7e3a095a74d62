"""A window that is closed, and Ctrl-C, lose no line that was typed."""

from __future__ import annotations

import os
import pty
import select
import signal
import sys
import time
from pathlib import Path

import pytest

LINES = b"tree 003\n14 nov looked\n14 nov needls thinned\n"


def typed(folder: Path, then: str) -> str:
    """Type some lines at the prompt, then close the window or press a key; what stands in notes/ afterwards."""
    pid, terminal = pty.fork()
    if pid == 0:
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # whoever runs the tests in the background has it ignored
        os.chdir(folder)
        words = [sys.executable, "-m", "logbook", "reconcile", "-", "--ask", "--today", "2026-11-25"]
        os.execv(sys.executable, words)
    shown, sent, last = b"", False, time.monotonic()
    begun = last
    while True:
        ready, _, _ = select.select([terminal], [], [], 0.1)
        if ready:
            try:
                part = os.read(terminal, 1 << 16)
            except OSError:
                part = b""
            if not part:
                break
            shown, last = shown + part, time.monotonic()
        elif not sent and shown.endswith(b"> ") and time.monotonic() - last > 0.3:
            os.write(terminal, LINES)
            sent, last = True, time.monotonic()
        elif sent and shown.count(b"> ") > LINES.count(b"\n") and time.monotonic() - last > 0.3:
            if then == "hangup":
                os.kill(pid, signal.SIGHUP)
                os.close(terminal)
                break
            os.write(terminal, b"\x03")
            last = time.monotonic()
        assert time.monotonic() - begun < 60, shown.decode()
    os.waitpid(pid, 0)
    return "".join(path.read_text("utf-8") for path in sorted((folder / "notes").glob("2026-*.txt")))


@pytest.mark.parametrize("then", ["hangup", "ctrl-c"])
def test_what_was_typed_is_kept(demo: Path, then: str) -> None:
    assert typed(demo, then) == LINES.decode()
