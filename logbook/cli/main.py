"""The command line: finds the verb, loads only its module, prints its result, and exits with a named code."""

from __future__ import annotations

import argparse
import contextlib
import importlib
import os
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from .. import __version__
from ..collection.dates import read_day
from ..diagnostics import Place, Problem, ProblemsFound
from ..storage.outputs import SETTINGS
from .results import FAULT, PROBLEMS, USAGE, Result, say, show, show_problems

GROUPS = {
    "keep": {
        "start": "make a new collection that explains itself, or a copy of the demo",
        "add": "add one tree, or many from a CSV table",
        "photos": "file photographs under their trees: take the tag, then the tree",
        "import-log": "bring earlier years in from a table: day, tree, what was done",
        "check": "read every file and tell every fault",
        "find": "from what a phone read off a code, or a tag, to the tree's file",
        "history": "one tree's whole log in words, with charts in characters",
        "handover": "give a tree away with its history: one archive, readable without this tool",
        "end": "say that a tree has left the collection",
    },
    "know when": {
        "due": "what to do next, tree by tree, and why",
        "season": "the site's year: marks, frost, growing weeks, day length",
        "normals": "monthly means of your site: any table, or four numbers",
        "weather": "daily weather of your own, so that dates follow this year's spring",
        "ahead": "several years ahead, by tree and for the garden: pots, soil, hours",
        "plan": "due works on the bench days you have: a table, a pocket list, a calendar",
    },
    "print": {
        "sheets": "print pocket record sheets",
        "walk": "print the bench walk list: many trees on one page",
        "tags": "print pot tags",
        "cards": "print cards: season, wiring, repotting, minder, and a page that tries the printer",
        "dossier": "one tree's whole record on paper, for a new keeper, a show, an insurer or an heir",
        "pages": "pages for a telephone, where the codes on pots lead; or the whole garden in one file",
    },
    "write back": {
        "reconcile": "read typed notes back into the trees' files",
        "words": "what a pencil line may say, for all trees or one",
        "waiting": "list the typed lines that were not written, and why",
        "undo": "take the last batch of typed notes back out",
    },
    "the numbers": {
        "growth": "measurements against time, and when a trunk reaches its target",
        "wire": "the wire for a branch: size, length to cut, turns, mass",
        "pot": "what a pot holds, and the soil to have ready for it",
        "water": "how often each pot wants looking at, month by month",
        "compare": "one measure of many trees, year beside year",
        "review": "look back on a season: done, missed, wires, vigour, growth",
    },
    "the files": {
        "explain": "what the files may hold: every key, what may stand there, and how a note says it",
        "schema": "the JSON Schema of a file, for your editor",
        "completion": "a completion script for your shell",
    },
}
VERBS = {verb: told for group in GROUPS.values() for verb, told in group.items()}
STOPPED = 130
DAY = "--day"  # of the evening
EPILOG = "Without a verb, in a collection on a terminal, it says what waits and asks what you want.\nVerbs take --help. The collection is the current folder, or the one given with -C FOLDER."


def run(arguments: Sequence[str]) -> int:
    """Run one command line and return its exit code. No traceback ever reaches a user."""
    return _guarded(lambda: _run(list(arguments)))


def _guarded(run_it: Callable[[], int]) -> int:
    try:
        return run_it()
    except ProblemsFound as found:
        with contextlib.suppress(BrokenPipeError):
            show_problems(found.problems)
        return PROBLEMS
    except KeyboardInterrupt:
        return _told(STOPPED, "", "stopped")
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        what = f"{error.filename}: " if error.filename else ""
        return _told(PROBLEMS, f"error: {what}{(error.strerror or str(error)).lower()}")
    except Exception as error:
        return _fault(error)


def _fault(error: Exception) -> int:
    """What nobody foresaw: a want of memory, a stop in the middle of an import, which comes as another error; else ours."""
    if isinstance(error, MemoryError):
        return _told(PROBLEMS, "error: there is not enough memory for this")
    if isinstance(error.__cause__ or error.__context__, KeyboardInterrupt):
        return _told(STOPPED, "", "stopped")
    return _told(FAULT, _own_fault(error))


def _told(code: int, *lines: str) -> int:
    """The code, when the lines were said; a screen that takes none changes nothing."""
    with contextlib.suppress(OSError):
        say(*lines)
    return code


def _run(arguments: list[str]) -> int:
    parser = _parser(_verb_in(arguments))
    options = parser.parse_args(arguments)
    if options.verb:
        return _carried_out(options).code
    folders = _collections(options.folder)
    if folders:
        return int(_evening().evening(folders, options.day, lambda folder: _doer(folder, options.day)))
    parser.print_help()
    if not Path(options.folder, SETTINGS).is_file():
        say("", "there is no collection here yet: 'benchleaf start my-trees' makes one", stream=sys.stdout)
    return USAGE


def _carried_out(options: argparse.Namespace) -> Result:
    """What a verb gives, shown."""
    as_json = getattr(options, "json", False)
    try:
        result: Result = module_of(options.verb).run(options)
    except (ProblemsFound, OSError) as error:
        if as_json and not isinstance(error, BrokenPipeError):  # whoever reads data gets data
            show(Result(PROBLEMS, problems=_problems_of(error)), as_json=True)
        raise
    try:
        show(result, as_json=as_json)
    except BrokenPipeError:  # whoever read had enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return result


def _problems_of(error: ProblemsFound | OSError) -> tuple[Problem, ...]:
    """What is wrong, as data; of a disk that refuses, what it says."""
    if isinstance(error, ProblemsFound):
        return tuple(error.problems)
    return (Problem((error.strerror or str(error)).lower(), Place(str(error.filename)) if error.filename else None),)


def _collections(folder: str) -> list[Path]:
    """The collections here or near, where somebody sits at a terminal."""
    at_a_terminal = sys.stdin.isatty() and sys.stdout.isatty() and sys.stderr.isatty()
    return list(_evening().collection_near(Path(folder))) if at_a_terminal else []


def _evening() -> Any:
    return importlib.import_module(".evening", __package__)


def _doer(folder: Path, day: date | None) -> Callable[..., Result | None]:
    """What runs a verb in the evening: a fault of one step ends the step, not the evening."""

    def do(words: Sequence[str], begun: str = "") -> Result | None:
        given: list[Result] = []

        def once() -> int:
            arguments = ["-C", str(folder), *words]
            options = _parser(words[0]).parse_args(arguments, argparse.Namespace(enter_is_yes=True, begun=begun))
            if day is not None and getattr(options, "today", day) is None:
                options.today = day
            try:
                given.append(_carried_out(options))
            except ProblemsFound as found:
                given.append(Result(PROBLEMS, problems=tuple(found.problems)))
                show_problems(found.problems)
            return given[0].code

        try:
            _guarded(once)
        except SystemExit:  # a word that begins with a dash
            return None
        return given[0] if given else None

    return do


def _verb_in(arguments: list[str]) -> str:
    """The first word that is no option, without parsing the rest."""
    skip = False
    for word in arguments:
        if skip:
            skip = False
        elif word in ("-C", DAY):
            skip = True
        elif not word.startswith("-"):
            return word if word in VERBS else ""
    return ""


class _Parser(argparse.ArgumentParser):
    """Help that can't be printed is told as any other output; a complaint that can't be is not."""

    def _print_message(self, message: str, file: Any = None) -> None:
        with contextlib.suppress(*([OSError] if file is not sys.stdout else [])):
            (file or sys.stderr).write(message)


def _parser(verb: str) -> argparse.ArgumentParser:
    parser = _Parser(
        prog="benchleaf",
        usage="benchleaf [-C FOLDER] VERB ...",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog=f"{_verbs_told()}\n\n{EPILOG}",
        allow_abbrev=False,
        description="Pocket record sheets and pot tags for bonsai, with dates for the next key work;\nreads pencil notes back in.",
    )
    parser.add_argument(
        "--version", action="version", version=f"benchleaf {__version__}", help="versions, for a report of a fault"
    )
    parser.add_argument(
        "-C", dest="folder", metavar="FOLDER", default=".", help="the collection (default: the current folder)"
    )
    parser.add_argument(DAY, dest="day", type=read_day, help=argparse.SUPPRESS)
    verbs = parser.add_subparsers(dest="verb", metavar="VERB", prog="benchleaf", help=argparse.SUPPRESS)
    for name, help_line in VERBS.items():
        module: Any = module_of(name) if name == verb else None
        sub = verbs.add_parser(
            name,
            description=(module.__doc__ if module else help_line),
            allow_abbrev=False,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        if module:
            module.arguments(sub)
    return parser


def _verbs_told() -> str:
    """The verbs by what they are for."""
    wide = max(map(len, VERBS)) + 2
    parts = (
        "\n".join([f"{group}:", *(f"  {verb:{wide}}{told}" for verb, told in verbs.items())])
        for group, verbs in GROUPS.items()
    )
    return "\n\n".join(parts)


def module_of(verb: str) -> Any:
    """The module of a verb, loaded when it is asked for."""
    return importlib.import_module(f".{verb.replace('-', '_')}", __package__)


def _own_fault(error: Exception) -> str:
    """Words for a fault of ours; the details go to a file, for a report."""
    import tempfile
    import traceback

    told = f"benchleaf met a fault of its own ({type(error).__name__})"
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="benchleaf-fault-", suffix=".txt", delete=False, encoding="utf-8", errors="replace"
        ) as file:
            file.write("".join(traceback.format_exception(error)))
    except OSError:
        return f"{told}, and there is no room for its details"
    return f"{told}; the details are in {file.name}"
