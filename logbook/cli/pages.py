"""Make pages for a telephone: one a tree, an index and the garden's year, for the address that link: in collection.yaml names.

Anybody may open them, so they say nothing of place, value, provenance and remarks; --own makes the keeper's set, with all of it and with
places to tick and write. What was ticked comes back as a text that `benchleaf reconcile` reads. Pages ask no other computer for anything.

examples:
  benchleaf pages -o pages
  benchleaf pages --own -o own-pages
  benchleaf pages --own --one trees.html
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict

from ..collection.load import SETTINGS_FILE
from ..collection.model import Tree
from ..diagnostics import Place, Problem, ProblemsFound, counted, errors_in, stop
from ..storage.outputs import must_not_be_own
from ..values import dataclass
from .common import Opened, json_argument, left_out, open_collection, today_argument, watched
from .in_two import OBJECTS, in_two
from .results import PROBLEMS, Result

if TYPE_CHECKING:
    from ..planning.lists.wall_rows import WallRow
    from ..web.facts import Garden, Shot, TreeFacts
    from ..web.folder import Outcome
    from ..web.index import TreeDue
    from ..web.names import Names
    from ..web.one_file import Album

FOLDER = Path("pages")
MOST_NAMED = 4
MOST = 0.7  # of the pages, by the other process: what comes back of them is little
Write = Callable[[str, str], "Outcome"]


class PagesData(TypedDict):
    """What was made: for whom, the files that were written, how many were the same as before, what no page shows or names any more, and how
    many photographs are shown, and left out of the one file for their size.
    """

    own: bool
    trees: int
    written: list[str]
    same: int
    removed: list[str]
    strays: list[str]
    photos: int
    photos_left_out: int


SHAPE = PagesData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument(
        "-o", dest="output", type=Path, metavar="FOLDER", help="the folder to make them in (default: pages)"
    )
    parser.add_argument(
        "--one", type=Path, metavar="FILE", help="instead: the whole garden in one file, for a telephone"
    )
    parser.add_argument(
        "--own", action="store_true", help="the keeper's own: with everything, and to tick and write on"
    )
    parser.add_argument("--no-photos", action="store_true", help="leave photographs out")
    parser.add_argument("--dry-run", action="store_true", help="tell what would be written; write nothing")
    json_argument(parser)
    today_argument(parser)


@dataclass(frozen=True, slots=True)
class _Built:
    """What is made of one tree: its page in a folder and what leads to it, or its facts for one file; what is due of it, its row of the
    year.
    """

    tree: Tree
    due: TreeDue
    wall: WallRow
    made: tuple[Outcome, ...] = ()
    facts: TreeFacts | None = None


def run(options: argparse.Namespace) -> Result:
    """Make the pages, and tell what became of them."""
    opened = open_collection(options)
    if options.one:
        return _one(options, opened)
    return _folder(options, opened)


# -- a folder ------------------------------------------------------------------------------------------------------


def _folder(options: argparse.Namespace, opened: Opened) -> Result:
    from ..web import folder, names
    from ..web.marks import Readers
    from ..web.photographs import Photographs, photographs

    output: Path = options.output or FOLDER
    _must_be_fit(output, opened.folder)
    folder.must_be_for(output, Readers.KEEPER if options.own else Readers.ANYBODY)
    collection = opened.collection
    found = names.names_for(collection.settings, collection.trees)
    shots = Photographs()
    if not options.no_photos:
        shots = photographs(collection.folder, watched(collection.living, "photographs"), output)
    garden = _garden(options, opened, shots.shots)
    shown = {shot.file for shot in shots.shots.values()}

    def write(name: str, page: str) -> Outcome:
        return folder.write_page(output, name, page, dry_run=options.dry_run)

    try:
        built = _built(opened, garden, found, write)
        others = [write(name, page) for name, page in _pages(opened, garden, found, built).items()]
        made = folder.together([*(page for one in built for page in one.made), *others])
        folder.write_rest(output, made, shots.new, shown, dry_run=options.dry_run)
    except OSError as error:
        raise ProblemsFound([_refused(output, error)]) from None
    faulty = {Path(p.place.path).stem for p in errors_in(collection.problems) if p.place}
    made.strays = [name for name in made.strays if Path(name).stem not in faulty]  # its page waits, as the tree does
    problems, told = [*shots.problems, *made.problems], _lines(options, opened, output, made, found)
    return _told(options, opened, made, problems, told, (len(shown), 0))


def _must_be_fit(output: Path, collection: Path) -> None:
    """Raises ProblemsFound for a folder in which more would be seen than the pages."""
    whole, ours = output.resolve(), collection.resolve()
    if output.exists() and not output.is_dir():
        raise stop("this is a file", path=str(output), hint="name a folder with -o, or one file with --one")
    if whole == ours or ours.is_relative_to(whole) or (whole / SETTINGS_FILE).exists():
        raise stop(
            "the collection itself lies in this folder",
            path=str(output),
            hint="name a folder of its own with -o: what lies in it is meant to be seen",
        )
    must_not_be_own(output, "-o FOLDER")


def _garden(options: argparse.Namespace, opened: Opened, shots: Mapping[str, Shot]) -> Garden:
    from ..web.facts import Garden

    return Garden(opened.collection.settings, opened.knowledge, options.own, shots)


def _built(opened: Opened, garden: Garden, found: Names | None, write: Write) -> list[_Built]:
    """What is made of each living tree, by two processes where the machine has two, each of which writes its pages."""
    from ..planning.fixed_year import fixed_year
    from ..planning.lists.wall_rows import row_of
    from ..web.facts import tree_facts
    from ..web.garden_year import slim
    from ..web.index import tree_due
    from ..web.names import href
    from ..web.public import public_plan
    from ..web.render import tree_page

    year = fixed_year(opened.today)

    def build(tree: Tree) -> _Built:
        plan = opened.plan(tree) if garden.own else public_plan(opened.plan(tree))
        facts = tree_facts(plan, garden, _yaml(opened, tree) if garden.own else "")
        wall = slim(row_of(plan, year))
        due = tree_due(plan, logged=bool(tree.log))
        if found is None:
            return _Built(wall.trees[0], due, wall, facts=facts)
        page = tree_page(facts, href(found.index), opened.today)
        made = (write(found.pages[tree.tag], page), *(write(*lead) for lead in _leads(found, tree, garden)))
        return _Built(wall.trees[0], due, wall, made)

    return in_two(list(opened.collection.living), build, replace(OBJECTS, share=MOST))


def _leads(found: Names, tree: Tree, garden: Garden) -> Iterator[tuple[str, str]]:
    """What leads to a tree's page from where the code on its pot leads, where that is another place."""
    from ..web.names import href
    from ..web.render import lead_page

    path = found.leads.get(tree.tag)
    if path:
        yield path, lead_page("../" * path.count("/") + href(found.pages[tree.tag]), own=garden.own)


def _yaml(opened: Opened, tree: Tree) -> str:
    return (opened.folder / tree.path).read_text("utf-8", errors="replace")


def _pages(opened: Opened, garden: Garden, found: Names, built: Sequence[_Built]) -> dict[str, str]:
    """All pages but those of the living trees and what leads to them, by the path of their file."""
    from ..web.facts import left_when
    from ..web.garden_year import garden_year
    from ..web.index import front_of
    from ..web.names import href
    from ..web.render import index_page, left_page, year_page
    from ..web.words import say

    own, today = garden.own, opened.today
    gone = [tree for tree in opened.collection.trees if tree.ended is not None]
    pages = {found.pages[tree.tag]: left_page(tree.tag, left_when(tree), own=own) for tree in gone}
    pages.update(lead for tree in gone for lead in _leads(found, tree, garden))
    title = garden.settings.title if own else say("garden")
    rows = [(one.tree, one.due, href(found.pages[one.tree.tag])) for one in built]
    left = [(tree.tag, href(found.pages[tree.tag])) for tree in gone]
    pages[found.index] = index_page(front_of(title, rows, left, own=own), href(found.year), today, own=own)
    if built:
        drawn = garden_year([one.wall for one in built], today, opened.wording, own=own)
        pages[found.year] = year_page(drawn, say("tree year"), href(found.index), today, own=own)
    return pages


# -- one file ------------------------------------------------------------------------------------------------------


def _place_of_one(options: argparse.Namespace) -> Path:
    """Where the one file goes. Raises ProblemsFound where it can't, or may not be."""
    from ..web import folder
    from ..web.marks import Readers

    path: Path = options.one
    if options.output:
        raise stop("a folder or one file, not both", hint="leave out -o or --one")
    if path.is_dir() or not path.resolve().parent.is_dir():
        raise stop(
            "no file can be written here", path=str(path), hint="name a file in a folder that exists with --one FILE"
        )
    must_not_be_own(path, "--one FILE")
    folder.must_not_replace(path, Readers.KEEPER if options.own else Readers.ANYBODY)
    return path


def _one(options: argparse.Namespace, opened: Opened) -> Result:
    from ..web import folder, one_file
    from ..web.facts import left_when
    from ..web.index import front_of
    from ..web.names import href
    from ..web.render import one_page
    from ..web.words import say

    path = _place_of_one(options)
    collection = opened.collection
    album = one_file.album(collection.folder, () if options.no_photos else collection.living)
    garden = _garden(options, opened, album.shots)
    built = _built(opened, garden, None, lambda *_: folder.Outcome())
    gone = [tree for tree in opened.collection.trees if tree.ended is not None]
    title = garden.settings.title if garden.own else say("garden")
    front = front_of(
        title,
        [(one.tree, one.due, f"#{href(one.tree.tag)}") for one in built],
        [(tree.tag, f"#{href(tree.tag)}") for tree in gone],
        own=garden.own,
    )
    trees = [one.facts for one in built if one.facts]
    left = [(tree.tag, left_when(tree)) for tree in gone]
    data = one_page(front, one_file.bare(trees), left, opened.today, own=garden.own).encode("utf-8")
    if album.entries:
        shown = one_file.filled(trees, album, len(data))
        data = one_page(front, shown, left, opened.today, own=garden.own).encode("utf-8")
    made = folder.Outcome()
    try:
        folder.put(path.parent, path.name, data, made, dry_run=options.dry_run)
    except OSError as error:
        raise ProblemsFound([_refused(path, error)]) from None
    refused = bool(made.problems)
    told = (
        []
        if refused
        else [
            f"{counted(len(trees), 'tree')} in one file of {len(data) / 1e6:.1f} MB{_would(options)}: {path}",
            *_warned(options),
            *_photos_told(album),
        ]
    )
    return _told(options, opened, made, [*album.problems, *made.problems], told, (album.shown, album.left_out))


# -- what is told --------------------------------------------------------------------------------------------------


def _told(
    options: argparse.Namespace,
    opened: Opened,
    made: Outcome,
    found: Iterable[Problem],
    lines: Sequence[str],
    photos: tuple[int, int],
) -> Result:
    problems, closing, code = left_out(opened)
    others = tuple(found)
    data: PagesData = {
        "own": options.own,
        "trees": len(opened.collection.living),
        "written": made.written,
        "same": made.same,
        "removed": made.removed,
        "strays": made.strays,
        "photos": photos[0],
        "photos_left_out": photos[1],
    }
    return Result(PROBLEMS if others else code, tuple(lines), data, (*others, *problems), closing)


def _lines(options: argparse.Namespace, opened: Opened, output: Path, made: Outcome, found: Names) -> list[str]:
    pages = [name for name in made.written if name.endswith(".html")]
    photos = len(made.written) - len(pages)
    where = f": {output / found.index}" if found.index in made.written or made.same else f" in {output}"
    left = f", {len(made.problems)} not" if made.problems else ""
    lines = [
        f"{counted(len(pages), 'page')} written{_would(options)}, {made.same} as before{left}{where}",
        *_warned(options),
    ]
    lines += [f"{counted(photos, 'picture')} made small, without what the camera wrote into them"] if photos else []
    lines += [f"{counted(len(made.removed), 'picture')} removed that no page shows"] if made.removed else []
    if made.strays:
        named = ", ".join(made.strays[:MOST_NAMED]) + (" …" if len(made.strays) > MOST_NAMED else "")
        lines.append(f"{counted(len(made.strays), 'page')} of no tree here: {named}; delete what nobody should see")
    return [*lines, *_where_codes_lead(opened)]


def _photos_told(album: Album) -> list[str]:
    """How many photographs the one file shows, and how many not, where it has any."""
    told = (
        [f"{counted(album.shown, 'picture')} in it, made small, without what the camera wrote"] if album.shown else []
    )
    if album.left_out:
        told.append(
            f"{counted(album.left_out, 'picture')} left out for size, older ones first; a folder of pages (-o) shows all"
        )
    return told


def _would(options: argparse.Namespace) -> str:
    return " (--dry-run: nothing was)" if options.dry_run else ""


def _warned(options: argparse.Namespace) -> list[str]:
    return (
        ["these pages show what the trees are worth and where they stand: for the keeper alone"]
        if options.own
        else []
    )


def _where_codes_lead(opened: Opened) -> list[str]:
    """What to write into collection.yaml, where the codes on pots do not lead to a page."""
    link = opened.collection.settings.link
    if not link:
        return [
            "no link: in collection.yaml yet: put the pages' address there, as in https://trees.example.org/{tag}.html"
        ]
    return []


def _refused(path: Path, error: OSError) -> Problem:
    return Problem(
        f"can't be written: {(error.strerror or str(error)).lower()}",
        Place(str(error.filename or path)),
        "name another with -o; what was written before it stays, and the next run makes the rest",
    )
