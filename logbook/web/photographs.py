"""Photographs for pages: made small, stripped of everything but the picture, and named by what they show, never by their path.

One that lies there already under the name of its source is not made again.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import field
from hashlib import file_digest
from pathlib import Path

from ..collection.model import Entry, Tree
from ..diagnostics import Problem
from ..paper.photos import PRINT_DPI, Photo, photo_of_entry
from ..values import dataclass
from .facts import Shot

FOLDER = "photos"
LONGEST_PX = 1000
COMMENT = b"benchleaf pages"  # by which a picture is known as one of ours
_NAME = re.compile(r"[0-9a-f]{20}-(\d{1,5})x(\d{1,5})\.jpg")
_START, _COMMENT = b"\xff\xd8", b"\xff\xfe"


@dataclass(slots=True)
class Photographs:
    """Photographs by their path as it is logged; the bytes of those that have to be written, by file; what can't be shown."""

    shots: dict[str, Shot] = field(default_factory=dict)
    new: dict[str, bytes] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def photographs(collection: str, trees: Iterable[Tree], pages: Path) -> Photographs:
    """The photographs of these trees, for pages in that folder."""
    made = Photographs()
    there = _lying_there(pages)
    for tree in trees:
        for entry in tree.log:
            if entry.photo and entry.photo not in made.shots:
                _add(made, collection, tree, entry, there)
    return made


def _add(made: Photographs, collection: str, tree: Tree, entry: Entry, there: Mapping[str, str]) -> None:
    source = _digest(Path(collection) / entry.photo)
    name = there.get(source, "")
    if not name:
        photo = photo_of_entry(collection, tree, entry, millimetres(LONGEST_PX))
        if isinstance(photo, Problem):
            made.problems.append(photo)
            return
        name = f"{source}-{photo.width}x{photo.height}.jpg"
        made.new[f"{FOLDER}/{name}"] = _commented(photo)
    found = _NAME.fullmatch(name)
    assert found, "a name made here"
    made.shots[entry.photo] = Shot(f"{FOLDER}/{name}", int(found[1]), int(found[2]))


def millimetres(pixels: int) -> float:
    """What so many pixels are on paper."""
    return pixels / PRINT_DPI * 25.4


def _digest(path: Path) -> str:
    if not path.is_file():
        return ""
    try:
        with path.open("rb") as file:
            return file_digest(file, "sha256").hexdigest()[:20]
    except OSError:
        return ""  # whoever opens it next tells why


def _commented(photo: Photo) -> bytes:
    """The picture with a comment that says where it was made, and nothing else beside its pixels."""
    told = _COMMENT + (len(COMMENT) + 2).to_bytes(2, "big") + COMMENT
    return _START + told + photo.jpeg.removeprefix(_START)


def is_ours(path: Path) -> bool:
    """Whether a file is a photograph that was made for pages."""
    if not _NAME.fullmatch(path.name) or path.is_symlink():
        return False
    with path.open("rb") as file:
        return COMMENT in file.read(64)


def _lying_there(pages: Path) -> dict[str, str]:
    """The photographs that lie beside the pages, by their source."""
    folder = pages / FOLDER
    files = folder.iterdir() if folder.is_dir() else ()
    return {path.name[:20]: path.name for path in files if path.is_file() and is_ours(path)}
