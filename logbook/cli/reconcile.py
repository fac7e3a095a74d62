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
import contextlib
import signal
import sys
import threading
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TypedDict

try:
    import readline
except ImportError:  # not everywhere
    readline = None  # type: ignore[assignment]

from ..collection.load import must_be_collection
from ..collection.yaml_reader import file_bytes
from ..diagnostics import Place, Problem, ProblemsFound, counted, errors_in, stop
from ..intake import archive, given_files, service
from ..intake.leaving import LATER
from ..intake.line_status import WAITING
from ..intake.page_answers import is_answers, notes_of_answers
from ..intake.plan_items import Fate, Item, Plan
from ..intake.questions import asked
from ..storage.disk import RealDisk, why
from ..storage.printed import load_ledger
from ..storage.store import Store
from ..values import dataclass
from . import reconcile_pictures
from .asking import confirmed
from .common import Opened, json_argument, the_day, today_argument
from .plan_told import item_line, typed_told
from .reconcile_pictures import Given
from .results import DONE, PROBLEMS, QUESTION, Result, ask, say
from .writing import writing


class ItemData(TypedDict):
    """One entry that a line makes for one tree, and what becomes of it; `partly`: the words in `unread` are kept as its remark."""

    line: int
    typed: str
    fate: Fate
    tag: str
    entry: dict[str, object]
    told: str
    partly: bool
    unread: str
    why: str
    hint: str


class SeenData(TypedDict, total=False):
    """What was seen on pictures, and the page for what must be typed."""

    seen: list[dict[str, object]]
    page: str | None


class ReconcileData(SeenData):
    """What typed notes lead to: every entry of every line, and what was seen on pictures. `filed`: every line has its fate."""

    told: str
    filed: bool
    items: list[ItemData]
    finished: list[str]


SHAPE = ReconcileData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
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
    """Read what was given, show what it leads to, and write it where that was agreed to."""
    typed = _typed(options)
    with _opened(options, typed) as (store, opened):
        given = _given(options, opened) if typed.raw is None else _given_by_pipe(options, typed.raw)
        if options.files == ["-"]:
            typed.raw = given.raw
        if not given.raw and not options.dry_run:
            return _result(Plan(()), given, "nothing stands on it: nothing to write", DONE, store.told())
        kept = typed.kept = "" if options.dry_run else archive.keep_text(store.disk, given.raw, opened.today)
        reconcile_pictures.keep(store, given)
        made = _planned(options, store, opened, given, kept)
        if options.dry_run:
            return _result(made, given, "nothing written (--dry-run)", DONE, store.told())
        if (made.edits or made.amendments) and not options.yes and not _agreed(made, given, options):
            told = f"nothing written; the text is kept in notes/{kept}: run again with --yes"
            return _result(made, given, told, QUESTION, store.told())
        filed = service.carry_out(store, made, kept, opened.today)
        standing = service.standing(opened, store.disk)
    wrote = filed.plan.of("write")
    told = f"wrote {counted(len(wrote), 'entry', 'entries')} into {counted(len({i.path for i in wrote}), 'file')}"
    if standing.waiting:
        told += f"; {counted(len(standing.waiting), 'line')} waiting in notes/{WAITING}"
    given.problems += (*filed.problems, *standing.doubts)
    return _result(filed.plan, given, told, PROBLEMS if filed.problems else DONE, store.told(), filed=True)


@dataclass(slots=True)
class _Typed:
    """What came by standard input, where nobody could give it again; and the name under which a text was kept."""

    raw: bytes | None = None
    kept: str = ""

    def fate(self) -> tuple[Problem, ...]:
        """What is said of it where something refused."""
        if self.kept:
            hint = "give it again once that is mended: what was written of it already is not written twice"
            return (Problem(f"what was typed is kept in notes/{self.kept}", hint=hint, severity="warning"),)
        if self.raw and self.raw.strip():
            return (Problem("what was typed is NOT kept", hint="give it again once that is mended"),)
        return ()


def _typed(options: argparse.Namespace) -> _Typed:
    """What is piped in, where anything is. Raises ProblemsFound, with a word of it, where there is no collection to keep it in."""
    piped = options.files == ["-"] and not sys.stdin.isatty()
    try:
        must_be_collection(Path(options.folder))
    except ProblemsFound as found:
        unread = (Problem("what was typed is NOT kept", hint="give it again to a collection"),) if piped else ()
        raise ProblemsFound((*found.problems, *unread)) from None
    if "-" in options.files and len(options.files) > 1:
        told = stop("standard input (-) goes by itself", hint="give the files in another run")
        raise ProblemsFound((*told.problems, Problem("what was typed is NOT kept", hint="give it again by itself")))
    return _Typed(_from_standard_input() if piped else None)


@contextlib.contextmanager
def _opened(options: argparse.Namespace, typed: _Typed) -> Iterator[tuple[Store, Opened]]:
    """The collection; what was piped in is kept before it is read. Whatever refuses, it is said whether the text was kept. Raises ProblemsFound."""

    def keep(store: Store) -> None:
        if typed.raw and not options.dry_run:
            typed.kept = archive.keep_text(store.disk, typed.raw, the_day(options))

    try:
        with writing(options, keep) as held:
            yield held
    except BrokenPipeError:
        raise
    except ProblemsFound as found:
        raise ProblemsFound((*found.problems, *typed.fate())) from None
    except OSError as error:
        hint = "make room on the disk, or see its permissions; what was cut short is finished by the next run"
        told = Problem(why(error), Place(str(error.filename or options.folder)), hint)
        raise ProblemsFound((told, *typed.fate())) from None


def _planned(options: argparse.Namespace, store: Store, opened: Opened, given: Given, kept: str) -> Plan:
    """The plan; with --ask its questions are answered on the terminal."""
    text = given_files.decoded_notes(given.raw, _named(options), kept)
    take_new = options.take == "new"
    made = service.plan_notes(opened, store.disk, text, take_new=take_new)
    if not options.ask or options.dry_run or given.left:
        return made
    if not sys.stdin.isatty():
        given.problems += (Problem("--ask needs a terminal: nothing was asked", severity="warning"),)
        return made
    context = service.plan_context(opened, store.disk, take_new=take_new)
    return asked(made, context, _terminal, service.rereader(opened, store.disk))


def _given(options: argparse.Namespace, opened: Opened) -> Given:
    """The notes as bytes: from a file, standard input, or line by line from a terminal; forms and pictures as the notes they amount to."""
    first = options.files[0]
    if first == "-":
        reconcile_pictures.not_for_notes(options)
    if options.files == ["-"]:
        return Given(_prompted(opened, getattr(options, "begun", "")).encode())
    read = [(name, file_bytes(Path(name), name, reconcile_pictures.MOST_BYTES)) for name in options.files]
    if len(read) == 1 and is_answers(read[0][1]):
        reconcile_pictures.not_for_notes(options)
        ledger = load_ledger(opened.folder)
        return Given(notes_of_answers(read[0][1], first, ledger, opened.collection).encode())
    files = given_files.sort_files(read, lambda: reconcile_pictures.day_given(options, opened))
    if files.are_notes:
        reconcile_pictures.not_for_notes(options)
        told = (f"{first} was saved as {files.encoding}: read as that",) if files.encoding else ()
        return Given(files.raw, told)
    given = Given(b"")
    if files.pages:
        given = reconcile_pictures.read(files.pages, options, opened, _terminal, others=files.forms > 0)
    given.raw = files.raw + given.raw
    return given


def _given_by_pipe(options: argparse.Namespace, raw: bytes) -> Given:
    reconcile_pictures.not_for_notes(options)
    return Given(raw)


def _from_standard_input() -> bytes:
    raw = sys.stdin.buffer.read(given_files.LIMIT_BYTES + 1)
    if len(raw) > given_files.LIMIT_BYTES:
        raise stop("the notes are larger than 50 MB", hint="give them in parts")
    return raw


def _named(options: argparse.Namespace) -> str:
    return "standard input" if options.files[0] == "-" else str(options.files[0])


def _terminal(lines: Sequence[str], typed: str = "") -> str:
    """Show something and read one answer; `typed` stands in the line to be mended, where the terminal can do that.

    Where nobody is there any more, nobody answered: it is left for later.
    """
    say(*lines)
    if typed and readline is not None and sys.stdin is sys.__stdin__:
        readline.set_startup_hook(lambda: readline.insert_text(typed))
        try:
            return input("> ").strip()
        except EOFError:
            return LATER
        finally:
            readline.set_startup_hook(None)
    ask(">")
    said = sys.stdin.readline()
    return said.strip() if said else LATER


def _prompted(opened: Opened, begun: str) -> str:
    """Lines from a terminal, each echoed in words; an empty line ends. `begun`: the first of them, where it was typed before."""
    say("an empty line ends" if begun else "begin with 'sheet 00142-4' or 'tree 014'; an empty line ends")
    lines: list[str] = []
    with contextlib.suppress(_HungUp, KeyboardInterrupt), _hung_up_told():
        _echoed(lines, opened, begun)
    return "".join(lines)


class _HungUp(Exception):  # noqa: N818 - no error, an end
    """The terminal was closed."""


@contextlib.contextmanager
def _hung_up_told() -> Iterator[None]:
    """While lines are typed a closed window ends the typing, and what was typed is kept."""
    if not hasattr(signal, "SIGHUP") or threading.current_thread() is not threading.main_thread():
        yield
        return

    def hung_up(*_: object) -> None:
        # it is told more than once, and what was typed is still to be kept
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
        raise _HungUp

    before = signal.signal(signal.SIGHUP, hung_up)
    try:
        yield
    finally:
        if signal.getsignal(signal.SIGHUP) is hung_up:
            signal.signal(signal.SIGHUP, before)


def _echoed(lines: list[str], opened: Opened, begun: str) -> None:
    """Take lines, each echoed in words as it will be read, until an empty one."""
    planned = service.listener(opened, RealDisk(opened.folder))
    planned("tree\nlooked\n")  # what is read once is read before anybody waits for it
    while True:
        ask(f"> {begun}" if begun else ">")
        line, begun = (f"{begun}\n", "") if begun else (sys.stdin.readline(), "")
        if not line.strip():
            return
        lines.append(line)
        made = planned("".join(lines))
        last = [i for i in made.items if i.reading.number == len(lines)]
        say(*(f"  {item_line(item)}" for item in last))


def _agreed(made: Plan, given: Given, options: argparse.Namespace) -> bool:
    """Show the plan and ask; what was shown is not told a second time."""
    if options.json or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    given.shown = frozenset(_lines(made))
    return confirmed(options, _lines(made), f"write {counted(len(made.of('write')), 'entry', 'entries')}?")


def _result(
    made: Plan, given: Given, told: str, code: int, before: Sequence[str] = (), *, filed: bool = False
) -> Result:
    if errors_in(given.problems):
        code = PROBLEMS
    if code == DONE and (made.of("question") or made.of("left over")):
        code = QUESTION
    data: ReconcileData = {
        "told": told,
        "filed": filed,
        "items": [_item_data(i) for i in made.items],
        "finished": list(before),
    }
    if given.seen:
        data["seen"], data["page"] = list(given.seen), str(given.page) if given.page else None
    both = zip(_lines(made), _lines(made, written=filed), strict=True)
    lines = [line for planned, line in both if planned not in given.shown]
    return Result(code, (*before, *given.told, *lines, told), data, given.problems)


def _lines(made: Plan, *, written: bool = False) -> list[str]:
    """The plan for the eye, by tree; questions and leftovers last, with what to do. `written`: it was carried out."""
    lines = [item_line(item, written=written) for item in made.items if item.fate in ("write", "there")]
    for item in (*made.of("question"), *made.of("left over")):
        lines.append(item_line(item))
        if item.reading.unread:
            continue
        lines.append(f"      typed: {typed_told(item.reading)}")
        lines += [f"      hint: {item.hint}"] if item.hint else []
    return lines


def _item_data(item: Item) -> ItemData:
    return {
        "line": item.reading.number,
        "typed": item.reading.typed or item.reading.text,
        "fate": item.fate,
        "tag": item.tag,
        "entry": dict(item.entry),
        "told": item.told,
        "partly": item.partly,
        "unread": str(item.entry.get("note", "")) if item.partly else "",
        "why": item.why,
        "hint": item.hint,
    }
