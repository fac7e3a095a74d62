"""Read typed notes back into the trees' files: the plan is shown first, then written.

The text is kept in notes/ before anything else; what can't be read stays there with its reason.

examples:
  benchleaf reconcile saturday.txt
  benchleaf reconcile saturday.txt --dry-run
  benchleaf reconcile -            (standard input; on a terminal it prompts)

the notes:
  sheet 00142-4
  1  14 oct  wired 1 2 copper 2.5; needles thinned
  2          trunk 38.5 tips 64 vigour 4
  C  20 oct
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from ..notes import keeping
from ..notes.reconcile import Desk, Item, Plan, entry_reader, plan
from ..notes.shorthand import Grammar, read_notes
from ..problems import Problem, ProblemsFound, counted, stop
from ..record.collection import tree_context
from ..record.ledger import load_ledger
from ..record.model import tag_key
from ..record.reading import decoded, file_text
from ..record.writing import replace_file, with_entries
from .common import Opened, json_argument, open_collection, today_argument
from .results import DONE, PROBLEMS, QUESTION, Result

LIMIT_BYTES = 20_000_000


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", help="a text file of notes, or - for standard input")
    parser.add_argument("--dry-run", action="store_true", help="show the plan; write nothing")
    parser.add_argument("--yes", action="store_true", help="write without asking")
    parser.add_argument(
        "--take", choices=("new",), help="where a line was typed before with other words, take the new ones"
    )
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    opened = open_collection(options)
    text = _text(options, opened)
    if options.dry_run:
        made = _plan(opened, text, options.take == "new")
        return _result(made, [], "nothing written (--dry-run)", DONE)
    with _lock(opened.folder):
        kept = keeping.keep_text(opened.folder, text, opened.today)
        made = _plan(opened, text, options.take == "new")
        if made.of("write") and not options.yes and not _agreed(made, options):
            return _result(
                made,
                [],
                f"nothing written; the text is kept in {_shown(kept, opened)}: run again with --yes",
                QUESTION,
            )
        made, problems = _write(opened, made)
        keeping.keep_fates(kept, made)
        waiting = keeping.keep_waiting(opened.folder)
    wrote = made.of("write")
    told = f"wrote {counted(len(wrote), 'entry', 'entries')} into {counted(len({i.path for i in wrote}), 'file')}"
    if waiting:
        told += f"; {counted(len(waiting), 'line')} waiting in notes/{keeping.WAITING}"
    code = PROBLEMS if problems else QUESTION if made.of("question") or made.of("left over") else DONE
    doubts = [*load_ledger(opened.folder).problems, *keeping.damaged(opened.folder)]
    return _result(made, [*problems, *doubts], told, code)


def _text(options: argparse.Namespace, opened: Opened) -> str:
    if options.file != "-":
        return file_text(Path(options.file), options.file)
    if sys.stdin.isatty():
        return _prompted(opened)
    raw = sys.stdin.buffer.read(LIMIT_BYTES + 1)
    if len(raw) > LIMIT_BYTES:
        raise stop("the notes are larger than 20 MB", hint="give them in parts")
    return decoded(raw, "standard input")


def _prompted(opened: Opened) -> str:
    """Lines from a terminal, each echoed in words; an empty line ends."""
    sys.stderr.write("begin with 'sheet 00142-4' or 'tree 014'; an empty line ends\n")
    lines: list[str] = []
    while True:
        sys.stderr.write("> ")
        sys.stderr.flush()
        line = sys.stdin.readline()
        if not line.strip():
            return "".join(lines)
        lines.append(line)
        made = _plan(opened, "".join(lines), False)
        last = [i for i in made.items if i.reading.number == len(lines)]
        for item in last:
            sys.stderr.write(f"  {_item_line(item)}\n")


def _lock(folder: Path) -> Any:
    from filelock import FileLock, Timeout

    class _Held:
        """The collection's lock, with words for the second process."""

        def __enter__(self) -> None:
            self.lock = FileLock(str(folder / ".lock"))
            try:
                self.lock.acquire(timeout=10)
            except Timeout:
                raise stop(
                    "another benchleaf is writing to this collection",
                    path=str(folder),
                    hint="wait for it, then run again",
                ) from None

        def __exit__(self, *_: object) -> None:
            self.lock.release()

    return _Held()


def _plan(opened: Opened, text: str, take_new: bool) -> Plan:
    settings = opened.collection.settings
    known = frozenset(tag_key(t) for tree in opened.collection.trees for t in (tree.tag, *tree.also)) | _broken(
        opened
    )
    grammar = Grammar(opened.knowledge, load_ledger(opened.folder), settings.date_order, settings.units, known)
    reader = entry_reader(tree_context(settings, opened.knowledge))
    desk = Desk(opened.collection, keeping.history(opened.folder), opened.today, reader, take_new, _broken(opened))
    return plan(desk, read_notes(text, grammar))


def _broken(opened: Opened) -> frozenset[str]:
    """Tags of files that are there but can't be used."""
    sound = {t.path for t in opened.collection.trees}
    return frozenset(
        tag_key(p.stem) for p in (opened.folder / "trees").glob("*.yaml") if f"trees/{p.name}" not in sound
    )


def _agreed(made: Plan, options: argparse.Namespace) -> bool:
    if options.json or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    for line in _lines(made):
        sys.stderr.write(line + "\n")
    sys.stderr.write(f"write {counted(len(made.of('write')), 'entry', 'entries')}? [y/N] ")
    sys.stderr.flush()
    return sys.stdin.readline().strip().casefold() in ("y", "yes")


def _write(opened: Opened, made: Plan) -> tuple[Plan, list[Problem]]:
    """Write file by file; where one refuses, its lines wait with the reason and the others go on."""
    refused: dict[str, str] = {}
    problems: list[Problem] = []
    for path, entries in made.edits.items():
        target = opened.folder / path
        try:
            raw = target.read_bytes()
            replace_file(target, with_entries(raw.decode("utf-8"), path, entries))
        except ProblemsFound as found:
            problems += found.problems
            refused[path] = found.problems[0].message
        except (OSError, UnicodeDecodeError) as error:
            reason = (getattr(error, "strerror", None) or str(error)).lower()
            problems.append(Problem(f"{path} can't be written: {reason}"))
            refused[path] = f"the file can't be written: {reason}"
    items = tuple(
        replace(i, fate="left over", why=refused[i.path]) if i.fate == "write" and i.path in refused else i
        for i in made.items
    )
    return Plan(items), problems


def _result(made: Plan, problems: list[Problem], told: str, code: int) -> Result:
    if code == DONE and (made.of("question") or made.of("left over")):
        code = QUESTION
    data = {"told": told, "items": [_item_data(i) for i in made.items]}
    return Result(code, (*_lines(made), told), data, tuple(problems))


def _lines(made: Plan) -> list[str]:
    """The plan for the eye, by tree; questions and leftovers last, with what to do."""
    lines = [_item_line(item) for item in made.items if item.fate in ("write", "there")]
    for item in (*made.of("question"), *made.of("left over")):
        lines.append(_item_line(item))
        lines.append(f"      typed: {item.reading.text}")
        lines += [f"      hint: {item.hint}"] if item.hint else []
    return lines


def _item_line(item: Item) -> str:
    day = str(item.entry.get("date", "")) if item.entry else ""
    head = f"{item.tag} {day}".strip()
    if item.fate == "write":
        said = f"remark: {item.told}" if set(item.entry) <= {"date", "note", "from"} else item.told
        return f"  +   {head}  {said}"
    if item.fate == "there":
        return f"  =   {head}  {item.told} (already there{': ' + item.why if item.why else ''})"
    sign = "?" if item.fate == "question" else "!"
    where = f"line {item.reading.number}"
    return f"  {sign}   {where}{' (' + head + ')' if head else ''}: {item.why}"


def _item_data(item: Item) -> dict[str, Any]:
    return {
        "line": item.reading.number,
        "typed": item.reading.text,
        "fate": item.fate,
        "tag": item.tag,
        "entry": dict(item.entry),
        "told": item.told,
        "why": item.why,
        "hint": item.hint,
    }


def _shown(path: Path, opened: Opened) -> str:
    return path.relative_to(opened.folder).as_posix()
