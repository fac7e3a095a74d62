"""Read typed notes, a filled form, or pictures of sheets back into the trees' files: the plan is shown first, then written.

The text is kept in notes/ before anything else; what can't be read stays there with its reason. Of a picture the ticked
boxes are read; the lines are cut out and shown beside the place to type them, on a page for the browser.

examples:
  benchleaf reconcile saturday.txt
  benchleaf reconcile saturday.txt --dry-run
  benchleaf reconcile saturday.txt --ask
  benchleaf reconcile form.pdf
  benchleaf reconcile photo.jpg --day "14 oct"
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
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from ..collection.load import tree_context
from ..collection.model import tag_key
from ..collection.yaml_reader import decoded, file_bytes
from ..diagnostics import Problem, ProblemsFound, counted, errors_in, stop
from ..intake import archive, line_status
from ..intake.filing import carry_out
from ..intake.grammar.headers import Grammar
from ..intake.grammar.lines import read_notes
from ..intake.grammar.readings import Reading
from ..intake.grammar.tokens import date_inside, leading_date
from ..intake.pdf_form import is_pdf, text_if_form
from ..intake.plan import Desk, Item, Plan, entry_reader, known_of, plan
from ..intake.questions import Reread, asked
from ..storage.disk import Disk, RealDisk
from ..storage.printed import load_ledger
from . import reconcile_pictures
from .common import Opened, json_argument, open_collection, today_argument
from .locking import cut_short, locked
from .reconcile_pictures import Given
from .results import DONE, PROBLEMS, QUESTION, Result

LIMIT_BYTES = 50_000_000
MOST_LINES = 2_000
UTF_16 = (b"\xff\xfe", b"\xfe\xff")  # told in words of its own when it is decoded


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "files",
        nargs="+",
        metavar="FILE",
        help="a text file of notes, a filled form (PDF), pictures or scans of sheets, or - for standard input",
    )
    parser.add_argument("--dry-run", action="store_true", help="show the plan; write nothing")
    parser.add_argument("--yes", action="store_true", help="write without asking")
    parser.add_argument("--ask", action="store_true", help="answer the questions one by one on the terminal")
    parser.add_argument(
        "--take", choices=("new",), help="where a line was typed before with other words, take the new ones"
    )
    reconcile_pictures.arguments(parser)
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    if options.dry_run:
        opened = open_collection(options)
        given = _given(options, opened)
        text = _decoded(given.raw, options, "")
        made = _plan(opened, RealDisk(opened.folder), text, options.take == "new")
        return _result(made, given, "nothing written (--dry-run)", DONE, cut_short(opened.folder))
    open_collection(options)  # a folder that holds no collection is refused before anything is locked
    with locked(Path(options.folder)) as (disk, finished):
        opened = open_collection(options)
        given = _given(options, opened)
        if not given.raw:
            return _result(Plan(()), given, "nothing stands on it: nothing to write", DONE, finished)
        kept = archive.keep_text(disk, given.raw, opened.today)
        reconcile_pictures.keep(disk, given)
        made = _plan(opened, disk, _decoded(given.raw, options, kept), options.take == "new")
        if options.ask and not sys.stdin.isatty():
            given.problems += (Problem("--ask needs a terminal: nothing was asked", severity="warning"),)
        elif options.ask:
            made = asked(made, _desk(opened, disk, options.take == "new"), _terminal, _rereader(opened, disk))
        if made.of("write") and not options.yes and not _agreed(made, options):
            told = f"nothing written; the text is kept in notes/{kept}: run again with --yes"
            return _result(made, given, told, QUESTION, finished)
        filed = carry_out(disk, archive.the_hand(), made, kept, opened.today)
        waiting, audit = line_status.waiting(disk), line_status.audit(disk)
        doubts = [*load_ledger(opened.folder).problems, *archive.damaged(disk), *_unbalanced(audit)]
    wrote = filed.plan.of("write")
    told = f"wrote {counted(len(wrote), 'entry', 'entries')} into {counted(len({i.path for i in wrote}), 'file')}"
    if waiting:
        told += f"; {counted(len(waiting), 'line')} waiting in notes/{line_status.WAITING}"
    code = PROBLEMS if filed.problems else DONE
    given.problems += (*filed.problems, *doubts)
    return _result(filed.plan, given, told, code, finished)


def _unbalanced(audit: line_status.Audit) -> list[Problem]:
    if audit.balanced:
        return []
    named = ", ".join(f"{name} line {number}" for name, number in audit.astray[:5])
    return [Problem(f"the audit does not balance: {audit.told()}; astray: {named}", severity="warning")]


def _given(options: argparse.Namespace, opened: Opened) -> Given:
    """The notes as bytes: from a file, standard input, or line by line from a terminal; forms and pictures as the notes they amount to."""
    first = options.files[0]
    if first == "-":
        reconcile_pictures.not_for_notes(options)
    if len(options.files) == 1 and first == "-":
        return Given(_prompted(opened).encode() if sys.stdin.isatty() else _from_standard_input())
    files = [(name, file_bytes(Path(name), name, reconcile_pictures.MOST_BYTES)) for name in options.files]
    if any(reconcile_pictures.is_picture(raw) or is_pdf(raw) for _, raw in files):
        return _from_pages(files, options, opened)
    reconcile_pictures.not_for_notes(options)
    if any(b"\0" in raw[:4096] and not raw.startswith(UTF_16) for _, raw in files):
        raise stop(
            "this is neither text nor a picture of a kind that is known",
            path=first,
            hint="give JPEG, PNG, TIFF, WEBP, GIF, BMP or PDF",
        )
    if len(files) > 1:
        raise stop(
            "several files of notes were given", hint="give one at a time; of pictures and scans several will do"
        )
    if len(files[0][1]) > LIMIT_BYTES:
        raise stop("the file is larger than 50 MB", path=first, hint="give the notes in parts")
    return Given(files[0][1])


def _from_pages(files: list[tuple[str, bytes]], options: argparse.Namespace, opened: Opened) -> Given:
    """Filled forms as their fields say, everything else by looking at it."""
    day = reconcile_pictures.day_given(options, opened)
    typed: list[str] = []
    looked_at: list[tuple[str, bytes]] = []
    for name, raw in files:
        if not (is_pdf(raw) or reconcile_pictures.is_picture(raw)):
            raise stop("this is no picture, while others are", path=name, hint="give files of notes by themselves")
        text = text_if_form(raw, name, day) if is_pdf(raw) else None
        if text is None:
            looked_at.append((name, raw))
        else:
            typed.append(text)
    given = Given(b"")
    if looked_at:
        given = reconcile_pictures.read(looked_at, options, opened, _terminal, others=bool(typed))
    given.raw = "".join(typed).encode() + given.raw
    return given


def _from_standard_input() -> bytes:
    raw = sys.stdin.buffer.read(LIMIT_BYTES + 1)
    if len(raw) > LIMIT_BYTES:
        raise stop("the notes are larger than 50 MB", hint="give them in parts")
    return raw


def _named(options: argparse.Namespace) -> str:
    return "standard input" if options.files[0] == "-" else str(options.files[0])


def _decoded(raw: bytes, options: argparse.Namespace, kept: str) -> str:
    """The notes as text; bytes that are none are kept already, and the problem says where."""
    lines = raw.count(b"\n")
    if lines > MOST_LINES:
        raise stop(
            f"the notes have {lines:,} lines; {MOST_LINES:,} are read at once",
            path=_named(options),
            hint="give them in parts" + (f"; they are kept in notes/{kept}" if kept else ""),
        )
    try:
        return decoded(raw, _named(options))
    except ProblemsFound as found:
        first = found.problems[0]
        hint = "; ".join(p for p in (first.hint, f"the bytes are kept in notes/{kept}" if kept else "") if p)
        raise ProblemsFound([replace(first, hint=hint)]) from None


def _terminal(lines: Sequence[str]) -> str:
    """Show something and read one answer."""
    for line in lines:
        sys.stderr.write(line + "\n")
    sys.stderr.write("> ")
    sys.stderr.flush()
    return sys.stdin.readline().strip()


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
        made = _plan(opened, RealDisk(opened.folder), "".join(lines), False)
        last = [i for i in made.items if i.reading.number == len(lines)]
        for item in last:
            sys.stderr.write(f"  {_item_line(item)}\n")


def _rereader(opened: Opened, disk: Disk) -> Reread:
    """Makes items of a line typed anew in the place of another: under its header, with its number and its old words kept."""

    def reread(item: Item, text: str) -> list[Item]:
        old = item.reading
        ident, _, rest = (
            text.partition(" ") if old.line and text.split(" ")[0].upper() == old.line else (old.line, "", text)
        )
        line = f"{ident} {_with_day(old, rest, opened)}".strip()
        made = _plan(opened, disk, f"{archive.header_told(old)}\n{line}\n", False).items
        return [replace(i, reading=replace(i.reading, number=old.number, text=old.text)) for i in made]

    return reread


def _with_day(old: Reading, text: str, opened: Opened) -> str:
    """The words with the day of the line they are typed for, where they have none of their own."""
    settings = opened.collection.settings
    order = settings.date_order or ("month-day" if settings.units.us else None)
    own = leading_date(text, order, True) or date_inside(text, order, True)[0]
    return text if own or old.date is None or old.date.bad else f"{old.date.words} {text}"


def _plan(opened: Opened, disk: Disk, text: str, take_new: bool) -> Plan:
    settings = opened.collection.settings
    known = frozenset(tag_key(t) for tree in opened.collection.trees for t in (tree.tag, *tree.also)) | _broken(
        opened
    )
    names = {tree.name.casefold(): tree.tag for tree in opened.collection.trees if tree.name}
    grammar = Grammar(
        opened.knowledge,
        load_ledger(opened.folder),
        settings.date_order,
        settings.units,
        known,
        names,
        trees={tag_key(t): known_of(tree) for tree in opened.collection.trees for t in (tree.tag, *tree.also)},
        benches=frozenset(tree.bench for tree in opened.collection.trees if tree.bench),
        southern=settings.site is not None and settings.site.southern,
        partial=True,
    )
    return plan(_desk(opened, disk, take_new), read_notes(text, grammar))


def _desk(opened: Opened, disk: Disk, take_new: bool) -> Desk:
    reader = entry_reader(tree_context(opened.collection.settings, opened.knowledge))
    return Desk(opened.collection, archive.history(disk), opened.today, reader, take_new, _broken(opened))


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


def _result(made: Plan, given: Given, told: str, code: int, before: Sequence[str] = ()) -> Result:
    if errors_in(given.problems):
        code = PROBLEMS
    if code == DONE and (made.of("question") or made.of("left over")):
        code = QUESTION
    data: dict[str, Any] = {"told": told, "items": [_item_data(i) for i in made.items], "finished": list(before)}
    data |= {"seen": given.seen, "page": str(given.page) if given.page else None} if given.seen else {}
    return Result(code, (*before, *given.told, *_lines(made), told), data, given.problems)


def _lines(made: Plan) -> list[str]:
    """The plan for the eye, by tree; questions and leftovers last, with what to do."""
    lines = [_item_line(item) for item in made.items if item.fate in ("write", "there")]
    for item in (*made.of("question"), *made.of("left over")):
        lines.append(_item_line(item))
        if item.reading.unread:
            continue
        lines.append(f"      typed: {item.reading.text}")
        lines += [f"      hint: {item.hint}"] if item.hint else []
    return lines


def _item_line(item: Item) -> str:
    day = str(item.entry.get("date", "")) if item.entry else ""
    head = f"{item.tag} {day}".strip()
    if item.fate == "write":
        said = f"remark: {item.told}" if set(item.entry) <= {"date", "note", "from"} else item.told
        return f"  {'in part' if item.partly else 'written':<7}  {head}  {said}"
    if item.fate == "there":
        return f"  {'there':<7}  {head}  {item.told} (already there{': ' + item.why if item.why else ''})"
    mark = "asked" if item.fate == "question" else "waits"
    where = f"line {item.reading.number}"
    return f"  {mark:<7}  {where}{' (' + head + ')' if head else ''}: {item.why}"


def _item_data(item: Item) -> dict[str, Any]:
    return {
        "line": item.reading.number,
        "typed": item.reading.text,
        "fate": item.fate,
        "tag": item.tag,
        "entry": dict(item.entry),
        "told": item.told,
        "partly": item.partly,
        "unread": str(item.entry.get("note", "")) if item.partly else "",
        "why": item.why,
        "hint": item.hint,
    }
