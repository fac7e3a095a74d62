"""Pages into a folder: only what changed is written, and nothing is written over that was not made here."""

from __future__ import annotations

import stat
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import field
from pathlib import Path

from ..diagnostics import Place, Problem, stop
from ..values import dataclass
from .marks import HEAD_BYTES, Readers, checksum_in, mark_of, readers_of
from .photographs import FOLDER as PHOTOS
from .photographs import is_ours


@dataclass(slots=True)
class Outcome:
    """What became of a folder's pages: those written, how many were the same, photographs that no page shows and pages of no tree."""

    written: list[str] = field(default_factory=list)
    same: int = 0
    removed: list[str] = field(default_factory=list)
    strays: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    names: set[str] = field(default_factory=set)  # of all pages, whatever became of them


def write_page(folder: Path, name: str, text: str, *, dry_run: bool) -> Outcome:
    """Write one page, and tell what became of it. Raises OSError where the disk refuses."""
    made = Outcome()
    put(folder, name, text.encode("utf-8"), made, dry_run=dry_run)
    return made


def together(some: Iterable[Outcome]) -> Outcome:
    """What became of several as one."""
    whole = Outcome()
    for one in some:
        whole.written += one.written
        whole.same += one.same
        whole.problems += one.problems
        whole.names |= one.names
    return whole


def write_rest(
    folder: Path, made: Outcome, photos: Mapping[str, bytes], shown: Collection[str], *, dry_run: bool
) -> None:
    """What belongs to pages that are written: new photographs; `shown` are all that a page names. Raises OSError where the disk refuses."""
    for name, data in photos.items():
        _place(folder / name, data, dry_run=dry_run)
        made.written.append(name)
    for path in list(_unshown(folder, shown)):
        made.removed.append(f"{PHOTOS}/{path.name}")
        if not dry_run:
            path.unlink()
    made.strays = [path.name for path, _ in _pages_of(folder, made.names)]


def must_be_for(folder: Path, readers: Readers) -> None:
    """Raises ProblemsFound where the folder holds pages for others: the keeper's must never stand among those for anybody."""
    for path, found in _pages_of(folder):
        if found is not readers:
            raise stop(
                f"this folder holds pages for {found}",
                path=str(path),
                hint="give another folder with -o: pages for the keeper and pages for anybody never share one",
            )


def must_not_replace(path: Path, readers: Readers) -> None:
    """Raises ProblemsFound for one file in the place of pages for others, or among them: the keeper's garden on everybody's index."""
    for there in (path, path.with_name("index.html")):
        if there.is_file() and not there.is_symlink():
            with there.open("rb") as file:
                found = readers_of(file.read(HEAD_BYTES))
            if found and found is not readers:
                raise stop(
                    f"here are pages for {found}",
                    path=str(there),
                    hint="give another file with --one, in a folder of its own: pages for the keeper and pages for anybody never share one",
                )


def _pages_of(folder: Path, but: Collection[str] = ()) -> Iterator[tuple[Path, Readers]]:
    """The pages in the folder itself that were made here, and for whom; without those of these names."""
    for path in sorted(folder.iterdir()) if folder.is_dir() else ():
        if path.name not in but and path.suffix == ".html" and path.is_file() and not path.is_symlink():
            with path.open("rb") as file:
                found = readers_of(file.read(HEAD_BYTES))
            if found:
                yield path, found


def put(folder: Path, name: str, data: bytes, made: Outcome, *, dry_run: bool) -> None:
    """Write one page whole, or not at all; what stands there and was not made here stays."""
    path = folder / name
    made.names.add(name)
    why, same = _standing(path, data)
    if why:
        made.problems.append(
            Problem(why, Place(str(path)), "it stays as it is; move it away, or give another folder")
        )
    elif same:
        made.same += 1
    else:
        _place(path, data, dry_run=dry_run)
        made.written.append(name)


def _standing(path: Path, data: bytes) -> tuple[str, bool]:
    """Why what stands there may not be written over, and whether it says the same already."""
    try:
        mode = path.lstat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return "", False
    if not stat.S_ISREG(mode):
        return "this is no page that was made here", False
    there = path.read_bytes()
    if there == data:
        return "", True
    old = mark_of(there)
    if old is None:
        return "this page was not made here", False
    if not old.intact:
        return "this page was changed by hand", False
    return "", old.checksum == checksum_in(data)


def _place(path: Path, data: bytes, *, dry_run: bool) -> None:
    if dry_run:
        return
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_bytes(data)
    except FileNotFoundError:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(data)
    part.replace(path)


def _unshown(folder: Path, shown: Collection[str]) -> Iterator[Path]:
    """Photographs made here that no page shows any more."""
    photos = folder / PHOTOS
    for path in sorted(photos.iterdir()) if photos.is_dir() else ():
        if path.is_file() and f"{PHOTOS}/{path.name}" not in shown and is_ours(path):
            yield path
