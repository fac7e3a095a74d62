"""A collection opened to be changed: its store, and what was read of it inside the lock."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from ..collection.load import must_be_collection
from ..intake.archive import hooks
from ..storage.opening import opened
from ..storage.store import Store
from .common import Opened, open_for


@contextmanager
def writing(
    options: argparse.Namespace, first: Callable[[Store], None] = lambda _: None, only: str = ""
) -> Iterator[tuple[Store, Opened]]:
    """The store and the collection; with --dry-run what is written stays in memory. `first` is done before anything is read.
    `only`: the tag of the one tree that it is opened for.

    Raises ProblemsFound where there is no collection (nothing is locked then), or another process holds it too long.
    """
    folder = Path(options.folder)
    must_be_collection(folder)

    def load(instead: Mapping[str, bytes | None]) -> Opened:
        return open_for(options, only, instead)

    with opened(folder, hooks(), load, dry_run=options.dry_run, first=first) as held:
        yield held
