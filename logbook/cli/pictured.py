"""Pictures given to reconcile: looked at, told, asked about, and turned into the notes they amount to."""

from __future__ import annotations

import argparse
import hashlib
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..notes.forms import is_pdf
from ..notes.shorthand import INTENTION
from ..problems import Place, Problem, ProblemsFound, stop
from ..record.disk import Disk
from ..record.ledger import Ledger, load_ledger
from .common import Opened, a_day, must_be_writable, write_output

if TYPE_CHECKING:
    from ..camera.notes import Values
    from ..camera.seen import SeenPage

MOST_BYTES = 300_000_000
STARTS = (b"\xff\xd8\xff", b"\x89PNG\r\n", b"II*\0", b"MM\0*")
KEPT = "notes/pictures"
Talk = Callable[[Sequence[str]], str]


@dataclass(slots=True)
class Given:
    """What was given to be read: notes as bytes; and of pictures what is told, what is wrong, what was seen, what is kept."""

    raw: bytes
    told: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    seen: list[dict[str, Any]] = field(default_factory=list)
    page: Path | None = None
    kept: Mapping[str, bytes] = field(default_factory=dict)


def arguments(parser: argparse.ArgumentParser) -> None:
    told = parser.add_argument_group("pictures and scans of sheets (need the extra 'camera'), and forms")
    told.add_argument("--day", type=_day, metavar="DAY", help="the day of ticked boxes that have none: '14 oct'")
    told.add_argument(
        "--page",
        type=Path,
        metavar="FILE.html",
        help="where the page to type on is written (default: the picture's name)",
    )
    told.add_argument(
        "--keep-picture", action="store_true", help=f"keep a gray copy in {KEPT}/, without the file's own data"
    )


def _day(text: str) -> str:
    """A day in any form that notes know; it is put into them as it stands."""
    from ..notes.typed import leading_date

    found = leading_date(text, "day-month")
    if found is None or found.rest or found.bad:
        return a_day(text).isoformat()
    return text


def is_picture(raw: bytes) -> bool:
    return raw.startswith(STARTS) or raw[4:8] == b"ftyp" or (raw[:4] == b"RIFF" and raw[8:12] == b"WEBP")


def read(files: Sequence[tuple[str, bytes]], options: argparse.Namespace, opened: Opened, talk: Talk) -> Given:
    """Look at every picture. Raises ProblemsFound where not one sheet can be read, or the extra is not there."""
    pages, problems, kept = _looked_at(files, load_ledger(opened.folder), keep=options.keep_picture)
    if not pages:
        hint = "print one with 'sheets --form' (a flattened copy has lost its fields), or scan sheets that were written on"
        no_form = [Problem("the PDF holds no form of ours", Place(n), hint) for n, raw in files if is_pdf(raw)]
        raise ProblemsFound([*no_form, *problems])
    from ..camera.notes import UNREAD, is_list, sheet_notes, values_of
    from ..camera.seen import by_sheet

    sheets = by_sheet(pages)
    values = {serial: values_of(found) for serial, found in sheets.items()}
    told = [_told(found, values[serial]) for serial, found in sheets.items()]
    if options.ask and sys.stdin.isatty():
        values = {serial: _typed(found, values[serial], talk) for serial, found in sheets.items()}
    text = "".join(
        sheet_notes(s, is_list(found[0].sheet), values[s], options.day or "") for s, found in sheets.items()
    )
    given = Given(text.encode(), problems=tuple(problems), seen=_data(pages), kept=kept)
    if UNREAD in {v for of_sheet in values.values() for v in of_sheet.values()}:
        given.page = options.page or Path(f"{Path(files[0][0]).stem}.html")
        told += _page_written(given.page, pages, options)
    given.told = tuple(told)
    return given


def _looked_at(
    files: Sequence[tuple[str, bytes]], ledger: Ledger, *, keep: bool
) -> tuple[list[SeenPage], list[Problem], dict[str, bytes]]:
    """One picture at a time, so that a thick scan needs no more memory than a page."""
    try:
        from ..camera.pictures import pictures_in
        from ..camera.seen import read_pictures
        from ..camera.writing import kept_copy
    except ImportError as missing:
        raise stop(
            f"pictures can't be read: the library '{missing.name}' is not there",
            hint="in the project's folder: python -m pip install '.[camera]'; or type the lines, or fill in a form: sheets --form",
        ) from None
    kept: dict[str, bytes] = {}
    problems: list[Problem] = []

    def each() -> Any:
        for name, raw in files:
            try:
                for shown, gray in pictures_in(raw, name):
                    if keep:
                        data = kept_copy(gray)
                        kept[f"{hashlib.sha256(data).hexdigest()[:12]}.jpg"] = data
                    yield shown, gray
            except ProblemsFound as found:
                problems.extend(found.problems)

    pages, faults = read_pictures(each(), ledger)
    return pages, [*problems, *faults], kept


def keep(disk: Disk, given: Given) -> None:
    """Write the copies that were asked for."""
    for name, data in given.kept.items():
        disk.write(f"{KEPT}/{name}", data)


def _told(pages: Sequence[SeenPage], values: Values) -> str:
    """One sheet in a line: what is ticked, what is written on, what is in doubt."""
    from ..camera.notes import TICKED, UNREAD, is_list

    sheet = pages[0].sheet
    ticked = [
        _place(n)
        for n, v in values.items()
        if v == TICKED or (is_list(sheet) and n.startswith("vigour") and v != UNREAD)
    ]
    written = [_place(n) for n, v in values.items() if v == UNREAD and n.startswith(("line", "day"))]
    doubts = [_place(n) for n, v in values.items() if v == UNREAD and n.startswith(("job", "vigour"))]
    said = [
        f"{what}: {', '.join(found)}"
        for what, found in (("ticked", ticked), ("written on", written), ("in doubt", doubts))
        if found
    ]
    named = f"sheet {sheet.serial}" + ("" if is_list(sheet) else f", tree {sheet.tags[0]}")
    where = ", ".join(dict.fromkeys(page.picture for page in pages))
    return f"{named} ({where}): {'; '.join(said) or 'nothing is written on it'}"


def _place(name: str) -> str:
    kind = name.rstrip("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    words = {"line": "line", "day": "day of", "job": "box", "vigour": "vigour"}
    return f"{words[kind]} {name[len(kind) :]}"


def _page_written(page: Path, pages: Sequence[SeenPage], options: argparse.Namespace) -> list[str]:
    from ..camera.page import page_html

    if options.dry_run:
        return [f"to type the rest, a page would be written: {page}"]
    must_be_writable(page)
    jobs = {
        (seen.sheet.serial, job.letter): job.own if job.work == INTENTION else " ".join([job.work, *job.branches])
        for seen in pages
        for job in seen.sheet.jobs
    }
    name = f"notes-{pages[0].sheet.serial}.txt"
    write_output(page, page_html(pages, options.day or "", jobs, name).encode())
    return [f"type the rest on {page} in a browser, save the notes, and give them: benchleaf reconcile {name}"]


def _typed(pages: Sequence[SeenPage], values: Values, talk: Talk) -> Values:
    """Ask for each place that was not read, showing where its strip lies; an empty answer leaves it waiting."""
    from ..camera.notes import TICKED, UNREAD, name_of

    strips = {name_of(key, page.sheet): data for page in pages for key, data in page.strips.items()}
    answers = dict(values)
    with tempfile.TemporaryDirectory(prefix="benchleaf-strips-") as folder:
        for name in [n for n, v in values.items() if v == UNREAD]:
            where = Path(folder) / f"{pages[0].sheet.serial}-{name}.jpg"
            where.write_bytes(strips.get(name, b""))
            shown = ["", f"sheet {pages[0].sheet.serial}, {_place(name)}: {where}"]
            if name.startswith(("line", "day")):
                answers[name] = talk([*shown, "  type what stands there (empty leaves it waiting)"]) or UNREAD
            else:
                said = talk([*shown, "  is it ticked? y or n (empty leaves it waiting)"]).casefold()
                answers[name] = {"y": TICKED, "yes": TICKED, "n": "", "no": ""}.get(said, UNREAD)
    return answers


def _data(pages: Sequence[SeenPage]) -> list[dict[str, Any]]:
    return [
        {
            "picture": page.picture,
            "serial": page.sheet.serial,
            "page": page.page,
            "boxes": [{"kind": k, "id": i, "tag": t, "ticked": v} for (k, i, t), v in page.boxes.items()],
            "lines": [{"kind": k, "id": i, "tag": t, "written": v} for (k, i, t), v in page.lines.items()],
        }
        for page in pages
    ]
