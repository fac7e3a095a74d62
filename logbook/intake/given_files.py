"""What was given to be read: notes, filled forms or pictures, told apart by their first bytes; notes as text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from ..collection.yaml_reader import decoded
from ..diagnostics import ProblemsFound, stop
from ..values import dataclass
from .decoding import as_utf_8, encoding_of_wide
from .pdf_form import is_pdf, text_if_form

LIMIT_BYTES = 50_000_000
MOST_LINES = 2_000
STARTS = (b"\xff\xd8\xff", b"\x89PNG\r\n", b"II*\0", b"MM\0*", b"GIF87a", b"GIF89a")


@dataclass(frozen=True, slots=True)
class Files:
    """What was given: `raw` holds notes (`encoding`: where they were not UTF-8), or those of filled forms; `pages` have to be looked at."""

    raw: bytes
    pages: tuple[tuple[str, bytes], ...] = ()
    forms: int = 0
    encoding: str = ""

    @property
    def are_notes(self) -> bool:
        """Whether it is typed text alone."""
        return not (self.pages or self.forms)


def sort_files(files: Sequence[tuple[str, bytes]], day: Callable[[], str]) -> Files:
    """Notes, filled forms or pictures, told by their first bytes, never by their names.

    `day` gives the day of ticked boxes that have none; it is asked for where there are forms or pictures. Raises ProblemsFound for
    what is none of these, and for notes that come with anything else.
    """
    if any(is_picture(raw) or is_pdf(raw) for _, raw in files):
        return _pages(files, day())
    if any(b"\0" in raw[:4096] and not encoding_of_wide(raw) for _, raw in files):
        raise stop(
            "this is neither text nor a picture of a kind that is known",
            path=files[0][0],
            hint="give JPEG, PNG, TIFF, WEBP, GIF, BMP or PDF",
        )
    if len(files) > 1:
        raise stop(
            "several files of notes were given", hint="give one at a time; of pictures and scans several will do"
        )
    if len(files[0][1]) > LIMIT_BYTES:
        raise stop("the file is larger than 50 MB", path=files[0][0], hint="give the notes in parts")
    raw, encoding = as_utf_8(files[0][1])
    return Files(raw, encoding=encoding)


def _pages(files: Sequence[tuple[str, bytes]], day: str) -> Files:
    """Filled forms as their fields say; everything else has to be looked at."""
    typed: list[str] = []
    pages: list[tuple[str, bytes]] = []
    for name, raw in files:
        if not (is_pdf(raw) or is_picture(raw)):
            raise stop("this is no picture, while others are", path=name, hint="give files of notes by themselves")
        text = text_if_form(raw, name, day) if is_pdf(raw) else None
        if text is None:
            pages.append((name, raw))
        else:
            typed.append(text)
    return Files("".join(typed).encode(), tuple(pages), len(typed))


def is_picture(raw: bytes) -> bool:
    """Whether bytes begin as a picture of a known kind does."""
    bitmap = raw[:2] == b"BM" and raw[6:10] == bytes(4)
    webp = raw[:4] == b"RIFF" and raw[8:12] == b"WEBP"
    return bitmap or webp or raw.startswith(STARTS) or raw[4:8] == b"ftyp"


def decoded_notes(raw: bytes, named: str, kept: str) -> str:
    """The notes as text. Raises ProblemsFound for bytes that are none and for too many lines, saying where they are `kept`."""
    lines = raw.count(b"\n")
    if lines > MOST_LINES:
        raise stop(
            f"the notes have {lines:,} lines; {MOST_LINES:,} are read at once",
            path=named,
            hint="give them in parts" + (f"; they are kept in notes/{kept}" if kept else ""),
        )
    try:
        return decoded(raw, named)
    except ProblemsFound as found:
        first = found.problems[0]
        hint = "; ".join(p for p in (first.hint, f"the bytes are kept in notes/{kept}" if kept else "") if p)
        raise ProblemsFound([replace(first, hint=hint)]) from None
