"""Make a new collection whose files explain themselves, or a copy of the demo to try everything on.

On a terminal it asks what it wants to know, one question a line; Enter leaves any of them open. With options it asks nothing.

examples:
  benchleaf start my-trees
  benchleaf start my-trees --latitude 46.1 --normals station.txt --coldest-night -13
  benchleaf start my-trees --latitude 46.1 --table trees.csv --log history.csv
  benchleaf start my-trees --units us --latitude 42.4 --january 19 35 --july 64 83
  benchleaf start --demo try-it
"""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Mapping
from dataclasses import replace
from itertools import chain
from pathlib import Path
from typing import TypedDict

from ..collection.coordinates import place_in
from ..collection.load import SETTINGS_FILE, settings_from, settings_read
from ..collection.settings_editor import with_normals
from ..collection.template import Beginning, settings_text
from ..collection.tree_folder import TREES_FOLDER
from ..collection.units import METRIC, US
from ..diagnostics import ProblemsFound, errors_in, stop
from ..horticulture.loader import shipped_knowledge
from ..shipped import shipped
from ..storage.opening import LOCK, clear_planted, is_left_over, plant
from . import add, import_log
from .asking import answer_argument, can_ask, questions_told, table_text
from .common import json_argument, today_argument
from .double_click import READ_ME, READ_ME_TEXT, made_icon
from .inbox import INBOX
from .normals_given import latitude_in, month_arguments, months_given, normals_given, normals_told, with_the_rest
from .results import DONE, PROBLEMS, QUESTION, Result
from .start_talk import bench_days_in, month_day_in, talk


class StartData(TypedDict):
    """The folder that was made; empty where something is asked first."""

    folder: str


SHAPE = StartData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("new", metavar="FOLDER", type=Path, help="the folder to make")
    parser.add_argument("--demo", action="store_true", help="copy the demo collection (invented trees) instead")
    parser.add_argument("--title", help="what you call the collection")
    parser.add_argument("--units", choices=("metric", "us"), help="metric or us (default: metric)")
    parser.add_argument(
        "--latitude",
        type=latitude_in,
        metavar="DEGREES",
        help="as any map tells it (46.1, or 46°03'N); south of the equator negative",
    )
    parser.add_argument("--longitude", type=_longitude, metavar="DEGREES", help="west negative")
    parser.add_argument("--elevation", type=float, metavar="M", help="above the sea (us: feet)")
    parser.add_argument("--normals", metavar="FILE", help="monthly means: any table, or - for standard input")
    month_arguments(parser)
    parser.add_argument("--last-frost", type=_month_day, metavar="DAY", help="usual last frost of spring, as 04-24")
    parser.add_argument("--first-frost", type=_month_day, metavar="DAY", help="usual first frost of autumn, as 10-16")
    parser.add_argument(
        "--bench-days",
        type=bench_days_in,
        default={},
        metavar="DAYS",
        help="when you work at the bench: 'sat 3h, wed 90min'",
    )
    parser.add_argument("--table", metavar="FILE", help="your trees, as `benchleaf add --table` reads them")
    parser.add_argument(
        "--log", metavar="FILE", help="what was done in earlier years, as `benchleaf import-log` reads it"
    )
    answer_argument(parser)
    json_argument(parser)
    today_argument(parser)


def _longitude(text: str) -> float:
    found = place_in(f"0, {text}")
    if found is None or found[1] is None:
        raise argparse.ArgumentTypeError(f"expected degrees from -180 to 180, found '{text}'")
    return found[1]


def _month_day(text: str) -> str:
    found = month_day_in(text)
    if not found:
        raise argparse.ArgumentTypeError(f"expected a day such as 04-24 or '24 Apr', found '{text}'")
    return found


def run(options: argparse.Namespace) -> Result:
    """Make a new collection, or copy the demo. Raises ProblemsFound where the folder is not free."""
    folder: Path = options.new
    _must_be_free(folder)
    if options.demo:
        return _demo(folder)
    named = options.normals or ""
    if _says_nothing(options) and can_ask(options, named):
        talk(options)
    wanted = bool(options.normals or months_given(options))
    text, lines, asked = _settings(options), list[str](), DONE
    if wanted:
        text, lines, asked = _with_normals(text, options)
    if asked:
        return Result(asked, (*lines, "nothing was made"), {"folder": ""})
    _made(folder, {SETTINGS_FILE: text.encode(), READ_ME: READ_ME_TEXT.encode()})
    brought = [_brought(words, options) for words in _to_bring(options)]
    code = next((result.code for result in brought if result.code), DONE)
    told = chain(lines, *(result.lines for result in brought), _next_steps(folder, options, wanted))
    problems = tuple(chain.from_iterable(result.problems for result in brought))
    return Result(code, tuple(told), {"folder": str(folder)}, problems)


def _settings(options: argparse.Namespace) -> str:
    """The settings as they were told. Raises ProblemsFound where they make no sense."""
    text = settings_text(_beginning(options))
    faults = errors_in(settings_from(text.encode(), shipped_knowledge()))
    if faults:
        raise ProblemsFound([replace(fault, place=None) for fault in faults])
    return text


def _to_bring(options: argparse.Namespace) -> list[list[str]]:
    """The commands that bring trees and years along."""
    answers = [word for field, value in options.answer for word in ("--answer", f"{field}={value}")]
    day = ["--today", options.today.isoformat()] if options.today else []
    return [
        *([["add", "--table", options.table, *answers, *day]] if options.table else []),
        *([["import-log", options.log, "--yes", *day]] if options.log else []),
    ]


_BRINGING = {"add": (add.arguments, add.run), "import-log": (import_log.arguments, import_log.run)}


def _brought(words: list[str], options: argparse.Namespace) -> Result:
    """What one of them gives; a fault of the table does not unmake the collection."""
    arguments_of, run_it = _BRINGING[words[0]]
    parser = argparse.ArgumentParser(prog=f"benchleaf {words[0]}")
    arguments_of(parser)
    parsed = parser.parse_args(words[1:], argparse.Namespace(folder=options.new))
    try:
        return run_it(parsed)
    except ProblemsFound as found:
        return Result(PROBLEMS, (f"{words[0]}: nothing was written",), problems=tuple(found.problems))


def _says_nothing(options: argparse.Namespace) -> bool:
    """Whether only the folder was named: then there is a talk."""
    told = (
        "table",
        "log",
        "title",
        "units",
        "latitude",
        "longitude",
        "elevation",
        "normals",
        "january",
        "coldest_night",
        "last_frost",
    )
    return not any(getattr(options, name) for name in told)


def _next_steps(folder: Path, options: argparse.Namespace, has_normals: bool) -> list[str]:
    here = f"benchleaf -C {shlex.quote(str(folder))}"
    steps = [f"made {folder / SETTINGS_FILE}: open it in an editor, it explains itself"]
    if options.latitude is None:
        steps.append(f"dates want the place: {here} normals FILE --latitude DEGREES, any time")
    elif not has_normals:
        steps.append(f"dates want monthly normals: {here} normals FILE, or four numbers, any time")
    elif options.coldest_night is None and not options.last_frost:
        steps.append(
            f"frost dates get twice as good by the coldest night of a usual year: {here} normals … --coldest-night T"
        )
    if not options.table:
        steps.append(f"then add trees: {here} add --table trees.csv, or {here} add 001 --species 'Larix kaempferi'")
    steps += [f"then print: {here} sheets -o sheets.pdf", f"for a phone: {here} pages -o pages"]
    return [*steps, *_to_come_back(folder)]


def _to_come_back(folder: Path) -> list[str]:
    """How the collection is opened on any evening after this one."""
    icon = made_icon(folder)
    opens = f"double-click {icon}, beside it, or " if icon else ""
    return [f"on any evening: {opens}open a terminal in {folder} and type benchleaf: it says what waits"]


def _with_normals(text: str, options: argparse.Namespace) -> tuple[str, list[str], int]:
    """The settings with the normals that were given; what was understood; and QUESTION or PROBLEMS where they can't be had.

    Raises ProblemsFound for faults of a table.
    """
    if options.latitude is None:
        raise stop("normals belong to a place", hint="give --latitude as well")
    units = US if options.units == "us" else METRIC
    table, shown = table_text(options.normals) if options.normals else ("", "")
    found = normals_given(
        options, table, shown, dict(options.answer), options.latitude, "F" if units.us else "C", units
    )
    lines = normals_told(found, shown, units)
    if found.normals is None:
        if found.problems:
            raise ProblemsFound(found.problems)
        return text, [*lines, *questions_told(found.questions)], QUESTION
    normals = with_the_rest(found, options, None, units)
    made = with_normals(text, normals, units, lambda data: settings_read(data, shipped_knowledge()), options.latitude)
    return made, lines, DONE


def _must_be_free(folder: Path) -> None:
    """Raises ProblemsFound where a collection stands here or around, or a file does."""
    if folder.is_file():
        raise stop("this is a file", path=str(folder), hint="name a folder")
    if (folder / SETTINGS_FILE).exists():
        clear_planted(folder)
        raise _taken(folder)
    around = next((p for p in (folder.resolve(), *folder.resolve().parents) if p.name == "trees"), None)
    if around is not None and (around.parent / SETTINGS_FILE).exists():
        raise stop("this lies inside a collection", path=str(folder), hint=f"choose a folder outside {around.parent}")


def _taken(folder: Path) -> ProblemsFound:
    return stop("there is a collection already", path=str(folder), hint="name another folder; nothing was changed")


def _made(folder: Path, files: Mapping[str, bytes]) -> None:
    """Make the folder and its files; the settings come last, since they make it a collection."""
    for room in (TREES_FOLDER, INBOX):
        (folder / room).mkdir(parents=True, exist_ok=True)
    try:
        plant(folder, sorted(files.items(), key=lambda item: item[0] == SETTINGS_FILE))
    except FileExistsError as error:
        if error.filename == SETTINGS_FILE:
            raise _taken(folder) from None
        raise stop("there is another file of this name", path=f"{folder}/{error.filename}") from None


def _beginning(options: argparse.Namespace) -> Beginning:
    return Beginning(
        options.title or "My trees",
        options.units or "metric",
        options.latitude,
        options.longitude,
        options.elevation,
        options.last_frost or "",
        options.first_frost or "",
        options.bench_days,
    )


def _demo(folder: Path) -> Result:
    shown = shipped("demo_collection")
    files = {p.relative_to(shown).as_posix(): p.read_bytes() for p in sorted(shown.rglob("*")) if _is_shown(p, shown)}
    files[READ_ME] = READ_ME_TEXT.encode()
    if folder.exists() and not all(_is_ours(path, folder, files) for path in folder.rglob("*")):
        raise stop("the folder is not empty", path=str(folder), hint="name a new one; nothing was changed")
    _made(folder, files)
    return Result(
        lines=(
            f"copied the demo collection to {folder}: invented trees, to try everything on",
            f"on any evening: open a terminal in {folder} and type benchleaf: it says what waits",
        ),
        data={"folder": str(folder)},
    )


def _is_shown(path: Path, shown: Path) -> bool:
    """Whether a file belongs to the demo: not what a run in it may have left there."""
    first = path.relative_to(shown).parts[0]
    return path.is_file() and first not in ("printed", "notes") and first[0] != "." and path.suffix != ".pdf"


def _is_ours(path: Path, folder: Path, files: Mapping[str, bytes]) -> bool:
    """Whether a path in the new folder is what a copy that was cut short left there."""
    if path.is_dir():
        return path in (folder / TREES_FOLDER, folder / INBOX)
    known = files.get(path.relative_to(folder).as_posix())
    return path.name == LOCK or is_left_over(path.name) or path.read_bytes() == known
