"""Pictures given to reconcile: looked at, told, asked about, and turned into the notes they amount to."""

from __future__ import annotations

import argparse
import hashlib
import sys
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from ..diagnostics import Place, Problem, ProblemsFound, stop
from ..extras import CAMERA, lacking
from ..intake.archive import PICTURES as KEPT
from ..intake.grammar.lines import INTENTION, UNREAD
from ..intake.grammar.tokens import leading_date
from ..intake.leaving import TOLD as LEAVING
from ..intake.leaving import is_later
from ..intake.pdf_form import is_pdf
from ..storage.outputs import must_be_writable, write_output
from ..storage.printed import Ledger, load_ledger
from ..storage.store import Store
from ..values import dataclass
from .common import Opened
from .results import say

if TYPE_CHECKING:
    from ..camera.registration import Gray
    from ..camera.sheet_reader import SeenPage
    from ..intake.sheet_values import Values

MOST_BYTES = 300_000_000
Talk = Callable[[Sequence[str]], str]


@dataclass(slots=True)
class Given:
    """What was given to be read: notes as bytes; and of pictures what is told, what is wrong, what was seen, what is kept."""

    raw: bytes
    told: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    seen: list[dict[str, object]] = field(default_factory=list)
    page: Path | None = None
    kept: Mapping[str, bytes] = field(default_factory=dict)
    shown: frozenset[str] = frozenset()
    left: bool = False  # whoever was asked about them left: nothing more is asked


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options for pictures and forms."""
    told = parser.add_argument_group("pictures and scans of sheets (need the extra 'camera'), and forms")
    told.add_argument("--day", metavar="DAY", help="the day of ticked boxes that have none: '14 oct'")
    told.add_argument(
        "--page",
        type=Path,
        metavar="FILE.html",
        help="where the page to type on is written (default: the picture's name)",
    )
    told.add_argument(
        "--keep-picture", action="store_true", help=f"keep a gray copy in {KEPT}/, without the file's own data"
    )


def day_given(options: argparse.Namespace, opened: Opened) -> str:
    """The day in any form that notes know; it is put into them as it stands. Raises ProblemsFound."""
    given = (options.day or "").strip()
    settings = opened.collection.settings
    order = settings.date_order or ("month-day" if settings.units.us else None)
    found = leading_date(given, order) if given else None
    if given and (found is None or found.rest or found.bad):
        raise stop(f"--day: '{given}' is no day", hint="write it as in notes: '14 oct', or 2026-10-14")
    return str(given)


def not_for_notes(options: argparse.Namespace) -> None:
    """Raises ProblemsFound where notes are given with what only pictures and forms know."""
    if options.day:
        raise stop("--day is for pictures and forms", hint="in notes the day stands on its line: 1 14 oct fed")
    if options.page or options.keep_picture:
        raise stop("--page and --keep-picture are for pictures", hint="leave them out")


def read(
    files: Sequence[tuple[str, bytes]], options: argparse.Namespace, opened: Opened, talk: Talk, *, others: bool
) -> Given:
    """Look at every picture.

    Raises ProblemsFound where not one sheet can be read and no `others` were given, or the extra is not there.
    """
    day = day_given(options, opened)
    pages, problems, kept = _looked_at(files, load_ledger(opened.folder), keep=options.keep_picture)
    if not pages:
        hint = "print one with 'sheets --form' (a flattened copy has lost its fields), or scan sheets that were written on"
        no_form = [Problem("the PDF holds no form of ours", Place(n), hint) for n, raw in files if is_pdf(raw)]
        if others:
            return Given(b"", problems=(*no_form, *problems))
        raise ProblemsFound([*no_form, *problems])
    from ..camera.sheet_reader import by_sheet
    from ..intake.page_answers import typed_before
    from ..intake.sheet_values import is_list, sheet_notes, values_of

    sheets = by_sheet(pages)
    values = {serial: values_of(found) for serial, found in sheets.items()}
    told = [_told(found, values[serial]) for serial, found in sheets.items()]
    there = typed_before(opened.collection, sheets)
    left = False
    if options.ask and sys.stdin.isatty():
        values, left = _asked(sheets, values, talk)
    text = "".join(
        sheet_notes(serial, is_list(found[0].sheet), values[serial], day, there[serial])
        for serial, found in sheets.items()
    )
    given = Given(text.encode(), problems=tuple(problems), seen=_data(pages), kept=kept, left=left)
    if UNREAD in {v for of_sheet in values.values() for v in of_sheet.values()}:
        given.page = options.page or Path(f"{Path(files[0][0]).stem}.html")
        told += _page_written(given.page, pages, _Opening(opened, day), dry=options.dry_run)
    given.told = tuple(told)
    return given


def _looked_at(
    files: Sequence[tuple[str, bytes]], ledger: Ledger, *, keep: bool
) -> tuple[list[SeenPage], list[Problem], dict[str, bytes]]:
    """One picture at a time, so that a thick scan needs no more memory than a page."""
    try:
        from ..camera.apart import pictures_apart
        from ..camera.ink import kept_copy
        from ..camera.sheet_reader import read_pictures
    except ImportError:
        otherwise = "type the lines, or fill in a form: sheets --form"
        raise lacking("reading pictures", CAMERA, otherwise=otherwise) from None
    kept: dict[str, bytes] = {}
    problems: list[Problem] = []

    def each() -> Iterator[tuple[str, Gray]]:
        for name, raw in files:
            try:
                for shown, gray in pictures_apart(raw, name):
                    if keep:
                        data = kept_copy(gray)
                        kept[f"{hashlib.sha256(data).hexdigest()[:12]}.jpg"] = data
                    yield shown, gray
            except ProblemsFound as found:
                problems.extend(found.problems)

    pages, faults = read_pictures(each(), ledger)
    return pages, [*problems, *faults], kept


def keep(store: Store, given: Given) -> None:
    """Write the copies that were asked for; each is named by what is in it."""
    for name, data in given.kept.items():
        if store.disk.read(f"{KEPT}/{name}") != data:
            store.create(f"{KEPT}/{name}", data)


def _told(pages: Sequence[SeenPage], values: Values) -> str:
    """One sheet in a line: what is ticked, what is written on, what is in doubt, what could not be seen."""
    from ..intake.sheet_values import is_list, name_of

    sheet = pages[0].sheet
    unseen = {name_of(key, sheet) for page in pages for key, written in page.lines.items() if written is None}
    groups: dict[str, list[str]] = {"ticked": [], "written on": [], "in doubt": [], "cut off or covered": []}
    for name, value in values.items():
        which = _group(name, value, unseen)
        if which:
            groups[which].append(_place(name, _score(name, value)))
    said = [f"{what}: {', '.join(found)}" for what, found in groups.items() if found]
    named = f"sheet {sheet.serial}" + ("" if is_list(sheet) else f", tree {sheet.tags[0]}")
    where = ", ".join(dict.fromkeys(page.picture for page in pages))
    return f"{named} ({where}): {'; '.join(said) or 'nothing is written on it'}"


def _group(name: str, value: str, unseen: Collection[str]) -> str:
    """What a place is told among; empty where nothing is told of it."""
    from ..intake.sheet_values import NOTHING

    box = name.startswith(("job", "vigour", "say "))
    if value == UNREAD:
        return "in doubt" if box else "cut off or covered" if name in unseen else "written on"
    return "ticked" if box and value != NOTHING else ""


def _score(name: str, value: str) -> str:
    """The vigour that was ticked on a line of a list."""
    from ..intake.sheet_values import TICKED

    row = "row" if ":" in name else "line"
    return f" {value} on {row}" if name.startswith("vigour") and value not in (UNREAD, TICKED) else ""


def _place(name: str, more: str = "") -> str:
    from ..intake.sheet_values import HAND, SAY, TOLD, parted

    kind, ident = parted(name)
    if kind == HAND:
        return "whose hand it was"
    if kind.startswith((f"{SAY} ", f"{TOLD} ")):
        return f"'{kind.partition(' ')[2]}' of {ident}"
    what = {"day": "day of", "job": "box"}.get(kind, kind)
    return f"{what}{more} {ident}"


@dataclass(frozen=True, slots=True)
class _Opening:
    """What the page has to know of the collection."""

    opened: Opened
    day: str


def _page_written(page: Path, pages: Sequence[SeenPage], opening: _Opening, *, dry: bool) -> list[str]:
    """Write the page to type on; never over anything but another such page."""
    from ..intake.typing_page import Told, page_html

    if dry:
        return [f"to type the rest, a page would be written: {page}"]
    must_be_writable(page, "--page FILE.html")
    jobs = {
        (seen.sheet.serial, job.letter): job.own if job.work == INTENTION else " ".join([job.work, *job.branches])
        for seen in pages
        for job in seen.sheet.jobs
    }
    names = {tree.tag: tree.name or tree.full_name for tree in opening.opened.collection.trees}
    file_name = f"answers-{pages[0].sheet.serial}-{page.stem}.json"
    write_output(page, page_html(pages, opening.day, Told(jobs, names), file_name).encode(), "--page FILE.html")
    return [f"type the rest on {page} in a browser, save the answers, and give them: benchleaf reconcile {file_name}"]


class _Left(Exception):  # noqa: N818 - no error, an end
    """Whoever was asked is gone."""


def _asked(
    sheets: Mapping[str, Sequence[SeenPage]], values: Mapping[str, Values], talk: Talk
) -> tuple[dict[str, dict[str, str]], bool]:
    """Ask for each place that was not read, and tell whether whoever was asked left, which loses no answer."""
    answers = {serial: dict(of_sheet) for serial, of_sheet in values.items()}
    lead = [f"  {LEAVING}"]

    def saying(lines: Sequence[str]) -> str:
        said = talk([*lines, *lead])
        lead.clear()
        if is_later(said):
            raise _Left
        return said

    try:
        for serial, pages in sheets.items():
            with tempfile.TemporaryDirectory(prefix="benchleaf-strips-") as folder:
                for name in [n for n, v in values[serial].items() if v == UNREAD]:
                    answers[serial][name] = _answer(pages, name, Path(folder), saying)
    except (KeyboardInterrupt, _Left):
        say("", "the rest waits")
        return answers, True
    return answers, False


def _answer(pages: Sequence[SeenPage], name: str, folder: Path, talk: Talk) -> str:
    """Show where the strip of a place lies, and read what the grower says of it; an empty answer leaves it waiting."""
    from ..intake.sheet_values import HAND, NOTHING, TICKED, is_list, name_of

    sheet = pages[0].sheet
    shown = [""]
    for page in pages:
        for key, data in page.strips.items():
            if name_of(key, sheet) == name:
                path = folder / f"{sheet.serial}-{'-'.join(part for part in key if part)}.jpg"
                path.write_bytes(data)
                shown.append(f"sheet {sheet.serial}, {_place(name)}: {path}")
    shown = shown if len(shown) > 1 else ["", f"sheet {sheet.serial}, {_place(name)}: it is cut off or covered"]
    if name.startswith(("line", "day", "told ")) or name == HAND:
        return talk([*shown, "  type what stands there, - for nothing (empty leaves it waiting)"]) or UNREAD
    if name.startswith("vigour") and is_list(sheet):
        said = talk([*shown, "  which vigour, 1 to 5, or - for none? (empty leaves it waiting)"])
        return said if said in (*"12345", NOTHING) else UNREAD
    said = talk([*shown, "  is it ticked? y or n (empty leaves it waiting)"]).casefold()
    return {"y": TICKED, "yes": TICKED, "n": NOTHING, "no": NOTHING}.get(said, UNREAD)


def _data(pages: Sequence[SeenPage]) -> list[dict[str, object]]:
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
