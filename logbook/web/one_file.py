"""Photographs within the one file: small, without anything but the picture, and no more of them than a telephone opens well.

The newest of each tree come first, then the ones before. Each may have its share of the room that is left, in the largest size that
fits it, so that no tree goes without because another one came before it.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field, replace

from ..collection.model import Entry, Tree
from ..diagnostics import Problem
from ..paper.photos import Photo, photo_of_entry, smaller
from ..values import dataclass
from .facts import Shot, TreeFacts
from .photographs import millimetres

SIXTY_TREES_BYTES = 2_500_000  # of the whole file; of fewer trees as much, of more in proportion
SIZES = ((640, 75), (480, 70), (320, 65), (240, 60))  # longer side, px, and quality
LEAST_BYTES = 4_000  # for which no size is small enough
AROUND_BYTES, LETTER_BYTES = (
    260,
    6,
)  # a figure without its picture and words; a letter of its words, however it is written


@dataclass(slots=True)
class Album:
    """The photographs of a collection that the one file might show, by a number, which stands for their path."""

    folder: str
    entries: list[tuple[Tree, Entry]] = field(default_factory=list)
    shots: dict[str, Shot] = field(default_factory=dict)
    shown: int = 0
    left_out: int = 0
    problems: list[Problem] = field(default_factory=list)


def album(folder: str, trees: Iterable[Tree]) -> Album:
    """The photographs of these trees; none is opened yet."""
    made = Album(folder)
    for tree in trees:
        for entry in tree.log:
            if entry.photo and entry.photo not in made.shots:
                made.shots[entry.photo] = Shot(str(len(made.entries)), 0, 0)
                made.entries.append((tree, entry))
    return made


def bare(trees: Sequence[TreeFacts]) -> list[TreeFacts]:
    """The trees without their photographs."""
    return [replace(tree, shots=()) for tree in trees]


def filled(trees: Sequence[TreeFacts], album: Album, taken_bytes: int) -> list[TreeFacts]:
    """The trees with those photographs that fit into one file beside what is taken; the album then says how many are shown."""
    room = max(1.0, len(trees) / 60) * SIXTY_TREES_BYTES - taken_bytes
    found: dict[tuple[int, int], Shot] = {}
    for places in _rounds(trees):
        for number, (tree, at) in enumerate(places):
            share = room / (len(places) - number)
            shot = _fitted(album, trees[tree].shots[at], trees[tree].tag, share)
            if shot is not None:
                found[tree, at] = shot
                room -= _bytes(shot, trees[tree].tag)
    album.shown = len(found)
    return [
        replace(one, shots=tuple(found[n, at] for at in range(len(one.shots)) if (n, at) in found))
        for n, one in enumerate(trees)
    ]


def _rounds(trees: Sequence[TreeFacts]) -> Iterator[list[tuple[int, int]]]:
    """Where the newest photograph of each tree stands, then the ones before those, as long as there are any."""
    for back in range(1, max((len(tree.shots) for tree in trees), default=0) + 1):
        yield [(n, len(tree.shots) - back) for n, tree in enumerate(trees) if len(tree.shots) >= back]


def _fitted(album: Album, shot: Shot, tag: str, most: float) -> Shot | None:
    """The photograph in the largest size that fits; None where none does, or where it can't be read."""
    if most < LEAST_BYTES:
        album.left_out += 1
        return None
    photo = photo_of_entry(album.folder, *album.entries[int(shot.file)], millimetres(SIZES[0][0]))
    if isinstance(photo, Problem):
        if photo not in album.problems:
            album.problems.append(photo)
        return None
    for longest, quality in SIZES:
        made = _within(shot, smaller(photo, longest, quality))
        if _bytes(made, tag) <= most:
            return made
    album.left_out += 1
    return None


def _within(shot: Shot, photo: Photo) -> Shot:
    data = base64.b64encode(photo.jpeg).decode("ascii")
    return replace(shot, file=f"data:image/jpeg;base64,{data}", width=photo.width, height=photo.height)


def _bytes(shot: Shot, tag: str) -> int:
    """What a photograph adds to the file at most."""
    return len(shot.file) + AROUND_BYTES + LETTER_BYTES * (len(shot.caption) + 2 * len(shot.day) + len(tag))
