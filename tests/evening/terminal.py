"""A grower at a pseudo-terminal: keys are typed when a prompt stands there, and what appeared is kept."""

from __future__ import annotations

import os
import pty
import select
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

PROMPTS = (b"] ", b": ", b"> ", b"? ")
QUIET_SECONDS = 0.25


@dataclass(frozen=True, slots=True)
class Sat:
    """What an evening showed, its exit code, and the answers that nothing asked for."""

    screen: str
    code: int
    left: tuple[str, ...]


def sit(folder: Path, answers: Sequence[str], *words: str, prompts: tuple[bytes, ...] = PROMPTS) -> Sat:
    """Run the command in a folder, and answer its prompts one by one."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(folder)
        os.environ["COLUMNS"] = "110"
        os.execv(sys.executable, [sys.executable, "-m", "logbook", *words])
    shown, waiting, last = b"", list(answers), time.monotonic()
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
        elif waiting and shown.endswith(prompts) and time.monotonic() - last > QUIET_SECONDS:
            os.write(terminal, f"{waiting.pop(0)}\n".encode())
            last = time.monotonic()
        assert time.monotonic() - last < 90, shown.decode()
    _, status = os.waitpid(pid, 0)
    return Sat(shown.decode().replace("\r\n", "\n"), os.waitstatus_to_exitcode(status), tuple(waiting))
