"""Read every file of the collection and tell every fault, each with its place and what to do.

examples:
  benchleaf check
  benchleaf check --deep
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TypedDict

from ..collection.model import Collection
from ..diagnostics import Place, Problem, counted, errors_in, tally
from ..storage.opening import cut_short
from ..storage.printed import Ledger, load_ledger
from .common import json_argument, the_day, today_argument, watched
from .results import DONE, PROBLEMS, Result


class CheckData(TypedDict):
    """How much was read; the faults stand in `problems`."""

    files: int
    trees: int
    living: int


SHAPE = CheckData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument(
        "--deep", action="store_true", help="also hold trees, notes, batches and printed sheets against each other"
    )
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Look over every file; tell faults, warnings, and what is missing."""
    from ..collection.load import load
    from ..collection.pointing import on_disk, pointed_out
    from ..horticulture.loader import shipped_knowledge

    folder = Path(options.folder)
    collection = load(folder, shipped_knowledge(), lambda paths: watched(paths, "reading"))
    ledger = load_ledger(folder)
    counts, findings = _balance(folder, collection, ledger) if options.deep else ("", [])
    problems = (
        *collection.problems,
        *ledger.problems,
        *(Problem(words, severity="warning") for words in cut_short(folder)),
        *pointed_out(
            on_disk(folder),
            (*findings, *_no_photos(collection, folder), *_to_come(collection, the_day(options)), *_far(collection)),
        ),
        *_own_words(collection),
        *_missing(
            collection.settings.site is None, bool(collection.settings.site and not collection.settings.site.normals)
        ),
    )
    data: CheckData = {"files": collection.files, "trees": len(collection.trees), "living": len(collection.living)}
    if not problems:
        told = f"no problems in {counted(collection.files, 'file')}: {counted(len(collection.living), 'living tree')}"
        return Result(lines=(told, *filter(None, [counts])), data=data)
    code = PROBLEMS if errors_in(problems) else DONE
    return Result(
        code, tuple(filter(None, [counts])), data, problems, closing=tally(problems, collection.files), fold=True
    )


def _balance(folder: Path, collection: Collection, ledger: Ledger) -> tuple[str, list[Problem]]:
    """What was held against each other, in a line, and the findings."""
    from ..intake.balance import balance
    from ..storage.disk import RealDisk

    counts, findings = balance(folder, RealDisk(folder), collection, ledger)
    return counts.told, findings


def _no_photos(collection: Collection, folder: Path) -> Iterator[Problem]:
    """Photographs that an entry names and that are not there."""
    root = folder.resolve()
    for tree in collection.trees:
        for entry in tree.log:
            if entry.photo and _is_lost(root / entry.photo, root):
                told = f"there is no photo '{entry.photo}'"
                yield Problem(
                    told, tree.place_of(entry), "copy it there, or take the words 'photo: …' out of the entry"
                )


def _is_lost(photo: Path, root: Path) -> bool:
    """Whether a file of the collection is not there; one that lies outside is told already."""
    return photo.resolve().is_relative_to(root) and not photo.is_file()


def _to_come(collection: Collection, today: date) -> Iterator[Problem]:
    """Entries of days that have not come: most likely a slip of the year; until then no date heeds them."""
    for tree in collection.trees:
        for entry in tree.log:
            if entry.date.earliest > today:
                told = f"{entry.date.told()} is still to come: nothing heeds this entry until then"
                yield Problem(
                    told, tree.place_of(entry), "correct the date, or write what is meant as intend:", "warning"
                )


def _far(collection: Collection) -> Iterator[Problem]:
    """Signs so far from what is computed that they move no date."""
    from ..horticulture.loader import shipped_knowledge
    from ..planning.garden import Garden
    from ..season.estimator import FAR_DAYS
    from ..season.weather import Weather

    if not any(entry.saw for tree in collection.trees for entry in tree.log):
        return
    knowledge, _ = shipped_knowledge().own(collection.settings)
    weather = Weather(collection.weather)
    garden = Garden(collection.settings, knowledge, collection.trees, weather, teaching=collection.teaching)
    far = {(s.tag, s.mark, s.day) for s in garden.site.lessons.far}
    for tree in collection.trees:
        for entry in tree.log:
            if (tree.tag, entry.saw, entry.date.earliest) in far:
                told = f"'{entry.saw}' on {entry.date.told()} is more than {FAR_DAYS} days from what is computed: it moves no date"
                yield Problem(told, tree.place_of(entry), "correct the day or the sign, if one is a slip", "warning")


def _own_words(collection: Collection) -> Iterator[Problem]:
    """The collection's own words for works that no note could say: better told here than found out from a remark."""
    if not collection.settings.works:
        return
    from ..horticulture.loader import shipped_knowledge
    from ..intake.announced import unheard

    for work, phrase in unheard(shipped_knowledge().own(collection.settings)[0]):
        told = f"'{phrase}' is a word of {work.name}, but a note that says it is not read so"
        hint = "take other words: these deny or wish something, or another work is said by them"
        yield Problem(told, Place("collection.yaml"), hint, "warning")


def _missing(no_site: bool, no_normals: bool) -> tuple[Problem, ...]:
    """A collection works without a site; it is told once what that costs."""
    if not (no_site or no_normals):
        return ()
    what = "no site" if no_site else "no monthly normals"
    return (
        Problem(
            f"{what} yet: works are offered by their signs, without dates",
            Place("collection.yaml"),
            "give them with: benchleaf normals FILE, or four numbers: benchleaf normals --january NIGHT DAY --july NIGHT DAY",
            "warning",
        ),
    )
