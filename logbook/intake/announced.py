"""What a note may say, as it is announced to growers: by `words`, on the crib card and in the README.

Works are announced by the words of works.yaml and the samples of the vocabulary, an entry's fields by `announced.yaml`
beside this module, each told by its own declaration. Nothing is announced that is not read: a test types all of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from ..collection.fields import ENTRY
from ..collection.kinds import AnyField, NoteContext, Record, Word
from ..collection.units import METRIC, Units
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Work
from ..storage.printed import Ledger
from ..values import dataclass
from .grammar.headers import Grammar
from .grammar.lines import read_notes
from .grammar.vocabulary import Kind, Vocabulary, own_phrases, vocabulary

FEW = 12  # words that a field may be, told with it


@dataclass(frozen=True, slots=True)
class FieldSaid:
    """A field of an entry: what it is for, phrases that say it, and the words before them on a line."""

    key: str
    means: str
    said: tuple[str, ...]
    after: str = ""

    @property
    def lines(self) -> tuple[str, ...]:
        """The phrases as whole lines."""
        return tuple(f"{self.after} {one}".strip() for one in self.said)


@dataclass(frozen=True, slots=True)
class LineSaid:
    """A line under a sheet's header, and what it means; `on`: what kind of sheet."""

    on: str
    said: str
    means: str


def fields_said(knowledge: Knowledge, units: Units = METRIC) -> tuple[FieldSaid, ...]:
    """What notes say of an entry's fields, in the fields' own order; numbers as they are meant in these units."""
    given: Mapping[str, Mapping[str, Any]] = _loaded()["fields"]
    rows = ((f, given[f.key]) for f in ENTRY.fields if f.key in given)
    return tuple(
        FieldSaid(
            f.key,
            _means(f, row.get("parts", ()), knowledge),
            tuple(row.get(units.name, row["said"])),
            row.get("after", ""),
        )
        for f, row in rows
    )


def lines_said() -> tuple[LineSaid, ...]:
    """What a line of a sheet may hold."""
    return tuple(LineSaid(**row) for row in _loaded()["lines"])


def work_said(work: Work, words: Vocabulary) -> tuple[str, ...]:
    """How a work is said: the words it is typed by, then samples."""
    return tuple(dict.fromkeys((*work.typed, *words.samples.get(("work", work.name), ()))))


def unheard(knowledge: Knowledge) -> Iterator[tuple[Work, str]]:
    """Words for a work that are not read so, among a collection's own or because of them: they deny something, or say another work."""
    works = knowledge.works.values()
    if not any(own_phrases(work) for work in works):
        return
    grammar = Grammar(knowledge, Ledger())
    for work in works:
        yield from ((work, phrase) for phrase in work.typed if _works_read(phrase, grammar) != [work.name])


def _works_read(phrase: str, grammar: Grammar) -> list[object]:
    """The works that a phrase says of a tree without a question left open."""
    made = [r for r in read_notes(f"tree 1\n2 jul {phrase}", grammar) if not (r.question or r.fault)]
    return [part.get("work") for reading in made for part in reading.parts]


def seen_said(knowledge: Knowledge, kind: Kind) -> dict[str, tuple[str, ...]]:
    """Samples of what says a sign of the season, or a trouble, by its name."""
    return {name: said for (k, name), said in vocabulary(knowledge).samples.items() if k == kind}


def _means(field: AnyField, parts: Sequence[str], knowledge: Knowledge) -> str:
    """What a field is for, by its declaration: with some of its parts, or the words it may be where they are few."""
    inner = field.kind.inner()
    if isinstance(inner, Record) and parts:
        docs = {part.key: part.doc for part in inner.fields}
        told = [docs[key] if len(parts) == 1 else f"{key}: {docs[key]}" for key in parts]
        return f"{field.doc} ({'; '.join(told)})"
    words = field.kind.choices(NoteContext(words=knowledge.words)) if isinstance(field.kind, Word) else ()
    few = words if len(words) <= FEW and not all(word in field.doc for word in words) else ()
    return f"{field.doc}: {', '.join(few)}" if few else field.doc


@cache
def _loaded() -> Mapping[str, Any]:
    path = Path(__file__).with_name("announced.yaml")
    raw: Mapping[str, Any] = yaml.load(path.read_text("utf-8"), Loader=yaml.BaseLoader)
    return raw
