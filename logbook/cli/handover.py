"""Give a tree to another garden with its history: one archive with its file, its photographs without places, its dossier, and how to go on.

A page for a telephone lies in it too, which anybody may see. The text in it says how to go on without this tool. Its value, its
provenance and keys of your own go along only with --own. Whoever gets it takes it in with: benchleaf add --handover 014.zip

examples:
  benchleaf handover 014 -o 014.zip --dry-run
  benchleaf handover 014 -o 014.zip --yes
  benchleaf handover 014 -o 014.zip --own --yes
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from pathlib import Path
from typing import TypedDict

from ..collection.dates import When
from ..collection.handed_over import OWN, comments_in, to_give
from ..collection.model import Origin, Tree
from ..collection.yaml_reader import file_bytes, file_text
from ..diagnostics import Place, Problem, ProblemsFound, counted, errors_in, stop
from ..intake.handover_texts import READ_ME, Manifest, read_me
from ..photographs.naming import Names
from ..photographs.opening import MOST_BYTES, open_picture
from ..photographs.stripped import stripped
from ..storage.outputs import must_be_writable, write_output
from ..storage.zipped import MOST_MEMBERS, zipped
from ..values import dataclass
from . import dossier, end
from .asking import agreed, can_ask
from .common import Opened, json_argument, open_collection, today_argument, tree_of
from .results import DONE, PROBLEMS, QUESTION, Result, ask

TREE, MANIFEST, DOSSIER, PAGE = "tree.yaml", "manifest.json", "dossier.pdf", "page.html"
WAYS = ("sold", "given")


class HandoverData(TypedDict):
    """An archive of a tree: what is in it, by name with its bytes, and keys of the tree's file that stay here."""

    tag: str
    file: str
    entries: int
    photos: int
    files: dict[str, int]
    kept_back: list[str]


SHAPE = HandoverData


@dataclass(slots=True)
class _Parcel:
    """What goes into the archive, and what could not."""

    members: dict[str, bytes] = field(default_factory=dict)
    photos: dict[str, str] = field(default_factory=dict)  # paths of the log, and names in the archive
    problems: list[Problem] = field(default_factory=list)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("tag", help="the tree")
    parser.add_argument(
        "-o", dest="output", type=Path, metavar="FILE.zip", help="the archive to write (default: the tag's name)"
    )
    parser.add_argument("--own", action="store_true", help="with value, provenance and keys of your own")
    parser.add_argument("--dry-run", action="store_true", help="show what would go into it; write nothing")
    parser.add_argument("--yes", action="store_true", help="write it without asking")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Show what would be given, and write the archive where that was agreed to."""
    opened = open_collection(options)
    tree = tree_of(opened, options.tag)
    output = options.output or Path(f"{tree.tag}.zip")
    if not options.dry_run:
        must_be_writable(output)
    old = file_text(opened.folder / tree.path, tree.path)
    text = to_give(old, tree.path, own=options.own)
    parcel = _Parcel()
    _photographs(parcel, opened, tree)
    kept_back = [] if options.own else [key for key in OWN if getattr(tree, key)]
    lines = _lines(tree, parcel, kept_back, comments_in(text))
    if not agreed(options, "", lines, f"write {output}?"):
        told = [*lines, "nothing was written: run again with --yes"]
        return Result(QUESTION, tuple(told), _data(tree, output, parcel, kept_back), tuple(parcel.problems))
    given = tree if options.own else replace(tree, value="", provenance="", origin=_without_place(tree))
    _papers(parcel, opened, given, options)
    _texts(parcel, opened, tree, text)
    archive = zipped(parcel.members, opened.today)
    if options.dry_run:
        lines.append(f"nothing written (--dry-run), would be {output}: {len(archive) / 1e6:.1f} MB")
    else:
        write_output(output, archive)
        lines += [f"wrote {output}: {len(archive) / 1e6:.1f} MB", *_ended(options, tree, opened)]
    code = PROBLEMS if errors_in(parcel.problems) else DONE
    return Result(code, tuple(lines), _data(tree, output, parcel, kept_back), tuple(parcel.problems))


def _without_place(tree: Tree) -> Origin | None:
    return replace(tree.origin, place="") if tree.origin else None


def _photographs(parcel: _Parcel, opened: Opened, tree: Tree) -> None:
    """Each photograph of the log, bare; one that can't be had is told, and stays a name in the log."""
    names = Names(())
    for entry in tree.log:
        if not entry.photo or entry.photo in parcel.photos:
            continue
        path = opened.folder / entry.photo
        try:
            if not path.resolve().is_relative_to(opened.folder.resolve()):
                raise stop("the photo lies outside the collection", path=entry.photo)
            if len(parcel.photos) >= MOST_MEMBERS - 10:
                raise stop(f"only the first {len(parcel.photos)} photographs go along", path=entry.photo)
            name = names.next(tree.tag, _day(entry.date))
            parcel.members[name] = stripped(file_bytes(path, entry.photo, MOST_BYTES), entry.photo)
            parcel.photos[entry.photo] = name
        except ProblemsFound as found:
            parcel.problems += (
                replace(p, place=p.place or Place(entry.photo), severity="warning") for p in found.problems
            )


def _day(when: When) -> str:
    return when.earliest.isoformat()


def _papers(parcel: _Parcel, opened: Opened, tree: Tree, options: argparse.Namespace) -> None:
    """What is for people's eyes, by the name it has in the archive. Whatever else shows a tree joins here."""
    parcel.members[PAGE] = _page(parcel, opened, tree)
    with tempfile.TemporaryDirectory(prefix="benchleaf-handover-") as folder:
        path = Path(folder) / DOSSIER
        parser = argparse.ArgumentParser()
        dossier.arguments(parser)
        words = argparse.Namespace(
            **{**vars(parser.parse_args([tree.tag, "-o", str(path)])), "folder": options.folder}
        )
        dossier.draw(opened, tree, words)
        parcel.members[DOSSIER] = path.read_bytes()


def _page(parcel: _Parcel, opened: Opened, tree: Tree) -> bytes:
    """The page that anybody may see, with the photographs that lie beside it in the archive."""
    from ..web.alone import page_alone
    from ..web.facts import Shot

    shots = {}
    for path, name in parcel.photos.items():
        with open_picture(parcel.members[name], name) as picture:
            shots[path] = Shot(name, picture.width, picture.height)
    settings, knowledge = opened.collection.settings, opened.knowledge
    return page_alone(opened.plan(tree), settings, knowledge, shots, opened.today).encode()


def _texts(parcel: _Parcel, opened: Opened, tree: Tree, text: str) -> None:
    """The tree's file, the words for whoever gets it, and what a program has to know."""
    settings = opened.collection.settings
    southern = bool(settings.site and settings.site.southern)
    told = Manifest(settings.title, tree.tag, settings.units.name, southern, parcel.photos)
    parcel.members = {
        READ_ME: read_me(tree, settings.title, len(parcel.photos), opened.today).encode(),
        TREE: text.encode(),
        MANIFEST: (json.dumps(told.as_data(), indent=1, ensure_ascii=False) + "\n").encode(),
        **parcel.members,
    }


def _lines(tree: Tree, parcel: _Parcel, kept_back: Sequence[str], comments: int) -> list[str]:
    lines = [
        f"{tree.tag} {tree.name or tree.full_name}",
        f"  {counted(len(tree.log), 'entry', 'entries')} of its log, {counted(len(parcel.photos), 'picture')} without places",
        "  its dossier, a page for a telephone, and a text how to go on without this tool",
    ]
    lines += [f"  stays here: {', '.join(kept_back)} (--own gives them)"] if kept_back else []
    lines += [f"  with {counted(comments, 'line')} of your own comments in its file"] if comments else []
    return lines


def _ended(options: argparse.Namespace, tree: Tree, opened: Opened) -> list[str]:
    """Ask whether the tree has left, where someone can be asked; else say how that is told."""
    if tree.ended is not None:
        return []
    told = f"when it has gone: benchleaf end {tree.tag} --how given (or sold)"
    if not can_ask(options, "") or options.yes:
        return [told]
    ask(f"has {tree.tag} left your garden? [{' / '.join(WAYS)}; Enter: not yet]")
    how = sys.stdin.readline().strip().casefold()
    if how not in WAYS:
        return [told]
    words = argparse.Namespace(
        folder=options.folder,
        tag=tree.tag,
        how=how,
        into=None,
        date=None,
        note="",
        dry_run=False,
        json=False,
        today=opened.today,
    )
    return list(end.run(words).lines)


def _data(tree: Tree, output: Path, parcel: _Parcel, kept_back: list[str]) -> Mapping[str, object]:
    data: HandoverData = {
        "tag": tree.tag,
        "file": str(output),
        "entries": len(tree.log),
        "photos": len(parcel.photos),
        "files": {name: len(member) for name, member in parcel.members.items()},
        "kept_back": kept_back,
    }
    return data
