"""Make a new collection whose files explain themselves, or a copy of the demo to try everything on.

examples:
  benchleaf start my-trees --title "Slope garden" --latitude 46.1
  benchleaf start my-trees --latitude 46.1 --normals station.txt --years 1991-2020
  benchleaf start --demo try-it
"""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from ..collection.load import SETTINGS_FILE, TREES_FOLDER, settings_from
from ..collection.pasted_normals import read_normals
from ..collection.template import Beginning, settings_text
from ..collection.yaml_reader import decoded, file_bytes
from ..diagnostics import ProblemsFound, errors_in, stop
from ..horticulture.loader import shipped_knowledge
from ..shipped import shipped
from ..storage.opening import LOCK, clear_planted, is_left_over, plant
from .results import Result


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("new", metavar="FOLDER", type=Path, help="the folder to make")
    parser.add_argument("--demo", action="store_true", help="copy the demo collection (invented trees) instead")
    parser.add_argument("--title", default="My trees", help="what you call the collection")
    parser.add_argument("--units", choices=("metric", "us"), default="metric", help="metric or us (default: metric)")
    parser.add_argument("--latitude", type=_degrees(90), metavar="DEGREES", help="south of the equator negative")
    parser.add_argument("--elevation", type=float, metavar="M", help="above the sea (us: feet)")
    parser.add_argument(
        "--normals",
        metavar="FILE",
        help="monthly means pasted into a file, or - for standard input: 'Jan -3.4 3.6' and so on",
    )
    parser.add_argument("--years", default="", metavar="SPAN", help="the years they cover, as in 1991-2020")
    parser.add_argument("--coldest-night", type=float, metavar="T", help="average coldest night of a year")
    parser.add_argument("--longitude", type=_degrees(180), metavar="DEGREES", help="west negative")


def _degrees(limit: float) -> Callable[[str], float]:
    def read(text: str) -> float:
        try:
            number = float(text)
        except ValueError:
            raise argparse.ArgumentTypeError(f"expected degrees, found '{text}'") from None
        if not -limit <= number <= limit:
            raise argparse.ArgumentTypeError(f"{text} is out of range: expected -{limit:g} to {limit:g}")
        return number

    return read


def run(options: argparse.Namespace) -> Result:
    """Make a new collection, or copy the demo. Raises ProblemsFound where the folder is not free."""
    folder: Path = options.new
    _must_be_free(folder)
    if options.demo:
        return _demo(folder)
    text = settings_text(_beginning(options))
    faults = errors_in(settings_from(text.encode(), shipped_knowledge()))
    if faults:
        raise ProblemsFound([replace(p, place=None) for p in faults])
    _made(folder, {SETTINGS_FILE: text.encode()})
    lines = (
        f"made {folder / SETTINGS_FILE}: open it in an editor, it explains itself",
        *(
            []
            if options.normals
            else [
                f"dates want monthly normals: benchleaf -C {shlex.quote(str(folder))} normals FILE, or four numbers"
            ]
        ),
        f"then add trees: benchleaf -C {shlex.quote(str(folder))} add 001 --species 'Larix kaempferi'",
    )
    return Result(lines=lines, data={"folder": str(folder)})


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
    (folder / TREES_FOLDER).mkdir(parents=True, exist_ok=True)
    try:
        plant(folder, sorted(files.items(), key=lambda item: item[0] == SETTINGS_FILE))
    except FileExistsError as error:
        if error.filename == SETTINGS_FILE:
            raise _taken(folder) from None
        raise stop("there is another file of this name", path=f"{folder}/{error.filename}") from None


def _beginning(options: argparse.Namespace) -> Beginning:
    if options.normals and options.latitude is None:
        raise stop("normals belong to a place", hint="give --latitude as well")
    low, high = _normals(options.normals) if options.normals else ((), ())
    return Beginning(
        options.title,
        options.units,
        options.latitude,
        options.longitude,
        options.elevation,
        low,
        high,
        options.years,
        options.coldest_night,
    )


def _normals(named: str) -> tuple[Sequence[float], Sequence[float]]:
    raw = sys.stdin.buffer.read() if named == "-" else file_bytes(Path(named), named)
    return read_normals(decoded(raw, named), named)


def _demo(folder: Path) -> Result:
    shown = shipped("demo_collection")
    files = {p.relative_to(shown).as_posix(): p.read_bytes() for p in sorted(shown.rglob("*")) if _is_shown(p, shown)}
    if folder.exists() and not all(_is_ours(path, folder, files) for path in folder.rglob("*")):
        raise stop("the folder is not empty", path=str(folder), hint="name a new one; nothing was changed")
    _made(folder, files)
    return Result(
        lines=(f"copied the demo collection to {folder}: invented trees, to try everything on",),
        data={"folder": str(folder)},
    )


def _is_shown(path: Path, shown: Path) -> bool:
    """Whether a file belongs to the demo: not what a run in it may have left there."""
    first = path.relative_to(shown).parts[0]
    return path.is_file() and first not in ("printed", "notes") and first[0] != "." and path.suffix != ".pdf"


def _is_ours(path: Path, folder: Path, files: Mapping[str, bytes]) -> bool:
    """Whether a path in the new folder is what a copy that was cut short left there."""
    if path.is_dir():
        return path == folder / TREES_FOLDER
    known = files.get(path.relative_to(folder).as_posix())
    return path.name == LOCK or is_left_over(path.name) or path.read_bytes() == known
