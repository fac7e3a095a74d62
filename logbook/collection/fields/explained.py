"""The declarations in words: every key of every record, what may stand there, what it is for, and how a note says it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ...values import dataclass
from ..kinds import AnyField, Record
from .aims import Branch
from .declare import record_of
from .entry import Entry
from .site import Settings, Site
from .tree import Tree

MODELS: Mapping[str, type] = {
    "tree": Tree,
    "entry": Entry,
    "branch": Branch,
    "site": Site,
    "collection": Settings,
}
RECORDS = tuple(MODELS)


@dataclass(frozen=True, slots=True)
class FieldRow:
    """One key: where it stands (`found.stage` within the record), what may stand there, what for, and its words in a note."""

    key: str
    kind: str
    doc: str
    required: bool
    typed: str


def field_rows(name: str) -> tuple[FieldRow, ...]:
    """The keys of one of RECORDS, and the keys within them, in their order. Raises KeyError for another name."""
    return rows_of(record_of(MODELS[name]))


def rows_of(record: Record[Any]) -> tuple[FieldRow, ...]:
    """The keys of any record, as field_rows gives them."""
    return tuple(_rows(record, ""))


def _rows(record: Record[object], above: str) -> Iterator[FieldRow]:
    for field in record.fields:
        inner = field.kind.inner()
        yield FieldRow(above + field.key, _kind(field), field.doc, field.required, _typed(field))
        if isinstance(inner, Record) and all(inner is not record_of(model) for model in MODELS.values()):
            yield from _rows(inner, f"{above}{field.key}.")


def _kind(field: AnyField) -> str:
    """What may stand there; the keys of a record are told in rows of their own."""
    inner = field.kind.inner()
    told = field.kind.described()
    if not isinstance(inner, Record):
        return told
    short = told.replace(inner.described(), inner.what)
    return inner.what if short == f"{inner.what}, or {inner.what}" else short


def _typed(field: AnyField) -> str:
    """The words by which a note says a field."""
    words = field.words
    before = [f"{word} …" for word in (*words.starts, *words.exact)]
    return ", ".join([*before, *(f"… {word}" for word in words.ends), *(["…"] if words.bare and not before else [])])
