"""What a pencil line may say: works with the ways to write them, signs, troubles, measures, details. For one tree: its own works first.

examples:
  benchleaf words
  benchleaf words 014
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TypedDict

from ..diagnostics import stop
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Work
from ..intake.announced import FieldSaid, fields_said, lines_said, seen_said, work_said
from ..intake.grammar.vocabulary import Vocabulary, vocabulary
from .common import json_argument, open_collection, today_argument
from .results import DONE, Result, table
from .saying import WORK, parted

MEASURING = ("measured", "vigour", "weighed")


class WorkData(TypedDict):
    """How a work is said in a pencil line, and the details it bears."""

    said: list[str]
    details: list[str]


class FieldData(TypedDict):
    """What an entry's field is for, the phrases that say it, and what stands before them on a line."""

    means: str
    after: str
    said: list[str]


class LineData(TypedDict):
    """A line of a sheet, and what it means."""

    said: str
    means: str


class WordsData(TypedDict):
    """What a pencil line may say: works by name, those of other trees apart; signs, troubles, an entry's fields, a sheet's lines.

    Among the fields, `measures` are whole lines that measure, and `details` what stands behind a work.
    """

    works: dict[str, WorkData]
    other_works: dict[str, WorkData]
    signs: dict[str, list[str]]
    troubles: dict[str, list[str]]
    measures: list[str]
    details: dict[str, str]
    fields: dict[str, FieldData]
    lines: list[LineData]


SHAPE = WordsData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("tag", nargs="?", default="", metavar="TAG", help="a tree: its own works come first")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """What a pencil line may say, a tree's own works first."""
    opened = open_collection(options)
    tree = opened.collection.tree(options.tag) if options.tag else None
    if options.tag and tree is None:
        raise stop(f"there is no tree {options.tag}", hint="give its tag, or none for all words")
    knowledge = opened.knowledge
    words = vocabulary(knowledge)
    own, others = parted(knowledge, opened.collection.settings, [tree] if tree else [])
    lines = _works(f"works of {tree.tag} ({tree.full_name})" if tree else "works", own, words)
    lines += _works("works of other trees", others, words) if others else []
    for title, said in (("signs", seen_said(knowledge, "sign")), ("troubles", seen_said(knowledge, "trouble"))):
        lines += ["", title, *(f"  {name:<12} {'; '.join(phrases)}" for name, phrases in said.items())]
    fields = fields_said(knowledge, opened.collection.settings.units)
    lines += ["", "details, behind their work", *(_field(f) for f in fields if f.after)]
    lines += ["", "by themselves", *(_field(f) for f in fields if not f.after and f.key != WORK)]
    lines += ["", *table([(f"  {line.said}", line.means) for line in lines_said()], ("on the lines of a sheet", ""))]
    lines += ["", "What is not read stays as the entry's remark, word for word."]
    return Result(DONE, tuple(lines), _data(own, others, words, fields, knowledge))


def _field(said: FieldSaid) -> str:
    return f"  {said.key:<12} {'; '.join(said.said)}"


def _works(title: str, works: Sequence[Work], words: Vocabulary) -> list[str]:
    lines = ["", title] if title != "works" else [title]
    for work in works:
        details = f"  ({', '.join(work.details)})" if work.details else ""
        lines.append(f"  {work.name}{details}")
        lines.append(f"      {'; '.join(work_said(work, words))}")
    return lines


def _data(
    own: Sequence[Work], others: Sequence[Work], words: Vocabulary, fields: Sequence[FieldSaid], knowledge: Knowledge
) -> WordsData:
    def told(works: Sequence[Work]) -> dict[str, WorkData]:
        return {w.name: {"said": list(work_said(w, words)), "details": list(w.details)} for w in works}

    return {
        "works": told(own),
        "other_works": told(others),
        "signs": {name: list(said) for name, said in seen_said(knowledge, "sign").items()},
        "troubles": {name: list(said) for name, said in seen_said(knowledge, "trouble").items()},
        "measures": [line for f in fields if f.key in MEASURING for line in f.lines],
        "details": {f.key: "; ".join(f.said) for f in fields if f.after},
        "fields": {f.key: {"means": f.means, "after": f.after, "said": list(f.said)} for f in fields},
        "lines": [{"said": line.said, "means": line.means} for line in lines_said()],
    }
