"""What a pencil line may say: works with the ways to write them, signs, troubles, measures, details. For one tree: its own works first.

examples:
  benchleaf words
  benchleaf words 014
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TypedDict

from ..collection.model import Settings, Tree
from ..diagnostics import stop
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Work
from ..intake.grammar.vocabulary import Vocabulary, vocabulary
from ..planning.garden import Garden
from .common import json_argument, open_collection, today_argument
from .results import DONE, Result

DETAILS = {
    "branches": "1 2 S1; 4-6; #4; no. 4",
    "metal": "copper, alu",
    "wire": "copper 2.5; 3mm; 10ga",
    "keep": "keep (the wire stays on)",
    "bite": "no bite; starting to bite; cut in",
    "roots": "roots light; roots hard; no root work",
    "force": "light, hard",
    "pot": "oval 310x240x60",
    "mix": "2:1 akadama pumice; mix 2 akadama 1 lava; 60% akadama 40% lava",
    "feed": "6-6-6",
}
MEASURES = ("trunk 42", "height 31 cm", "crown 260", "leaf 15", "64 tips", "vigour 4", "weighed wet 5.2 dry 4.1")
OTHERS = (
    "stage refinement; rest begins; rest over",
    "saw open; trouble pests (the words that say so will do as well)",
    "moved east 2; by m; 90 min; photo photos/a.jpg",
    "note … or remark … keeps words as they are; intend … by autumn 2028 is a plan",
    "what is not read stays as the entry's remark, word for word",
)


class WorkData(TypedDict):
    """How a work is said in a pencil line, and the details it bears."""

    said: list[str]
    details: list[str]


class WordsData(TypedDict):
    """What a pencil line may say: works by name, those of other trees apart; signs, troubles, measures and details."""

    works: dict[str, WorkData]
    other_works: dict[str, WorkData]
    signs: dict[str, list[str]]
    troubles: dict[str, list[str]]
    measures: list[str]
    details: dict[str, str]


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
    words = vocabulary(opened.knowledge)
    own, others = _parted(opened.knowledge, opened.collection.settings, tree)
    lines = _works(f"works of {tree.tag} ({tree.full_name})" if tree else "works", own, words)
    lines += _works("works of other trees", others, words) if others else []
    for title, kind in (("signs", "sign"), ("troubles", "trouble")):
        lines += [
            "",
            title,
            *(f"  {name:<12} {'; '.join(said)}" for (k, name), said in words.samples.items() if k == kind),
        ]
    lines += ["", "measures", f"  {'; '.join(MEASURES)}"]
    lines += ["", "details, behind their work", *(f"  {name:<12} {said}" for name, said in DETAILS.items())]
    lines += ["", "and", *(f"  {said}" for said in OTHERS)]
    return Result(DONE, tuple(lines), _data(own, others, words))


def _parted(knowledge: Knowledge, settings: Settings, tree: Tree | None) -> tuple[list[Work], list[Work]]:
    """The works that a tree's group has a row for, or that any tree has; and the rest."""
    works = list(knowledge.works.values())
    if tree is None:
        return works, []
    group = Garden(settings, knowledge).group_of(tree)
    offered = {work.name for work, _ in knowledge.rows_for(group, tree.species)}
    own = [w for w in works if not w.rows or w.name in offered]
    return own, [w for w in works if w not in own]


def _said(work: Work, words: Vocabulary) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*work.typed, *words.samples.get(("work", work.name), ()))))


def _works(title: str, works: Sequence[Work], words: Vocabulary) -> list[str]:
    lines = ["", title] if title != "works" else [title]
    for work in works:
        details = f"  ({', '.join(work.details)})" if work.details else ""
        lines.append(f"  {work.name}{details}")
        lines.append(f"      {'; '.join(_said(work, words))}")
    return lines


def _data(own: Sequence[Work], others: Sequence[Work], words: Vocabulary) -> WordsData:
    def told(works: Sequence[Work]) -> dict[str, WorkData]:
        return {w.name: {"said": list(_said(w, words)), "details": list(w.details)} for w in works}

    kinds = {kind: {n: list(s) for (k, n), s in words.samples.items() if k == kind} for kind in ("sign", "trouble")}
    return {
        "works": told(own),
        "other_works": told(others),
        "signs": kinds["sign"],
        "troubles": kinds["trouble"],
        "measures": list(MEASURES),
        "details": DETAILS,
    }
