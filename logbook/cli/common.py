"""What verbs share: the day, the collection, the plans, progress, and writing output files."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, TypeVar

from ..collection.dates import NotADate, read_day
from ..collection.load import SETTINGS_FILE, load
from ..collection.model import Collection, Tree
from ..collection.units import Units
from ..diagnostics import Problem, ProblemsFound, counted, errors_in, stop, tally
from ..horticulture.knowledge import Knowledge
from ..horticulture.loader import shipped_knowledge
from ..planning.garden import Garden
from ..season.reasons import Reason
from ..season.site_year import SiteYear
from ..season.weather import Weather
from ..values import dataclass
from .in_two import OBJECTS, in_two

if TYPE_CHECKING:  # loaded where they are first needed: many verbs plan nothing
    from ..planning.model import Plan
    from ..planning.wording import Wording

MANY = 60
One = TypeVar("One")


class ReasonData(TypedDict):
    """One ground: what it rests on, its code, and its sentence."""

    kind: str
    code: str
    text: str


@dataclass(frozen=True, slots=True)
class Opened:
    """A collection ready to be asked."""

    folder: Path
    collection: Collection
    garden: Garden
    today: date
    told: dict[Reason, ReasonData] = field(default_factory=dict, repr=False)  # reasons as data, each made once

    @property
    def wording(self) -> Wording:
        """How reasons are said in this collection."""
        from ..planning.wording import wording_of

        return wording_of(self.collection.settings)

    @property
    def knowledge(self) -> Knowledge:
        """What growers know, with the collection's own numbers."""
        return self.garden.knowledge

    @property
    def site(self) -> SiteYear:
        """The site's year."""
        return self.garden.site

    @property
    def units(self) -> Units:
        """The collection's units."""
        return self.collection.settings.units

    def plan(self, tree: Tree) -> Plan:
        """One tree's plan. Many verbs make none: the rules are loaded with the first."""
        from ..planning.planner import plan_tree

        return plan_tree(tree, self.garden, self.today)

    def plans(self, trees: Sequence[Tree]) -> list[Plan]:
        """The plans of these trees, with a progress bar where they are many."""
        return list(self.planned(trees))

    def planned(self, trees: Sequence[Tree]) -> Iterator[Plan]:
        """The same one by one, for whoever keeps but a part of each."""
        return map(self.plan, watched(trees, "working out dates"))


def today_argument(parser: argparse.ArgumentParser) -> None:
    """The option that sets the day; without it the clock does."""
    parser.add_argument(
        "--today", type=a_day, default=None, metavar="DATE", help="work as if it were this day (2026-11-20)"
    )


def json_argument(parser: argparse.ArgumentParser) -> None:
    """The option that prints data."""
    parser.add_argument("--json", action="store_true", help="print data instead of words")


def tree_arguments(parser: argparse.ArgumentParser) -> None:
    """Which trees: all living ones, or those named by tag or bench."""
    parser.add_argument(
        "--tag", action="append", default=[], metavar="TAG", help="only this tree (may be given again)"
    )
    parser.add_argument(
        "--bench", action="append", default=[], metavar="PLACE", help="only trees whose bench place begins so"
    )


def output_arguments(parser: argparse.ArgumentParser, name: str) -> None:
    """Where the paper goes (by default the PDF `name`), its layout, and whether it is only told."""
    parser.add_argument(
        "-o",
        dest="output",
        type=Path,
        default=Path(name),
        metavar="FILE",
        help=f"the PDF to write (default: {name}); NAME.png makes a picture of each page",
    )
    parser.add_argument("--layout", metavar="NAME", help="a shipped layout, or the path of your own")
    parser.add_argument("--dry-run", action="store_true", help="tell what would be printed; write nothing")


def a_day(text: str) -> date:
    """A day as an option gives it. Raises ArgumentTypeError for what is none."""
    try:
        return read_day(text)
    except NotADate as error:
        raise argparse.ArgumentTypeError(f"{error}: {error.hint}") from None


def days(text: str) -> int:
    """A number of days: `60` or `60d`, and weeks as `8w`."""
    weeks = text.endswith("w")
    bare = text[:-1] if text[-1:] in ("d", "w") else text
    if not (bare.isascii() and bare.isdecimal()):
        raise argparse.ArgumentTypeError(f"expected a number of days, found '{text}'")
    return min(int(bare) * (7 if weeks else 1), 36_500)


def the_day(options: argparse.Namespace) -> date:
    """The day given with --today, or the clock's: the only place that asks it."""
    given: date | None = options.today
    return given or date.today()


def map_in_two(read: Callable[[Path], One], paths: Iterable[Path]) -> Iterable[One]:
    """Files read by two processes, for verbs that hold no lock."""
    return in_two(list(paths), read, OBJECTS)


def open_collection(
    options: argparse.Namespace,
    instead: Mapping[str, bytes | None] | None = None,
    *,
    waits: bool = False,
    only: str = "",
    alone: bool = False,
) -> Opened:
    """Load the collection. Raises ProblemsFound where its settings can't be used; faulty trees are only left out.

    `instead`: bytes that stand in place of files, by path. `waits`: a sign that is not in the log has not been seen by today. `only`: the tag
    of the one tree that is asked for; `alone`: and no date of it.
    """
    folder = Path(options.folder)
    knowledge = shipped_knowledge()
    collection = load(
        folder,
        knowledge,
        lambda paths: watched(paths, "reading"),
        instead,
        map if only or instead is not None else map_in_two,
        only,
        alone=alone,
    )
    broken = [p for p in errors_in(collection.problems) if p.place and p.place.path == SETTINGS_FILE]
    if broken:
        raise ProblemsFound(broken)
    knowledge, _ = knowledge.own(collection.settings)
    today = the_day(options) if hasattr(options, "today") else date.min
    weather = Weather(collection.weather).before(today)
    not_seen_by = today if waits else None
    garden = Garden(collection.settings, knowledge, collection.trees, weather, not_seen_by, collection.teaching)
    return Opened(folder, collection, garden, today)


def open_for(
    options: argparse.Namespace,
    tag: str,
    instead: Mapping[str, bytes | None] | None = None,
    *,
    waits: bool = False,
    alone: bool = False,
) -> Opened:
    """The collection for one tree that is asked for: where there is a tree of that tag, little besides it is read. An empty tag: all.
    `alone`: no date is asked for, so that nothing is to be learnt of other trees.
    """
    near = open_collection(options, instead, waits=waits, only=tag, alone=alone) if is_bare(tag) else None
    return near if near and near.collection.tree(tag) else open_collection(options, instead, waits=waits)


def is_bare(tag: str) -> bool:
    """Whether a text may be a tag and nothing more."""
    return bool(tag) and not re.search(r"[\s/\\\0]", tag)


def chosen(opened: Opened, options: argparse.Namespace, *, none_will_do: bool = False) -> list[Tree]:
    """The trees asked for. Raises ProblemsFound for a tag that is no tree's, and where there is none unless none will do."""
    asked = [tree_of(opened, tag) for tag in options.tag or ()]
    trees = list({tree.tag: tree for tree in asked}.values()) if options.tag else list(opened.collection.living)
    if options.bench:
        trees = _standing_at(opened, trees, options.bench)
    if not trees and not none_will_do:
        raise stop(
            "the collection has no living tree yet", hint="add one: benchleaf add 001 --species 'Larix kaempferi'"
        )
    return trees


def tree_of(opened: Opened, tag: str) -> Tree:
    """The tree of a tag, of a number without its zeros, or of a name. Raises ProblemsFound where none is, or several are."""
    tree = opened.collection.tree(tag) or by_number_or_name(opened.collection, tag)
    if tree is None:
        raise no_tree(opened, tag)
    return tree


def by_number_or_name(collection: Collection, said: str) -> Tree | None:
    """The one living tree whose tag is this number without its zeros, or whose name is this or begins so."""
    bare, name = said.lstrip("0"), said.casefold()
    living = collection.living
    for found in (
        [t for t in living if bare and t.tag.lstrip("0") == bare],
        [t for t in living if t.name and t.name.casefold() == name],
        [t for t in living if t.name and t.name.casefold().startswith(name)],
    ):
        if found:
            return found[0] if len(found) == 1 else None
    return None


def _standing_at(opened: Opened, trees: Sequence[Tree], benches: Sequence[str]) -> list[Tree]:
    """Those of these trees whose place begins so. Raises ProblemsFound where there is none."""
    wanted = tuple(place.casefold() for place in benches)
    found = [t for t in trees if t.bench.casefold().startswith(wanted)]
    if not found:
        places = sorted({t.bench for t in opened.collection.living if t.bench})
        raise stop(f"no tree stands at '{', '.join(benches)}'", hint=f"places: {', '.join(places[:8])}")
    return found


def no_tree(opened: Opened, tag: str) -> ProblemsFound:
    """What is said of a tag that is no usable tree's: the faults of its file, where there is one."""
    number = _number_of(tag)
    claimed = opened.collection.claimed
    files = {path for of, paths in claimed.items() if _number_of(of) == number for path in paths}
    at_fault = [
        problem
        for problem in errors_in(opened.collection.problems)
        if problem.place and (problem.place.path in files or _number_of(Path(problem.place.path).stem) == number)
    ]
    if at_fault:
        return ProblemsFound(at_fault)
    return stop(f"there is no tree {tag}", hint=near_tags(opened.collection, tag))


def _number_of(tag: str) -> str:
    """A tag as it may be said: whatever its case, and without its zeros."""
    return tag.casefold().lstrip("0") or "0"


def near_tags(collection: Collection, tag: str) -> str:
    """A hint to the tag that was meant, or to where all tags stand."""
    from ..diagnostics import nearest

    close = nearest(tag, [t.tag for t in collection.trees], 0.5)
    return f"did you mean {close}?" if close else "see the tags with: benchleaf due"


def left_out(opened: Opened) -> tuple[tuple[Problem, ...], str, int]:
    """Problems to tell beside a command's own work, their closing line, and the exit code they ask for."""
    problems = tuple(errors_in(opened.collection.problems))
    if not problems:
        return (), "", 0
    files = len({p.place.path for p in problems if p.place})
    closing = tally(problems, opened.collection.files, f"{counted(files, 'tree')} left out")
    return problems, closing, 1


def watched(items: Sequence[One], what: str) -> Iterable[One]:
    """The items, with a progress bar where there are many and someone is looking."""
    if len(items) < MANY or not sys.stderr.isatty():
        return items
    from tqdm import tqdm

    bar: Iterable[One] = tqdm(items, desc=what, leave=False)
    return bar
