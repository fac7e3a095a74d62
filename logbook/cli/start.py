"""Make a new collection whose files explain themselves, or a copy of the demo to try everything on.

examples:
  benchleaf start my-trees --title "Slope garden" --latitude 46.1
  benchleaf start my-trees --latitude 46.1 --normals station.txt --years 1991-2020
  benchleaf start --demo try-it
"""

from __future__ import annotations

import argparse
import shlex
import shutil
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from ..collection.load import SETTINGS_FILE, load_settings
from ..collection.pasted_normals import read_normals
from ..collection.yaml_editor import entry_text, replace_file
from ..collection.yaml_reader import decoded, file_bytes
from ..diagnostics import ProblemsFound, errors_in, stop
from ..horticulture.loader import shipped_knowledge
from ..shipped import shipped
from .results import Result

TEMPLATE = """# A bonsai collection: this file, and one file a tree in trees/. Plain text, yours to edit.
# Check it after editing: benchleaf check
format: 1
title: {title}

# Where a code on a tag leads: {{file}} becomes trees/014.yaml, {{tag}} becomes 014. Put your own address here, for
# instance of a shared folder or a repository. Without a link the code holds the bare tag, and a phone shows it as text.
# link: "https://trees.example.org/{{file}}"

# metric, or us: inches, °F and feet in these files, letter paper.
units: {units}

# How 3/4 is read in typed notes: day-month (3 April) or month-day (4 March).
date_order: {order}

# Where the trees stand. Dates are computed from twelve monthly means of the daily minimum and maximum.
# Your national weather service publishes them as "climate normals" or "climatological normals" for a station near
# you; take 1991-2020 or newer, {degrees}, January first. They cost nothing and are asked for once.
# Without them works are still offered, by their signs alone.
{site}

# Usual frost dates you know of yourself (month-day) win over the computed ones:
#   frost: {{last: 04-24, first: 10-16}}    (inside site:)
# Species the tool does not know, with the group they grow like:
# species:
#   Exampleus arboreus: {{group: elm}}
"""

SITE = """site:
  latitude: {latitude}          # degrees; south of the equator negative
{rest}  # normals:
  #   years: 1991-2020
  #   tmin: [-3.4, -2.5, 1.2, 5.1, 9.8, 13.4, 15.1, 14.8, 10.9, 7.0, 2.2, -2.1]
  #   tmax: [3.6, 6.4, 11.6, 16.4, 21.2, 25.0, 27.1, 26.8, 21.5, 15.4, 8.9, 4.0]
  #   coldest_night: -13          # average coldest night of a year, if you know it: the dates get better"""

NO_SITE = """# site:
#   latitude: 46.1                # degrees; south of the equator negative
#   longitude: 14.5
#   elevation: 310
#   normals:
#     years: 1991-2020
#     tmin: [-3.4, -2.5, 1.2, 5.1, 9.8, 13.4, 15.1, 14.8, 10.9, 7.0, 2.2, -2.1]
#     tmax: [3.6, 6.4, 11.6, 16.4, 21.2, 25.0, 27.1, 26.8, 21.5, 15.4, 8.9, 4.0]
#     coldest_night: -13          # average coldest night of a year, if you know it: the dates get better"""


def arguments(parser: argparse.ArgumentParser) -> None:
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
    folder: Path = options.new
    if folder.is_file():
        raise stop("this is a file", path=str(folder), hint="name a folder")
    if (folder / SETTINGS_FILE).exists():
        raise stop("there is a collection already", path=str(folder), hint="name another folder; nothing was changed")
    around = next((p for p in (folder.resolve(), *folder.resolve().parents) if p.name == "trees"), None)
    if around is not None and (around.parent / SETTINGS_FILE).exists():
        raise stop("this lies inside a collection", path=str(folder), hint=f"choose a folder outside {around.parent}")
    if options.demo:
        return _demo(folder)
    site = NO_SITE
    if options.latitude is not None:
        site = _site(options)
    elif options.normals:
        raise stop("normals belong to a place", hint="give --latitude as well")
    us = options.units == "us"
    text = TEMPLATE.format(
        title=entry_text({"t": options.title})[4:-1],
        units=options.units,
        site=site,
        order="month-day" if us else "day-month",
        degrees="°F" if us else "°C",
    )
    (folder / "trees").mkdir(parents=True, exist_ok=True)
    replace_file(folder / SETTINGS_FILE, text)
    _, faults = load_settings(folder, shipped_knowledge())
    if errors_in(faults):
        (folder / SETTINGS_FILE).unlink()
        raise ProblemsFound([replace(p, place=None) for p in errors_in(faults)])
    lines = (
        f"made {folder / SETTINGS_FILE}: open it in an editor, it explains itself",
        f"then add trees: benchleaf -C {shlex.quote(str(folder))} add 001 --species 'Larix kaempferi'",
    )
    return Result(lines=lines, data={"folder": str(folder)})


def _site(options: argparse.Namespace) -> str:
    """The site's lines, with the pasted normals where they were given, in the collection's own unit."""
    rest = f"  longitude: {options.longitude:g}\n" if options.longitude is not None else ""
    rest += f"  elevation: {options.elevation:g}\n" if options.elevation is not None else ""
    if not options.normals:
        return SITE.format(latitude=f"{options.latitude:g}", rest=rest)
    raw = sys.stdin.buffer.read() if options.normals == "-" else file_bytes(Path(options.normals), options.normals)
    low, high = read_normals(decoded(raw, options.normals), options.normals)
    _hemisphere(options.latitude, high)
    rows = [
        f"site:\n  latitude: {options.latitude:g}          # degrees; south of the equator negative\n{rest}  normals:",
        f"    years: {options.years}" if options.years else "    # years: 1991-2020",
        f"    tmin: [{', '.join(f'{m:g}' for m in low)}]",
        f"    tmax: [{', '.join(f'{m:g}' for m in high)}]",
    ]
    rows.append(
        f"    coldest_night: {options.coldest_night:g}"
        if options.coldest_night is not None
        else "    # coldest_night: -13          # average coldest night of a year, if you know it: the dates get better"
    )
    return "\n".join(rows)


def _hemisphere(latitude: float, high: Sequence[float]) -> None:
    """Raises ProblemsFound where the warm months are those of the other half of the earth."""
    gap = sum(high[5:8]) / 3 - (high[11] + high[0] + high[1]) / 3
    if abs(latitude) > 23.5 and abs(gap) > 2.0 and (gap > 0) != (latitude > 0):
        half, warm = ("north", "December to February") if latitude > 0 else ("south", "June to August")
        raise stop(
            f"latitude {latitude:g} is {half} of the equator, but the warm months are {warm}",
            hint="south of the equator the latitude is negative; and January comes first",
        )


def _demo(folder: Path) -> Result:
    if folder.exists() and any(folder.iterdir()):
        raise stop("the folder is not empty", path=str(folder), hint="name a new one; nothing was changed")
    keep_out = shutil.ignore_patterns("printed", "notes", "*.pdf", ".lock")
    shutil.copytree(shipped("demo_collection"), folder, ignore=keep_out, dirs_exist_ok=True)
    return Result(
        lines=(f"copied the demo collection to {folder}: invented trees, to try everything on",),
        data={"folder": str(folder)},
    )
