"""Many trees from a grower's own table: what was understood, what has to be asked, and rows that wait for an answer."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TypedDict

from ..collection.fields import ENTRY, ROUND_SHAPES, Pot
from ..collection.kinds import NoteContext, read_value
from ..collection.loose_table import Asked
from ..collection.model import tag_key
from ..collection.new_trees import Row
from ..collection.species_answer import SpeciesAnswer
from ..collection.tree_table.asker import Asking
from ..collection.tree_table.grid import Grid, grid_in, text_in
from ..collection.tree_table.reading import DROP, KEEP, TreesRead, read_trees
from ..collection.yaml_editor import Value
from ..diagnostics import counted
from ..horticulture.species_advice import species_answer
from ..horticulture.species_names import named_in
from ..values import dataclass
from .asking import STANDARD_INPUT, CellAsked, answer_argument, asked, can_ask, standard_input
from .common import Opened
from .spreadsheet import file_grid

COLUMNS_ASKED = "columns"


class RowWaiting(TypedDict):
    """A row that waits for answers, by the fields of its questions."""

    row: int
    tag: str
    fields: list[str]


@dataclass(frozen=True, slots=True)
class TableRead:
    """Rows to write, rows that wait, and what the grower is told of the reading."""

    rows: tuple[Row, ...]
    waiting: tuple[Row, ...]
    read: TreesRead

    @property
    def lines(self) -> list[str]:
        """What was understood, a line each."""
        return [f"  {what}: {how}" for what, how in self.read.understood]

    def questions(self, shown: str) -> list[CellAsked]:
        """Questions as data."""
        return [
            {
                "file": shown,
                "row": q.row,
                "field": q.field,
                "cell": q.cell,
                "question": q.question,
                "choices": list(q.choices),
            }
            for q in self.read.questions
        ]

    def waits(self) -> list[RowWaiting]:
        """Rows that wait, as data."""
        doubtful = self.read.doubtful
        return [
            {
                "row": row.place.line,
                "tag": str(row.values["tag"]),
                "fields": list(dict.fromkeys(doubtful[row.place.line])),
            }
            for row in self.waiting
        ]


def table_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of a table."""
    told = parser.add_argument_group("many trees from a table")
    told.add_argument(
        "--table",
        metavar="FILE",
        help="CSV in any common dress, .xlsx with the extra 'spreadsheets', or - for standard input",
    )
    answer_argument(told)
    told.add_argument(
        "--columns",
        choices=(KEEP, DROP),
        help="keep columns that nothing is known of as keys of your own (x-…), or leave them out",
    )
    told.add_argument(
        "--only-good",
        action="store_true",
        help="write what is sure; leave out doubtful values, and rows that can't stand without",
    )
    told.add_argument("--yes", action="store_true", help="write what needs no question; the other rows wait")


def table_read(options: argparse.Namespace, opened: Opened) -> TableRead:
    """Read the table, asking on a terminal what only the grower knows. Raises ProblemsFound."""
    grid, shown = _grid(options.table)
    answers = dict(options.answer) | ({COLUMNS_ASKED: options.columns} if options.columns else {})
    read = read_trees(grid, shown, _asking(opened, answers))
    if can_ask(options, options.table) and not options.yes:
        while open_questions := _to_ask(read, answers):
            given = asked(open_questions)
            if not given:
                break
            answers |= given
            read = read_trees(grid, shown, _asking(opened, answers))
    waits = {} if options.only_good else read.doubtful
    rows = tuple(row for row in read.rows if row.place.line not in waits and row.place.line not in read.faulty)
    waiting = tuple(row for row in read.rows if row.place.line in waits)
    return TableRead(rows, waiting, read)


def _to_ask(read: TreesRead, answers: Mapping[str, str]) -> list[Asked]:
    columns = [
        Asked(COLUMNS_ASKED, f"nothing is known of {', '.join(read.unknown)}: keep as your own keys?", (KEEP, DROP))
    ]
    some = list(read.questions) + (columns if read.unknown and COLUMNS_ASKED not in answers else [])
    return [question for question in some if question.field not in answers]


def _grid(named: str) -> tuple[Grid, str]:
    if named != STANDARD_INPUT:
        return file_grid(Path(named)), named
    text, encoding = text_in(standard_input(), "standard input")
    return grid_in(text, "standard input", encoding), "standard input"


def _asking(opened: Opened, answers: Mapping[str, str]) -> Asking:
    settings, register = opened.collection.settings, opened.knowledge.register

    def species(name: str) -> SpeciesAnswer:
        if named_in(name, settings.species):
            return SpeciesAnswer(name)
        return species_answer(name, register.find)

    return Asking(
        opened.units,
        tuple(opened.knowledge.stages),
        species,
        lambda given: _free_tags([tree.tag for tree in opened.collection.trees], given),
        settings.date_order,
        bool(settings.site and settings.site.southern),
        answers,
        lambda cell: _pot(cell, opened),
    )


def _pot(cell: str, opened: Opened) -> Mapping[str, Value] | None:
    """A pot as a note says it (`oval 310x240x60`); None where the words say more or less."""
    words = re.sub(r"\s*[x×]\s*", "x", cell.casefold().removesuffix("pot")).split()
    kind = ENTRY.by_key["pot"].kind
    heard = read_value(ENTRY.by_key["pot"], ["pot", *words], NoteContext(opened.units, opened.knowledge.words))
    if not heard or heard.used != len(words) + 1 or not _is_whole(heard.value):
        return None
    written = kind.written(heard.value, opened.units)
    return written if isinstance(written, dict) else None


def _is_whole(pot: object) -> bool:
    """Whether a pot's sides are as many as its shape has."""
    assert isinstance(pot, Pot)
    return len(pot.inner) in ((0, 2, 3) if pot.shape in ROUND_SHAPES else (0, 3))


def _free_tags(there: Sequence[str], given: Sequence[str]) -> Callable[[], str]:
    """Tags behind the highest number, as wide as the widest."""
    taken = {tag_key(tag) for tag in (*there, *given)}
    numbers = [tag for tag in (*there, *given) if tag.isdecimal()]
    wide = max(map(len, numbers), default=3)
    at = max((int(tag) for tag in numbers), default=0)

    def free() -> str:
        nonlocal at
        at += 1
        while tag_key(f"{at:0{wide}d}") in taken:
            at += 1
        return f"{at:0{wide}d}"

    return free


def questions_lines(table: TableRead) -> list[str]:
    """Open questions with the option that answers each, and what becomes of the rows."""
    lines = []
    for q in table.read.questions:
        choice = " or ".join(q.choices) or "VALUE"
        lines.append(f"question: {q.question}  (--answer '{q.field}={choice}')")
    lines += [f"--answer '{name}': nothing asks that" for name in table.read.unasked]
    if table.waiting:
        lines.append(
            f"{counted(len(table.waiting), 'row')} not written yet: answer, or leave the doubtful values out with --only-good"
        )
    return lines
