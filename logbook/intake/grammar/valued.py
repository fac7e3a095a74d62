"""From what the grammar made of a line to the values that entries hold in memory: lists to tuples, mappings to their records.

The one place where this is done; which value a field has stands in its declaration.
"""

from __future__ import annotations

from collections.abc import Mapping

from ...collection.dates import read_when
from ...collection.fields import Entry
from ...collection.kinds import AnyField, Date, Either, Listing, Record
from .details import Fields


def valued(part: Fields, entries: Record[Entry], southern: bool = False) -> Fields:
    """The fields of a part by key, each as its kind has it. Raises KeyError for a field that no entry has."""
    return {key: _value(entries.by_key[key], said, southern) for key, said in part.items()}


def _value(field: AnyField, said: object, southern: bool) -> object:
    kind, inner = field.kind, field.kind.inner()
    if isinstance(inner, Record) and isinstance(said, Mapping):
        return inner.heard({key: _value(inner.by_key[key], one, southern) for key, one in said.items()})
    if isinstance(kind, Listing):
        return tuple(said) if isinstance(said, list | tuple) else (said,)
    if isinstance(kind, Either) and kind.widen is not None and isinstance(said, str):
        return kind.widen(said)
    return read_when(said, southern) if isinstance(kind, Date) and isinstance(said, str) else said
