"""Entry point of the command: whatever becomes of its output, and whenever it is stopped, it ends with its code and no trace."""

from __future__ import annotations

import gc
import os
import sys
import warnings

NEW_OBJECTS = 200_000  # before the collector looks: a run is short, and what it reads is kept to its end
FULL, STOPPED = 1, 130


def main() -> int:
    """Run the command, its imports guarded like the rest."""
    try:
        _open_what_is_closed()
        code = _flushed(_run(sys.argv[1:]))
    except KeyboardInterrupt:
        code = _stopped()
    except OSError as error:
        code = _flushed(_unsaid(error))
    _undisturbed()
    return code


def _run(arguments: list[str]) -> int:
    """The version is told without loading anything else."""
    try:
        if arguments == ["--version"]:
            from .cli.versions import versions_told

            sys.stdout.write(versions_told())
            return 0
        gc.set_threshold(NEW_OBJECTS, 20, 20)
        if not sys.warnoptions:
            warnings.simplefilter("ignore")  # libraries warn of what is told in our own words
        from .cli.main import run

        return run(arguments)
    except SystemExit as left:
        return left.code if isinstance(left.code, int) else 0 if left.code is None else 1


def _open_what_is_closed() -> None:
    """A standard stream that was closed leads nowhere: else the next file that is opened would take its place."""
    for handle, name in enumerate(("stdin", "stdout", "stderr")):
        try:
            os.fstat(handle)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
        if getattr(sys, name) is None:
            setattr(sys, name, open(handle, "r+" if handle == 0 else "w", closefd=False))  # noqa: SIM115 - to the end


def _flushed(code: int) -> int:
    """What is still to be written is written here, where it can be told if it can't."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except BrokenPipeError:
            _to_nowhere(stream.fileno())
        except OSError as error:
            _to_nowhere(stream.fileno())
            code = code or FULL
            if stream is sys.stdout:
                _say(f"error: {(error.strerror or str(error)).lower()}")
    return code


def _unsaid(error: OSError) -> int:
    """A version that could not be told."""
    if not isinstance(error, BrokenPipeError):
        _say(f"error: {(error.strerror or str(error)).lower()}")
    return 0 if isinstance(error, BrokenPipeError) else FULL


def _to_nowhere(handle: int) -> None:
    """The interpreter flushes once more at its end, and would complain."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), handle)


def _stopped() -> int:
    try:
        _undisturbed()
        _say("\nstopped")
    except KeyboardInterrupt:
        pass
    return STOPPED


def _say(words: str) -> None:
    try:
        sys.stderr.write(f"{words}\n")
        sys.stderr.flush()
    except OSError:
        _to_nowhere(2)


def _undisturbed() -> None:
    """From here on nothing is left to be stopped."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)


if __name__ == "__main__":
    raise SystemExit(main())
