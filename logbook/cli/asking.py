"""Questions that only the grower can answer: asked on a terminal, else told with the option that answers them."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol, TypedDict

from ..collection.loose_table import Asked
from ..collection.tree_table.grid import text_in
from ..collection.yaml_reader import file_bytes
from ..intake.leaving import TOLD as LEAVING
from ..intake.leaving import is_later
from .results import ask, say

STANDARD_INPUT = "-"
FEW = 3  # choices that are typed as they stand; more are numbered
SLASHED = " / "


class CellAsked(TypedDict):
    """A question about a cell, by the line of the file on which its row begins."""

    file: str
    row: int
    field: str
    cell: str
    question: str
    choices: list[str]


class _TakesArguments(Protocol):
    """A parser, or a group of its options."""

    def add_argument(self, *names: str, **how: Any) -> argparse.Action: ...


def answer_argument(parser: _TakesArguments) -> None:
    """The option that answers a question beforehand."""
    parser.add_argument(
        "--answer",
        action="append",
        default=[],
        type=_answer,
        metavar="FIELD=VALUE",
        help="the answer to a question of an earlier run, as in --answer unit=F (may be given again)",
    )


def _answer(text: str) -> tuple[str, str]:
    field, parted, value = text.partition("=")
    if not parted:
        raise argparse.ArgumentTypeError(f"expected FIELD=VALUE, found '{text}'")
    return field.strip(), value.strip()


def table_text(named: str) -> tuple[str, str]:
    """A table's text and the name it is called by: a file, or `-` for standard input. Raises ProblemsFound."""
    shown = "standard input" if named == STANDARD_INPUT else named
    return text_in(standard_input() if named == STANDARD_INPUT else file_bytes(Path(named), named), shown)[0], shown


def standard_input() -> bytes:
    """All that comes by standard input."""
    return sys.stdin.buffer.read()


def can_ask(options: argparse.Namespace, named: str) -> bool:
    """Whether someone is there to be asked: a terminal at both ends, and the table did not come by it."""
    return not options.json and named != STANDARD_INPUT and sys.stdin.isatty() and sys.stderr.isatty()


def asked(questions: Sequence[Asked]) -> dict[str, str]:
    """What is answered on the terminal; an empty line leaves a question open, and a word leaves all of them."""
    found: dict[str, str] = {}
    say(*([LEAVING] if len(questions) > 1 else []))
    for question in questions:
        numbered = len(question.choices) > FEW and not any(choice.isdigit() for choice in question.choices)
        shown = [f"{n} {choice}" if numbered else choice for n, choice in enumerate(question.choices, start=1)]
        ask(f"{question.question}{f' [{SLASHED.join(shown)}]' if shown else ''}")
        said = sys.stdin.readline().strip()
        if is_later(said) and said not in question.choices:
            break
        if numbered and said.isdecimal() and 1 <= int(said) <= len(question.choices):
            said = question.choices[int(said) - 1]
        if said:
            found[question.field] = said
    return found


def questions_told(questions: Sequence[Asked]) -> list[str]:
    """Open questions, each with the option that answers it."""
    return [f"question: {q.question}  (--answer '{q.field}={' or '.join(q.choices) or 'VALUE'}')" for q in questions]


def understood_told(understood: Sequence[tuple[str, str]]) -> list[str]:
    """What was understood of a table, a line each."""
    return [f"  {what}: {how}" for what, how in understood]


def confirmed(options: argparse.Namespace, lines: Sequence[str], question: str) -> bool:
    """Show what would be done, and ask on the terminal; in the evening Enter is yes, since undo is at hand."""
    yes = getattr(options, "enter_is_yes", False)
    say(*lines)
    while True:
        ask(f"{question} {'[Y/n]' if yes else '[y/N]'}")
        try:
            said = sys.stdin.readline()
        except KeyboardInterrupt:
            return False
        if not said or said.strip().casefold() in ("n", "no"):
            return False
        if said.strip().casefold() in ("y", "yes"):
            return True
        if not said.strip():
            return yes
        say("y or n?")


def agreed(options: argparse.Namespace, named: str, lines: Sequence[str], question: str) -> bool:
    """Whether to go on: --yes, or an answer on the terminal after these lines were shown."""
    if options.yes or options.dry_run:
        return True
    if not can_ask(options, named):
        return False
    return confirmed(options, lines, question)


def question_data(questions: Sequence[Asked]) -> list[Mapping[str, object]]:
    """Questions as data."""
    return [{"field": q.field, "question": q.question, "choices": list(q.choices)} for q in questions]
