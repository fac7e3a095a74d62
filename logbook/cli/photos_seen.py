"""Pictures given to `photos`, looked at one by one: their sums, their times, and the codes they show."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ..collection.model import Collection, tag_key
from ..collection.yaml_reader import file_bytes
from ..diagnostics import Place, Problem, ProblemsFound, stop
from ..extras import CAMERA, how_to_install
from ..photographs.naming import PHOTOS, PICTURE, sum_of
from ..photographs.opening import MOST_BYTES, SUFFIXES, open_picture
from ..photographs.runs import Code, Shot, is_named_otherwise, named_tag
from ..photographs.stripped import stripped
from ..photographs.taken import taken
from ..storage.printed import serial_in
from ..values import dataclass
from .common import Opened, watched

if TYPE_CHECKING:
    from ..camera.tag_codes import PictureCodes

MOST_PICTURES = 2_000
NO_CAMERA = (
    "codes can't be read, since the library '{}' is not there: only pictures whose names begin with a tag are filed"
)


@dataclass(slots=True)
class Seen:
    """What was given: pictures with their files, and what could not be read."""

    shots: list[Shot] = field(default_factory=list)
    paths: dict[str, Path] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def looked_at(options: argparse.Namespace, opened: Opened) -> Seen:
    """One picture at a time: its sum, its time, its codes."""
    seen = Seen(paths=_files(options.paths, opened.folder / PHOTOS))
    codes_in, missing = _reader()
    if missing:
        seen.problems.append(
            Problem(
                NO_CAMERA.format(missing),
                hint=f"{how_to_install(CAMERA)}; or name them: 014-front.jpg",
                severity="warning",
            )
        )
    texts = _texts(opened, options.link)
    tags = {tag_key(t.tag): t.tag for t in opened.collection.living}
    ended = {tag_key(t.tag): t.tag for t in opened.collection.trees if t.ended is not None}
    there, noted = _on_record(opened.collection), _noted(opened)
    for name in watched(list(seen.paths), "looking at pictures"):
        try:
            raw = file_bytes(seen.paths[name], name, MOST_BYTES)
            with open_picture(raw, name) as picture:
                when = taken(picture, Path(name).name, seen.paths[name].stat().st_mtime)
            base, digest = Path(name).name, sum_of(raw)
            tag = named_tag(base, tags)
            filed = there.get(digest, "") or (tag if _is_filed(raw, name, noted) else "")
            odd = not tag and bool(named_tag(base, ended) or is_named_otherwise(base, tags))
            shot = Shot(name, digest, when, named=tag, there=filed, misnamed=odd)
            seen.shots.append(_with_codes(shot, raw, codes_in, texts, seen.problems))
        except ProblemsFound as found:
            seen.problems += found.problems
    seen.problems += _lost(seen, opened)
    seen.shots = _once(seen.shots)
    if missing:  # a code in between could not be seen: no picture says what the next one is
        seen.shots = [replace(shot, taken=replace(shot.taken, camera=shot.name)) for shot in seen.shots]
    return seen


def _files(paths: Sequence[Path], own: Path) -> dict[str, Path]:
    """The pictures by the names they are shown under. Raises ProblemsFound where there are none, or too many."""
    found: dict[str, Path] = {}
    for path in paths:
        if not path.is_dir():
            found[_shown(str(path), found)] = path
            continue
        for one in sorted(path.rglob("*")):
            inner = one.relative_to(path)
            hidden = any(part.startswith(".") for part in inner.parts)
            if (
                one.suffix.casefold() in SUFFIXES
                and not hidden
                and one.is_file()
                and own.resolve() not in one.resolve().parents
            ):
                found[_shown(inner.as_posix() if len(paths) == 1 else str(one), found)] = one
    if not found:
        raise stop(
            "there is no picture in it", path=str(paths[0]), hint="give a folder of JPEG, PNG or HEIC pictures"
        )
    if len(found) > MOST_PICTURES:
        raise stop(
            f"{len(found):,} pictures were given; {MOST_PICTURES:,} are taken at once", hint="give them in parts"
        )
    return found


def _shown(name: str, others: Container[str]) -> str:
    """A name as a screen may show it, and no other file's."""
    plain = "".join(c if c.isprintable() else "?" for c in name)
    return plain if plain not in others else f"{plain} ({sum(map(ord, name))})"


def _reader() -> tuple[Callable[[bytes, str], PictureCodes] | None, str]:
    """What finds codes in a picture's bytes, or the name of the library that is missing for it."""
    try:
        from ..camera.pictures import pictures_in
        from ..camera.tag_codes import look_for_codes
    except ImportError as missing:
        return None, missing.name or "opencv"

    def codes_in(raw: bytes, name: str) -> PictureCodes:
        return look_for_codes(next(pictures_in(raw, name))[1])

    return codes_in, ""


def _with_codes(
    shot: Shot,
    raw: bytes,
    codes_in: Callable[[bytes, str], PictureCodes] | None,
    texts: Mapping[str, Code],
    problems: list[Problem],
) -> Shot:
    """The picture with the codes it shows; of one that can't be decoded nobody knows what it shows."""
    if codes_in is None:
        return shot
    try:
        found = codes_in(raw, shot.name)
    except ProblemsFound as fault:
        problems += fault.problems
        return replace(shot, unread=True)
    codes = tuple(_code(one.text, one.share, texts) for one in found.read)
    return replace(shot, codes=codes, unread=found.unread)


def _texts(opened: Opened, links: Sequence[str]) -> dict[str, Code]:
    """What the codes of this collection's tags say, by the link it has and those it had."""
    from ..paper.sheet.sheets import tree_link

    settings = opened.collection.settings
    found: dict[str, Code] = {}
    for link in (settings.link, *links):
        for tree in reversed(opened.collection.trees):
            for tag in (*tree.also, tree.tag):
                text = tree_link(replace(settings, link=link), replace(tree, tag=tag, path=f"trees/{tag}.yaml"))
                found[text] = Code(tree.tag, 0.0) if tree.ended is None else Code("", 0.0, "left")
            own = tree_link(replace(settings, link=link), tree)
            found[own] = Code(tree.tag, 0.0) if tree.ended is None else Code("", 0.0, "left")
    return found


def _code(text: str, share: float, texts: Mapping[str, Code]) -> Code:
    known = texts.get(text)
    if known:
        return replace(known, share=share)
    return Code("", share, "sheet" if serial_in(text)[0] else "unknown")


def _on_record(collection: Collection) -> dict[str, str]:
    """The tree in whose log a picture stands, by the sum of the original."""
    return {
        source.removeprefix(f"{PICTURE} "): tree.tag
        for tree in collection.trees
        for entry in tree.log
        for source in entry.sources
        if source.startswith(f"{PICTURE} ")
    }


def _lost(seen: Seen, opened: Opened) -> list[Problem]:
    """Pictures that a log names and of which the copy is gone: whoever cleared the camera now would have none."""
    kept = {s: e.photo for t in opened.collection.trees for e in t.log if e.photo for s in e.sources}
    found = []
    for shot in seen.shots:
        path = kept.get(f"{PICTURE} {shot.digest}", "")
        if shot.there and path and not (opened.folder / path).is_file():
            hint = f"copy this picture there by hand, as {path}: its entry stands in the log of {shot.there}"
            found.append(Problem(f"the log names {path}, and it is not there", Place(shot.name), hint))
    return found


def _noted(opened: Opened) -> dict[str, Path]:
    """Pictures that lie in `photos/` under the name that a note gave them, by that name."""
    named = (
        entry.photo for tree in opened.collection.trees for entry in tree.log if entry.photo and not entry.source
    )
    found = ((name.rpartition("/")[2], opened.folder / name) for name in named if name.startswith(f"{PHOTOS}/"))
    return {base: path for base, path in found if path.is_file()}


def _is_filed(raw: bytes, name: str, noted: Mapping[str, Path]) -> bool:
    """Whether this very picture lies there under the name that it bears, which a note had said of it."""
    path = noted.get(Path(name).name)
    return path is not None and path.read_bytes() == stripped(raw, name)


def _once(shots: Sequence[Shot]) -> list[Shot]:
    """Of a picture that was given twice the first one; whose two names tell two trees, it is asked."""
    first: dict[str, Shot] = {}
    for shot in shots:
        one = first.setdefault(shot.digest, shot)
        if shot.named and one.named and shot.named != one.named:
            first[shot.digest] = replace(one, named="", misnamed=True)
    return list(first.values())
