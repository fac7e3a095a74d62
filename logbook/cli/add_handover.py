"""A tree that comes from another garden in an archive: shown first, then taken in under a number of this garden, as one batch."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable, Sequence
from dataclasses import field, replace
from pathlib import Path
from typing import TypedDict

from ..collection.handed_over import HANDOVER, Arrival, arrived
from ..collection.model import Tree, tag_key
from ..collection.tree_text import read_tree, tree_context
from ..collection.yaml_reader import MAX_BYTES, decoded, file_bytes
from ..diagnostics import Problem, ProblemsFound, counted, errors_in, stop
from ..intake.handover_texts import Manifest, manifest_in
from ..intake.service import refusals
from ..photographs.naming import PHOTOS, Names, sum_of
from ..photographs.opening import open_picture
from ..photographs.stripped import stripped
from ..storage.printed import load_ledger
from ..storage.store import Edit, NewFile, NewPicture, Store
from ..storage.zipped import MOST_BYTES, Archive, archive_in
from ..values import dataclass
from .asking import agreed, can_ask
from .common import Opened
from .results import DONE, PROBLEMS, QUESTION, Result, ask

TREE, MANIFEST = "tree.yaml", "manifest.json"
MOST_MANIFEST, MOST_PICTURE = 1_000_000, 30_000_000
MOST_PIXELS = 6_000_000  # of a picture: those that were handed over have 4 million at most
LONGEST_LINE, MOST_FAULTS = 300, 10
NOT_HERE = "not-handed-over"
_SEASON = re.compile(r"\b\d{4}-2[1-4]\b")


class TreeArriving(TypedDict):
    """A tree that comes from another garden: its number here and there, and what comes with it."""

    tag: str
    garden: str
    old_tag: str
    entries: int
    photos: int


@dataclass(slots=True)
class _Come:
    """What an archive holds, read and found sound."""

    shown: str
    archive: Archive
    manifest: Manifest
    text: str
    source: str
    tree: Tree
    pictures: dict[str, bytes] = field(default_factory=dict)  # new paths and bare pictures
    missing: list[str] = field(default_factory=list)


def take_in(store: Store, opened: Opened, options: argparse.Namespace) -> Result:
    """Show what comes, and write it where that was agreed to."""
    come = _read(options.handover, opened)
    there = _there(come, opened)
    if there is not None:
        line = f"{there.tag} came with this very archive ({_words(come)}): nothing to do"
        return Result(DONE, (*store.told(), line), _data(come, there.tag, added=False, filed=True))
    _not_another_time(come, opened, options.tag)
    tag = _tag(options, opened, store)
    text, path = _text(come, tag, opened, store, options), f"trees/{tag}.yaml"
    lines = _lines(come, tag)
    if not agreed(options, "", lines, f"take it in as {tag}?"):
        told = (*store.told(), *lines, "nothing was written: run again with --yes")
        return Result(QUESTION, told, _data(come, tag, added=False, filed=False))
    edits: list[Edit] = [NewFile(path, text)]
    edits += [NewPicture(name, _giving(data)) for name, data in come.pictures.items()]
    outcome = store.commit(store.prepare(edits).all_or_none(), opened.today)
    problems = (*refusals(outcome), *(_missing(come) if come.missing else ()))
    done = (
        f"{'would add' if options.dry_run else 'added'} {tag} with {counted(len(come.tree.log), 'entry', 'entries')}"
    )
    more = f" and {counted(len(come.pictures), 'picture')}: {path}"
    code = PROBLEMS if errors_in(problems) else DONE
    return Result(
        code,
        (*store.told(), *lines, done + more),
        _data(come, tag, added=True, filed=not (code or options.dry_run)),
        problems,
    )


def _giving(data: bytes) -> Callable[[], bytes]:
    return lambda: data


def _read(path: Path, opened: Opened) -> _Come:
    """The archive, its manifest and its tree, read as a file of this garden would be. Raises ProblemsFound."""
    shown = str(path)
    archive = archive_in(file_bytes(path, shown, MOST_BYTES), shown)
    manifest = manifest_in(archive.read(MANIFEST, MOST_MANIFEST))
    if manifest is None:
        raise stop("its manifest can't be read", path=shown, hint="ask for the archive anew")
    raw = archive.read(TREE, MAX_BYTES)
    inner = f"{shown}:{TREE}"
    text = decoded(raw, inner)
    settings = opened.collection.settings
    southern = bool(settings.site and settings.site.southern)
    if manifest.units != settings.units.name:
        hint = f"set units: {manifest.units} in a collection of its own, and take it in there"
        raise stop(
            f"its sizes are in {manifest.units} units, this garden's in {settings.units.name}", path=shown, hint=hint
        )
    if manifest.southern != southern and _SEASON.search(text):
        hint = "ask for its seasons to be written as months"
        raise stop("its log names seasons of the other half of the earth", path=shown, hint=hint)
    tree, faults = read_tree(text, inner, tree_context(settings, opened.knowledge))
    if tree is None or errors_in(faults):
        raise _no_tree(faults)
    return _Come(shown, archive, manifest, text, f"{HANDOVER} {sum_of(raw)}", tree)


def _no_tree(faults: Sequence[Problem]) -> ProblemsFound:
    """The first faults of somebody else's file, without lines that no screen shows."""
    some = [
        replace(f, place=f.place._replace(source="") if f.place and len(f.place.source) > LONGEST_LINE else f.place)
        for f in faults
    ]
    more = [Problem(f"and {counted(len(some) - MOST_FAULTS, 'fault')} more")] if len(some) > MOST_FAULTS else []
    return ProblemsFound([*some[:MOST_FAULTS], *more] or [Problem("there is no tree in it")])


def _words(come: _Come) -> str:
    return f"from garden {come.manifest.garden}, {come.manifest.tag}"


def _there(come: _Come, opened: Opened) -> Tree | None:
    """The tree that came with the same file before."""
    return next((t for t in opened.collection.trees if any(come.source in e.sources for e in t.log)), None)


def _not_another_time(come: _Come, opened: Opened, tag: str | None) -> None:
    """Raises ProblemsFound where a tree came from there already with another file, and no tag says that this is another tree."""
    words = _words(come)
    for tree in opened.collection.trees:
        place = tree.origin.place if tree.origin else ""
        if place.split("; ")[0] == words and not tag:
            raise stop(
                f"{tree.tag} came {words} before, with another file",
                path=come.shown,
                hint=f"to take it in as another tree, give its tag: benchleaf add TAG --handover {come.shown}",
            )


def _tag(options: argparse.Namespace, opened: Opened, store: Store) -> str:
    """The tag it gets: the one that was given, or the next free one, which may be changed on a terminal. Raises ProblemsFound."""
    from ..paper.tags import free_tags

    used = [tag for tree in opened.collection.trees for tag in (tree.tag, *tree.also)]
    used += [Path(name).stem for name in store.disk.names("trees")]
    free = free_tags([*used, *load_ledger(opened.folder).spare], 1)[0]
    tag = options.tag or free
    if not options.tag and can_ask(options, "") and not (options.yes or options.dry_run):
        ask(f"which tag shall it get here? [{free}]")
        tag = sys.stdin.readline().strip() or free
    if tag_key(tag) in map(tag_key, used):
        raise stop(f"tag {tag} is in use", hint=f"a tag is never used again: the next free one is {free}")
    return tag


def _text(come: _Come, tag: str, opened: Opened, store: Store, options: argparse.Namespace) -> str:
    """The text of its file here, checked as it will be read; its pictures are made on the way. Raises ProblemsFound."""
    names = Names(store.disk.names(PHOTOS))
    inner = f"{come.shown}:{TREE}"

    def renamed(old: str, day: str) -> str:
        member = come.manifest.photos.get(old)
        if member is None:
            come.missing.append(old)
            return f"{PHOTOS}/{NOT_HERE}/{re.sub(r'[^A-Za-z0-9._-]', '_', old.rpartition('/')[2]).lstrip('.')[-60:] or 'photo'}"
        path = names.next(tag, re.sub(r"[^0-9-]", "", day)[:10] or opened.today.isoformat())
        come.pictures[path] = _bare(come.archive, member)
        return path

    here = Arrival(
        tag, opened.today, come.manifest.garden, come.manifest.tag, come.source, renamed, options.bench or ""
    )
    text = arrived(come.text, inner, here)
    tree, faults = read_tree(text, inner, tree_context(opened.collection.settings, opened.knowledge))
    if tree is None or errors_in(faults):
        raise _no_tree(faults)
    return text


def _bare(archive: Archive, member: str) -> bytes:
    """A picture of the archive, made anew from its pixels. Raises ProblemsFound."""
    shown = f"{archive.shown}:{member[:80]}"
    raw = archive.read(member, MOST_PICTURE)
    with open_picture(raw, shown) as picture:
        if picture.width * picture.height > MOST_PIXELS:
            raise stop(f"the picture is too large: {picture.width} × {picture.height} pixels", path=shown)
    return stripped(raw, shown)


def _lines(come: _Come, tag: str) -> list[str]:
    tree = come.tree
    days = sorted(entry.date.earliest for entry in tree.log)
    span = f", {days[0].year} to {days[-1].year}" if days else ""
    lines = [
        f"{tree.name or tree.full_name} ({_words(come)})",
        f"  its number here: {tag}",
        f"  {counted(len(tree.log), 'entry', 'entries')} of its log{span}, word for word",
        f"  {counted(len(come.pictures), 'picture')}",
    ]
    left = [f"stood at '{tree.first_bench or tree.bench}'"] if tree.bench else []
    left += [f"had the numbers {', '.join(tree.also)} before"] if tree.also else []
    return lines + ([f"  there it {' and '.join(left)}: no place and no number of this garden"] if left else [])


def _missing(come: _Come) -> list[Problem]:
    told = f"{counted(len(come.missing), 'picture')} that its log names did not come"
    return [
        Problem(told, hint=f"ask for them, or take the words 'photo: {PHOTOS}/{NOT_HERE}/…' out", severity="warning")
    ]


def _data(come: _Come, tag: str, *, added: bool, filed: bool) -> dict[str, object]:
    """What comes; `filed` says that all of it stands here now."""
    arriving: TreeArriving = {
        "tag": tag,
        "garden": come.manifest.garden,
        "old_tag": come.manifest.tag,
        "entries": len(come.tree.log),
        "photos": len(come.pictures),
    }
    path = f"trees/{tag}.yaml"
    return {
        "added": [path] if added else [],
        "there": [tag] if filed and not added else [],
        "parent": None,
        "understood": {},
        "questions": [],
        "waiting": [],
        "filed": filed,
        "arriving": arriving,
    }
