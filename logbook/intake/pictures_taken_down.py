"""Which pictures of a batch an undo takes down: those that no log names when the batch's own entries are out again."""

from __future__ import annotations

from collections import Counter

from ..collection.model import Collection
from ..storage.journal import Journal
from .service import Ahead


def pictures_that_stay(collection: Collection, last: Journal, ahead: Ahead) -> frozenset[str]:
    """Pictures of a batch that a log still names when its own entries are out again."""
    named = Counter((tree.path, entry.photo) for tree in collection.trees for entry in tree.log if entry.photo)
    taken = Counter((c.path, str(entry.get("photo", ""))) for c in last.changes for entry in c.entries)
    new = {c.path for c in last.changes if c.kind == "new"}
    left = {photo for (path, photo), count in (named - taken).items() if path not in new}
    left |= {str(entry.get("photo", "")) for _, entry in ahead.edited}
    return frozenset(c.path for c in last.changes if c.kind == "picture" and c.path in left)
