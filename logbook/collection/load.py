"""A folder on disk becomes a `Collection`: every file read, every fault of every file told in one run.

Knows file names and cross-file rules (tags are unique, paths stay inside). Words of the trade come in through a
`Lexicon`, so that this room does not depend on the trade's data.
"""

from __future__ import annotations

import gc
import hashlib
import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import chain
from pathlib import Path

from ..diagnostics import Place, Problem, ProblemsFound, stop
from ..storage import known_trees
from ..values import dataclass
from .as_logged import as_logged
from .cross_checks import cross_checks, tag_clashes
from .fields import COLLECTION, UNITS
from .kinds import FAILED, Context
from .model import Collection, Entry, Settings, Tree, tag_key
from .pointing import pointed_out
from .teaching import BITES, OLDER, SIGNS, plain_tag, what_it_teaches
from .tree_folder import TREES_FOLDER, gone, misnamed, tree_paths
from .tree_text import Lexicon, empty, read_entry, read_tree, tree_context
from .units import Units
from .weather_folder import read_folder
from .yaml_reader import Document, Scalar, decoded, file_bytes, read_text
from .yaml_reader import Mapping as MappingNode

SETTINGS_FILE = "collection.yaml"


@dataclass(frozen=True, slots=True)
class _Read:
    tree: Tree | None
    problems: tuple[Problem, ...]
    characters: frozenset[str] = frozenset()
    teaching: Tree | None = None  # what a tree tells of the spring, where no more of it is read, or can be


Each = Callable[[Callable[[Path], _Read], Iterable[Path]], Iterable[_Read]]


def load(
    folder: Path,
    lexicon: Lexicon,
    watch: Callable[[list[Path]], Iterable[Path]] = list,
    instead: Mapping[str, bytes | None] | None = None,
    each: Each = map,
    only: str = "",
    *,
    alone: bool = False,
) -> Collection:
    """Read a collection. Raises ProblemsFound where the folder is none; other faults are in `problems`.

    `watch` may wrap the list of tree files, to show progress. `instead` holds bytes that stand in place of files, by path; None
    where a file is gone. `each` reads the files, in their order, in whatever processes. `only`: a tag; then of the other trees so much is
    read as tells of the spring (with `alone` not even that), those whole that claim the same tag, and nothing is said of the rest.
    """
    files = _Files(folder, instead or {})
    settings, problems = _settings_of(files, lexicon)
    if settings is not None:
        lexicon, faults = lexicon.own(settings)
        problems += faults
    context = tree_context(settings or Settings(folder.name), lexicon)
    characters = _beyond_ascii(files.text(SETTINGS_FILE)) if settings else frozenset()
    paths = files.trees()
    lost = gone(_if_there(files, known_trees.PATH), paths)
    paths, part = _concerning(files, paths, only, alone=alone) if only else (paths, frozenset())
    with _all_is_kept():
        reads = list(each(lambda path: _read_tree(files, path, context, part=path in part), watch(paths)))
    problems += chain.from_iterable(read.problems for read in reads)
    characters = characters.union(*(read.characters for read in reads))
    found = _found(reads)
    told = found.clashes if only else [*lost, *misnamed(folder), *found.clashes, *cross_checks(folder, found.trees)]
    problems += pointed_out(files.text, told)
    weather, faults = read_folder(folder, instead or {}, settings or Settings(folder.name))
    problems += faults
    return Collection(
        str(folder),
        settings or Settings(folder.name),
        found.sound,
        tuple(problems),
        len(paths) + 1,
        characters,
        weather,
        found.claimed,
        found.teaching,
    )


@dataclass(frozen=True, slots=True)
class _Found:
    """The trees that were read: those whose tag no other file claims, what others teach, and the tags that several claim."""

    trees: list[Tree]
    sound: tuple[Tree, ...]
    teaching: tuple[Tree, ...]
    clashes: list[Problem]
    claimed: dict[str, frozenset[str]]


def _found(reads: Sequence[_Read]) -> _Found:
    """Of files in which no more could be read than what they teach those count whose tag is no other's."""
    trees = [read.tree for read in reads if read.tree is not None]
    parts = [read.teaching for read in reads if read.teaching is not None]
    clashes, claimed = tag_clashes(trees)
    doubled = frozenset().union(*claimed.values())
    sound = sorted((t for t in trees if t.path not in doubled), key=lambda t: _tag_order(t.tag))
    owners = Counter(tag_key(tree.tag) for tree in (*trees, *parts))
    teaching = (part for part in parts if owners[tag_key(part.tag)] == 1)
    return _Found(trees, tuple(sound), tuple(teaching), clashes, claimed)


def _concerning(files: _Files, paths: Iterable[Path], tag: str, *, alone: bool) -> tuple[list[Path], frozenset[Path]]:
    """The files that have to be read where one tree is asked for, its own and what tells something of it; and of which a part will do."""
    texts = {path: _bytes_of(files, path) for path in paths}
    tags = {path: plain_tag(raw) for path, raw in texts.items()}
    whole = {path for path, raw in texts.items() if _is_of(tag, path, raw, tags[path])}
    part = frozenset[Path]()
    if not alone:
        owners = Counter(tags.values())
        whole |= {path for path, raw in texts.items() if BITES in raw or (raw and owners[tags[path]] > 1)}
        part = frozenset(path for path, raw in texts.items() if SIGNS in raw) - whole
    return [path for path in texts if path in whole or path in part], part


def _is_of(tag: str, path: Path, raw: bytes, found: str) -> bool:
    """Whether a file is the tree's own, or may claim its tag: as another's, or as an older number. `found`: the tag that stands in it."""
    wanted = tag_key(tag)
    if tag_key(path.stem) == wanted:
        return True
    claims = found in ("", wanted) or (OLDER in raw and tag.casefold().encode() in raw.lower())
    return bool(raw) and claims


def _bytes_of(files: _Files, path: Path) -> bytes:
    """A tree's file; nothing where it can't be had."""
    try:
        return files.bytes(f"{TREES_FOLDER}/{path.name}")
    except ProblemsFound:
        return b""


FAR_APART = 100_000  # new objects between two looks of the collector: so only the command itself sets it


@contextmanager
def _all_is_kept() -> Iterator[None]:
    """While trees are read the collector of cycles looks for nothing: reading makes none, and keeps what it makes."""
    looked = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if looked and gc.get_threshold()[0] >= FAR_APART:
            gc.freeze()  # a run of the command: what was read is kept to its end, and never looked at
        if looked:
            gc.enable()


@dataclass(frozen=True, slots=True)
class _Files:
    """A collection's files, some of which may be known otherwise than from the disk."""

    folder: Path
    instead: Mapping[str, bytes | None]

    def bytes(self, shown: str) -> bytes:
        """Raises ProblemsFound where they can't be had."""
        known = self.instead.get(shown)
        return file_bytes(self.folder / shown, shown) if known is None else known

    def text(self, shown: str) -> str:
        return decoded(self.bytes(shown), shown)

    def trees(self) -> list[Path]:
        """The trees' files, in order."""
        if not self.instead:
            return tree_paths(self.folder)
        trees = self.folder / TREES_FOLDER
        known = {trees / Path(shown).name: data for shown, data in self.instead.items() if _is_tree(shown)}
        found = {path for path in tree_paths(self.folder) if path not in known}
        return sorted(found | {path for path, data in known.items() if data is not None})


def _is_tree(shown: str) -> bool:
    folder, _, name = shown.rpartition("/")
    return folder == TREES_FOLDER and known_trees.is_tree(name)


def load_settings(folder: Path, lexicon: Lexicon) -> tuple[Settings | None, list[Problem]]:
    """Read `collection.yaml` alone. Raises ProblemsFound where the folder holds no collection."""
    return _settings_of(_Files(folder, {}), lexicon)


def settings_from(raw: bytes, lexicon: Lexicon) -> list[Problem]:
    """The faults of a `collection.yaml` that is not written yet."""
    return settings_read(raw, lexicon)[1]


def settings_read(raw: bytes, lexicon: Lexicon) -> tuple[Settings | None, list[Problem]]:
    """The settings that such bytes would give, and their faults."""
    return _settings_from(_Files(Path(), {SETTINGS_FILE: raw}), lexicon)


def _settings_of(files: _Files, lexicon: Lexicon) -> tuple[Settings | None, list[Problem]]:
    must_be_collection(files.folder)
    return _settings_from(files, lexicon)


def _settings_from(files: _Files, lexicon: Lexicon) -> tuple[Settings | None, list[Problem]]:
    try:
        document = read_text(files.text(SETTINGS_FILE), SETTINGS_FILE)
    except ProblemsFound as found:
        return None, list(found.problems)
    problems = list(document.problems)
    if document.root is None:
        return None, problems or [empty(document)]
    root = document.root
    context = Context(document, words=lexicon.words, units=_units_of(root), southern=_is_southern(root))
    value = COLLECTION.read(root, context)
    problems += context.problems
    return (None if value is FAILED else value), problems


def _read_tree(files: _Files, path: Path, context: Callable[[Document], Context], *, part: bool = False) -> _Read:
    shown = f"{TREES_FOLDER}/{path.name}"
    try:
        raw = files.bytes(shown)
        text = decoded(raw, shown)
        teaching = _taught(text, shown, context) if part else None
        if teaching is not None:
            return _Read(None, (), teaching=teaching)
        tree, problems = read_tree(text, shown, context)
    except ProblemsFound as found:
        return _Read(None, found.problems)
    if tree is None:
        return _Read(None, tuple(problems), teaching=None if part else _taught(text, shown, context))
    if tag_key(tree.tag) != tag_key(path.stem):
        problems.append(
            Problem(
                f"the file is named '{path.name}', its tag is '{tree.tag}'",
                Place(shown),
                f"rename it to {tree.tag}.yaml; the tag inside is what counts",
                "warning",
            )
        )
    stands = as_logged(tree, hashlib.sha256(raw).hexdigest())
    return _Read(stands, tuple(problems), _beyond_ascii(text))


def _taught(text: str, shown: str, context: Callable[[Document], Context]) -> Tree | None:
    """What a tree's text tells of the spring, be the rest sound or not: a slip in one tree's log must not move the dates of all others."""
    for is_sound in (bool, lambda entry: isinstance(read_entry(entry, context), Entry)):
        part = what_it_teaches(text, is_sound)
        tree = read_tree(part, shown, context)[0] if part else None
        if tree is not None or part is None:
            return as_logged(tree) if tree is not None else None
    return None


def _beyond_ascii(text: str) -> frozenset[str]:
    """The characters that a page may need another face for, composed as pages compose them."""
    return (
        frozenset() if text.isascii() else frozenset(c for c in unicodedata.normalize("NFC", text) if not c.isascii())
    )


def must_be_collection(folder: Path) -> None:
    """Raises ProblemsFound where the folder can't be read or holds no collection."""
    shown = str(folder)
    try:
        if not folder.exists():
            raise stop(
                "there is no such folder", path=shown, hint="make a collection there with: benchleaf start FOLDER"
            )
        if not folder.is_dir():
            raise stop(
                "this is a file; a collection is a folder",
                path=shown,
                hint="give the folder that holds collection.yaml",
            )
        names = {p.name for p in folder.iterdir()}
    except OSError as error:
        raise stop(f"the folder can't be read: {(error.strerror or str(error)).lower()}", path=shown) from None
    if SETTINGS_FILE not in names:
        what = "the folder is empty" if not names else "the folder holds no collection.yaml"
        raise stop(
            what,
            path=shown,
            hint="go to the collection's folder or name it with -C FOLDER; a new one: benchleaf start FOLDER",
        )


def _scalar_at(root: object, *keys: str) -> str:
    node = root
    for key in keys:
        if not isinstance(node, MappingNode):
            return ""
        node = node.items.get(key)
    return node.text if isinstance(node, Scalar) else ""


def _units_of(root: object) -> Units:
    return UNITS.get(_scalar_at(root, "units"), UNITS["metric"])


def _is_southern(root: object) -> bool:
    return _scalar_at(root, "site", "latitude").startswith("-")


def _if_there(files: _Files, shown: str) -> bytes | None:
    try:
        return files.bytes(shown)
    except ProblemsFound:
        return None


def bench_order(place: str) -> tuple[object, ...]:
    """Bench places as one walks past them: east 2 before east 10."""
    return _tag_order(place.casefold())


def _tag_order(tag: str) -> tuple[object, ...]:
    """Numbers by value, then text: 2, 9, 014, 014b, A1."""
    return tuple((0, int(p), "") if p.isdecimal() else (1, 0, p.casefold()) for p in re.findall(r"\d+|\D+", tag))
