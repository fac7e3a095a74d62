"""File photographs under their trees: take the tag, then the tree.

Give a folder of pictures, or some of them. They are taken in the order of their own time; one that shows the code of a tag says which
tree the following ones are of, until the next code. One whose name begins with a tag (014-front.jpg) is of that tree. Each is
copied into photos/, upright, at most 2,000 pixels, without its place and device; the original is never touched. The same picture given again is
nothing. What could be of another tree is asked, never guessed; pictures by a camera that took no tag are left alone.

examples:
  benchleaf photos holiday/ --dry-run
  benchleaf photos P1040311.jpg P1040312.jpg
  benchleaf photos camera/ --yes --answer P1040330.jpg=014
"""

from __future__ import annotations

import argparse
import contextlib
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict

from ..collection.model import Collection
from ..collection.yaml_editor import Value
from ..collection.yaml_reader import file_bytes
from ..diagnostics import Problem, ProblemsFound, counted, errors_in, stop
from ..intake.leaving import TOLD as LEAVING
from ..intake.leaving import is_later
from ..intake.service import refusals
from ..photographs.naming import PHOTOS, Names, source_of, sum_of
from ..photographs.opening import MOST_BYTES
from ..photographs.runs import Placed, Why, placed
from ..photographs.stripped import stripped
from ..storage.store import Edit, Entries, NewPicture, Store
from .asking import agreed, answer_argument, can_ask
from .common import Opened, json_argument, no_tree, today_argument, watched
from .photos_seen import Seen, looked_at
from .results import DONE, PROBLEMS, QUESTION, Result, ask, say
from .writing import writing

if TYPE_CHECKING:
    pass

LEFT_ALONE = "-"
NO_DAY: Why = "no day"
WHYS: Mapping[Why, str] = {
    "before": "taken before any tag",
    "late": "taken more than 20 minutes after the tag",
    "pause": "taken after a pause like those between trees: was a tag missed?",
    "unread": "behind a tag whose code can't be read",
    "unknown": "behind a code that is no tree's of this collection",
    "two": "behind a picture of several tags",
    "misnamed": "its name, or that of the one before it, begins with a number that is no living tree's",
    "named": "its name tells one tree, its code another",
    "far": "a tag is seen in it from afar",
    "sheet": "behind a record sheet, which reconcile reads",
    "left": "behind the tag of a tree that has left",
    "unsure": "its time does not tell where in the roll it belongs",
    "alone": "no tag was seen in what its camera took",
    NO_DAY: "its day is still to come: see the camera's clock",
}
CLOCKS = {
    "name": "day by the file's name",
    "day": "day by the file's name",
    "file": "day by the file's own time",
}


class FiledPhoto(TypedDict):
    """A picture that goes into a tree's log: its file, and its place in the collection."""

    file: str
    tag: str
    day: str
    clock: str
    photo: str


class LeftPhoto(TypedDict):
    """A picture that is not filed, and why."""

    file: str
    why: str


class PhotoAsked(TypedDict):
    """Pictures that one answer settles; `file` names the question, `likely` a tree that it might be."""

    file: str
    pictures: list[str]
    why: str
    likely: str


class PhotosData(TypedDict):
    """What the pictures come to; `filed` says that nothing of them is left to do."""

    filed: bool
    photos: list[FiledPhoto]
    tags: list[str]
    there: list[str]
    left: list[LeftPhoto]
    questions: list[PhotoAsked]


SHAPE = PhotosData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("paths", nargs="+", type=Path, metavar="FOLDER|FILE", help="pictures, or folders of them")
    parser.add_argument(
        "--link",
        action="append",
        default=[],
        metavar="LINK",
        help="a link of before that older tags still carry, as it stood in collection.yaml (may be given again)",
    )
    answer_argument(parser)
    parser.add_argument("--dry-run", action="store_true", help="show what would be filed; write nothing")
    parser.add_argument("--yes", action="store_true", help="file without asking what needs no question")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Look at the pictures, show what they come to, and file them where that was agreed to."""
    with writing(options) as (store, opened):
        answers = _answers(options, opened)
        seen = looked_at(options, opened)
        seen.problems += _of_no_picture(answers, seen)
        found = placed(seen.shots, opened.today, answers)
        if can_ask(options, "") and not options.yes:
            answers |= _asked(found, opened)
            found = placed(seen.shots, opened.today, answers)
        filed = _named(found, store, opened.collection)
        lines = [*_lines(found, opened.collection)]
        if not filed:
            return _result(store, seen, found, filed, [*lines, "nothing to file"], settled=not options.dry_run)
        if not agreed(options, "", lines, f"file {counted(len(filed), 'picture')}?"):
            told = [*lines, "nothing was written: run again with --yes"]
            return _result(store, seen, found, filed, told, QUESTION)
        if options.dry_run:
            told = [*lines, f"would file {counted(len(filed), 'picture')}"]
            return _result(store, seen, found, filed, told)
        return _written(store, opened, seen, found, filed, lines)


def _answers(options: argparse.Namespace, opened: Opened) -> dict[str, str]:
    """Tags by the name of the question. Raises ProblemsFound for a tag that is no living tree's."""
    found = {}
    for name, said in options.answer:
        found[name] = "" if said == LEFT_ALONE else _living(opened, said)
        if found[name] == "" and said != LEFT_ALONE:
            raise no_tree(opened, said)
    return found


def _of_no_picture(answers: Mapping[str, str], seen: Seen) -> list[Problem]:
    """The answers to pictures that were not given."""
    hint = "an answer names a picture as it is shown: --answer P1040330.jpg=014"
    return [Problem(f"no picture is called {name}", hint=hint) for name in answers if name not in seen.paths]


def _living(opened: Opened, said: str) -> str:
    """The tag of a tree that has not left; empty where that is none."""
    tree = opened.collection.tree(said)
    return tree.tag if tree and tree.ended is None else ""


# -- asking and telling --------------------------------------------------------------------------------------------


def _asked(found: Sequence[Placed], opened: Opened) -> dict[str, str]:
    """What the grower says of each group of pictures; whoever leaves is asked about the rest the next time."""
    answers: dict[str, str] = {}
    with contextlib.suppress(KeyboardInterrupt):
        for place, question in enumerate(_questions(found)):
            say(f"{_span(question['pictures'])}: {question['why']}", *([] if place else [f"  {LEAVING}"]))
            likely = f", y for {question['likely']}" if question["likely"] else ""
            said = _tag_said(f"  which tree? (its tag{likely}; Enter leaves them alone)", question["likely"], opened)
            if said is None:
                break
            answers[question["file"]] = said
    return answers


def _tag_said(prompt: str, likely: str, opened: Opened) -> str | None:
    """The tree's tag, empty for none; None where the grower leaves, or is not there any more."""
    while True:
        ask(prompt)
        line = sys.stdin.readline()
        said = line.strip()
        if line and said in ("", LEFT_ALONE):
            return ""
        tag = _living(opened, likely if likely and said.casefold() in ("y", "yes") else said)
        if tag:
            return tag
        if not line or is_later(said):
            return None
        say(f"  there is no living tree {said}")


def _questions(found: Sequence[Placed]) -> list[PhotoAsked]:
    groups: dict[str, list[Placed]] = {}
    for one in found:
        if one.fate == "ask":
            groups.setdefault(one.group, []).append(one)
    return [
        {"file": name, "pictures": [p.shot.name for p in some], "why": WHYS[some[0].why], "likely": some[0].tag}
        for name, some in groups.items()
    ]


def _span(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{counted(len(names), 'picture')}, {names[0]} to {names[-1]}"


def _day(one: Placed) -> str:
    return one.shot.taken.moment.date().isoformat()


def _lines(found: Sequence[Placed], collection: Collection) -> list[str]:
    """Trees with their pictures, then what is asked, then what is left alone."""
    lines: list[str] = []
    by_tree: dict[tuple[str, str, str], list[str]] = {}
    for one in found:
        if one.fate == "file":
            by_tree.setdefault((one.tag, _day(one), one.shot.taken.clock), []).append(one.shot.name)
    for (tag, day, clock), names in sorted(by_tree.items()):
        tree = collection.tree(tag)
        called = f" {tree.name or tree.full_name}" if tree else ""
        more = f" ({CLOCKS[clock]})" if clock in CLOCKS else ""
        lines.append(f"  {tag}{called}  {day}  {_span(names)}{more}")
    tags = sum(one.fate == "tag" for one in found)
    there = sum(one.fate == "there" for one in found)
    lines += [f"  {counted(tags, 'picture')} of tags"] if tags else []
    lines += [f"  {counted(there, 'picture')} already there"] if there else []
    for question in _questions(found):
        lines.append(
            f"question: {_span(question['pictures'])}: {question['why']}  (--answer {question['file']}=TAG, or =-)"
        )
    return lines + _left_lines(found)


def _left_lines(found: Sequence[Placed]) -> list[str]:
    left: dict[str, list[str]] = {}
    for one in found:
        if one.fate == "leave":
            left.setdefault(WHYS.get(one.why, ""), []).append(one.shot.name)
    return [f"  left alone: {_span(names)}{f': {why}' if why else ''}" for why, names in left.items()]


def _result(
    store: Store,
    seen: Seen,
    found: Sequence[Placed],
    filed: Mapping[str, str],
    lines: Sequence[str],
    code: int = DONE,
    *,
    settled: bool = False,
) -> Result:
    questions = _questions(found)
    data: PhotosData = {
        "filed": settled and not (questions or seen.problems or any(p.why == NO_DAY for p in found)),
        "photos": [
            {
                "file": p.shot.name,
                "tag": p.tag,
                "day": _day(p),
                "clock": p.shot.taken.clock,
                "photo": filed[p.shot.name],
            }
            for p in found
            if p.shot.name in filed
        ],
        "tags": [p.shot.name for p in found if p.fate == "tag"],
        "there": [p.shot.name for p in found if p.fate == "there"],
        "left": [{"file": p.shot.name, "why": WHYS.get(p.why, "")} for p in found if p.fate == "leave"],
        "questions": questions,
    }
    code = PROBLEMS if errors_in(seen.problems) else code or (QUESTION if questions else DONE)
    return Result(code, (*store.told(), *lines), data, tuple(seen.problems))


# -- writing -------------------------------------------------------------------------------------------------------


def _written(
    store: Store,
    opened: Opened,
    seen: Seen,
    found: Sequence[Placed],
    filed: dict[str, str],
    lines: Sequence[str],
) -> Result:
    """Make the bare pictures, then file all of them as one batch."""
    with tempfile.TemporaryDirectory(prefix="benchleaf-photos-") as folder:
        made = _made(seen, found, Path(folder))
        filed = {name: path for name, path in filed.items() if name in made}
        entries: dict[str, list[dict[str, Value]]] = {}
        edits: list[Edit] = []
        for one in found:
            tree = opened.collection.tree(one.tag)
            if one.shot.name not in filed or tree is None:
                continue
            path = filed[one.shot.name]
            edits.append(NewPicture(path, made[one.shot.name].read_bytes))
            if all(e.photo != path for e in tree.log):  # else a note named it before it came
                entry: dict[str, Value] = {"date": _day(one), "photo": path, "from": source_of(one.shot.digest)}
                entries.setdefault(tree.path, []).append(entry)
        edits += [Entries(path, some) for path, some in entries.items()]
        outcome = store.commit(store.prepare(edits).all_or_none(), opened.today)
    seen.problems += refusals(outcome)
    if outcome and outcome.refused:
        told = "nothing was filed: the originals are where they were"
        return _result(store, seen, found, {}, [*lines, told], PROBLEMS)
    trees = {one.tag for one in found if one.shot.name in filed}
    told = f"filed {counted(len(filed), 'picture')} under {counted(len(trees), 'tree')}"
    return _result(store, seen, found, filed, [*lines, told], settled=True)


def _named(found: Sequence[Placed], store: Store, collection: Collection) -> dict[str, str]:
    """Where each picture that is filed will lie: under the name that a page gave and noted, where that is free, else under one of ours."""
    there = {f"{PHOTOS}/{name}".casefold() for name in store.disk.names(PHOTOS)}
    names = Names([*there, *(e.photo for t in collection.trees for e in t.log)])
    filed: dict[str, str] = {}
    for one in found:
        if one.fate == "file":
            own = names.own(one.shot.base, one.tag, _day(one))
            path = own if own and own.casefold() not in there else names.next(one.tag, _day(one))
            there.add(path.casefold())
            filed[one.shot.name] = path
    return filed


def _made(seen: Seen, found: Sequence[Placed], folder: Path) -> dict[str, Path]:
    """The bare pictures of those that are filed, each in a file of its own; what can't be made is told, and is not filed."""
    made: dict[str, Path] = {}
    for number, one in enumerate(watched([p for p in found if p.fate == "file"], "copying")):
        name = one.shot.name
        try:
            raw = file_bytes(seen.paths[name], name, MOST_BYTES)
            if sum_of(raw) != one.shot.digest:
                raise stop("the picture was changed meanwhile", path=name, hint="give it again")
            made[name] = folder / f"{number}.jpg"
            made[name].write_bytes(stripped(raw, name))
        except ProblemsFound as fault:
            made.pop(name, None)
            seen.problems += fault.problems
    return made
