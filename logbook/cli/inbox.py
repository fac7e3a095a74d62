"""The folder into which a grower drops what is to be read: notes, answers, forms, scans, pictures of sheets and of trees.

What was read goes into a folder of its day, and what could not be into another, so that nothing is offered twice; nothing is ever deleted.
"""

from __future__ import annotations

import os
import re
from dataclasses import field
from datetime import date
from pathlib import Path

from ..collection.yaml_reader import file_bytes
from ..diagnostics import ProblemsFound
from ..intake.decoding import encoding_of_wide
from ..intake.given_files import is_picture
from ..intake.page_answers import is_answers
from ..intake.pdf_form import is_pdf
from ..storage.printed import Ledger, serial_in
from ..values import dataclass

INBOX, READ, NOT_READ = "inbox", "read", "not-read"
FIRST_BYTES = 4096
MOST_BYTES = 300_000_000
ARCHIVE = b"PK\x03\x04"


@dataclass(slots=True)
class Inbox:
    """The files that wait, by what they are: notes, answers, pictures, PDF files, archives; `strange` ones are none of these."""

    notes: list[Path] = field(default_factory=list)
    answers: list[Path] = field(default_factory=list)
    pictures: list[Path] = field(default_factory=list)
    papers: list[Path] = field(default_factory=list)
    archives: list[Path] = field(default_factory=list)
    strange: list[Path] = field(default_factory=list)

    @property
    def waiting(self) -> int:
        """How many files can be read."""
        return sum(map(len, (self.notes, self.answers, self.pictures, self.papers, self.archives)))

    def told(self) -> list[str]:
        """What waits, in words."""
        kinds = (
            (self.pictures, "picture", "pictures"),
            (self.papers, "scan or form", "scans or forms"),
            (self.notes, "file of notes", "files of notes"),
            (self.answers, "file of answers", "files of answers"),
            (self.archives, "tree handed over", "trees handed over"),
        )
        return [f"{len(files)} {one if len(files) == 1 else many}" for files, one, many in kinds if files]


def look_into(folder: Path) -> Inbox:
    """What lies in a collection's inbox and in folders in it; what is hidden is passed over, and so are links and pipes, which are strange."""
    found = Inbox()
    for entry in _entries(folder / INBOX):
        if entry.is_dir(follow_symlinks=False) and entry.name not in (READ, NOT_READ):
            inner = _entries(Path(entry.path))
        else:
            inner = [] if entry.name in (READ, NOT_READ) else [entry]
        for one in inner:
            path = Path(one.path)
            (_kind_of(path, found) if one.is_file(follow_symlinks=False) else found.strange).append(path)
    return found


def _entries(folder: Path) -> list[os.DirEntry[str]]:
    """What lies in a folder and is not hidden, by name; nothing where it can't be looked into."""
    try:
        return sorted((e for e in os.scandir(folder) if not e.name.startswith(".")), key=lambda entry: entry.name)
    except OSError:
        return []


def _kind_of(path: Path, found: Inbox) -> list[Path]:
    """The list that a file belongs to, told by its first bytes, never by its name."""
    try:
        with path.open("rb") as file:
            first = file.read(FIRST_BYTES)
    except OSError:
        return found.strange
    if is_pdf(first):
        return found.papers
    if is_picture(first):
        return found.pictures
    if first.startswith(ARCHIVE):
        return found.archives
    if is_answers(first):
        return found.answers
    text = b"\0" not in first or bool(encoding_of_wide(first[: len(first) & ~1]))
    return found.notes if text and first.strip() else found.strange


def of_sheets(pictures: list[Path], ledger: Ledger) -> tuple[list[Path], list[Path]]:
    """Pictures that show a sheet on record, or may; and the others, which are of trees and tags.

    Where codes can't be read (the extra is not there), a picture that is named by a tree's number is of the tree.
    """
    try:
        from ..camera.apart import pictures_apart
        from ..camera.registration import find_codes
    except ImportError:
        named = [path for path in pictures if re.match(r"\d{2,4}(?!\d)", path.stem)]
        return [path for path in pictures if path not in named], named
    sheets: list[Path] = []
    others: list[Path] = []
    for path in pictures:
        try:
            codes = [
                code
                for _, gray in pictures_apart(file_bytes(path, path.name, MOST_BYTES), path.name)
                for code in find_codes(gray)
            ]
        except ProblemsFound:
            others.append(path)
            continue
        (sheets if any(serial_in(code.text)[0] in ledger.sheets for code in codes) else others).append(path)
    return sheets, others


def put_away(folder: Path, files: list[Path], today: date, where: str = READ) -> Path:
    """Move what was read into the day's folder, or what could not be into that of NOT_READ; never over another file."""
    room = folder / INBOX / where / today.isoformat()
    for path in files:
        room.mkdir(parents=True, exist_ok=True)
        target = _free(room, path)
        try:
            os.link(path, target)  # never over a file that another program puts there meanwhile
        except OSError:
            if target.exists():
                continue
            path.rename(target)
        else:
            path.unlink()
    return room


def _free(room: Path, path: Path) -> Path:
    number, target = 1, room / path.name
    while target.exists():
        number += 1
        target = room / f"{path.stem} {number}{path.suffix}"
    return target
