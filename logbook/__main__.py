"""Entry point of the command."""

from __future__ import annotations

import gc
import sys

NEW_OBJECTS = 200_000  # before the collector looks: a run is short, and what it reads is kept to its end


def main() -> int:
    """Run the command; the version is told without loading anything else."""
    if sys.argv[1:] == ["--version"]:
        from .cli.versions import versions_told

        sys.stdout.write(versions_told())
        return 0
    gc.set_threshold(NEW_OBJECTS, 20, 20)
    from .cli.main import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    raise SystemExit(main())
