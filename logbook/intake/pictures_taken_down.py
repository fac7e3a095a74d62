"""Which pictures of a batch an undo takes down: those that no log names when the batch's own entries are out again."""

from __future__ import annotations

from collections import Counter

from ..collection.model import Collection
from ..storage.journal import Journal
from .service import Ahead


def pictures_that_stay(collection: Collection, last: Journal, ahead: Ahead) -> frozenset[str]:
    """Pictures of a batch that a log still names when its own entries are out again."""
    named = Counter((tree.path, entry.photo) for tree in collection.trees for entry in tree.log if entry.photo)
    edited = {(path, str(entry.get("photo", ""))) for path, entry in ahead.edited}
    for change in last.changes:
        if change.kind == "new":
            named = Counter({key: n for key, n in named.items() if key[0] != change.path})
        named.subtract((change.path, str(entry.get("photo", ""))) for entry in change.entries)
    left = {photo for (_, photo), count in named.items() if count > 0} | {photo for _, photo in edited}
    return frozenset(c.path for c in last.changes if c.kind == "picture" and c.path in left)
