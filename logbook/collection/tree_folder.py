"""The folder of trees: which files are trees', which are not and why, and which stood there before."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from ..diagnostics import Place, Problem, stop
from ..storage import known_trees
from ..storage.disk import names_in, why

TREES_FOLDER = known_trees.TREES


def tree_paths(folder: Path) -> list[Path]:
    """The trees' files, in order. Raises ProblemsFound where their folder can't be read."""
    trees = folder / TREES_FOLDER
    return [trees / name for name in _names(folder) if known_trees.is_tree(name)]


def _names(folder: Path) -> list[str]:
    """What `trees/` holds. Raises ProblemsFound where it is missing, a file, a link in a circle, or can't be read."""
    try:
        return names_in(folder / TREES_FOLDER)
    except FileNotFoundError:
        raise stop(
            "the collection's folder of trees is not there",
            path=f"{TREES_FOLDER}/",
            hint="wait until the folder is whole, if it is synced; else bring it back, or make it for a new collection",
        ) from None
    except OSError as error:
        raise stop(
            f"the folder of trees can't be read: {why(error)}",
            path=f"{TREES_FOLDER}/",
            hint="it has to be a folder that may be opened",
        ) from None


def misnamed(folder: Path) -> list[Problem]:
    """Files that somebody may take for trees'. Raises ProblemsFound where the folder can't be read."""
    return [
        Problem(
            "the file is not read: its name ends in .yml",
            Place(f"{TREES_FOLDER}/{name}"),
            f"rename it to {name.removesuffix('.yml')}.yaml",
            "warning",
        )
        for name in _names(folder)
        if name.endswith(".yml") and not name.startswith(".")
    ]


def gone(record: bytes | None, paths: Iterable[Path]) -> list[Problem]:
    """Trees' files that stood there at the last writing. Raises ProblemsFound where so many are gone that it was hardly meant."""
    before = known_trees.known(record)
    lost = before - {path.name for path in paths}
    told = known_trees.gone_told(lost)
    if known_trees.most_are_gone(before, lost):
        raise stop(
            f"{len(lost)} of {len(before)} trees that stood here are not there: {told}",
            path=f"{TREES_FOLDER}/",
            hint=f"wait until the folder is whole; if they are gone on purpose, delete {known_trees.PATH}",
        )
    hint = "if that was you, the next run that writes takes note of it; else bring it back from a backup"
    return [Problem(f"not there any more: {told}", Place(f"{TREES_FOLDER}/"), hint, "warning")] if lost else []
