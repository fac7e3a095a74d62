"""Kinds of values: how each is read, checked, written, described to an editor, printed, and heard in a note."""

from __future__ import annotations

from .base import (
    FAILED,
    UNSAID,
    AnyField,
    Context,
    Failed,
    Field,
    Kind,
    NoteContext,
    Schema,
    Values,
    WordLists,
    Words,
)
from .compound import Either, Listing, Placed, Sides, Table
from .hearing import Heard, NoteWords, read_value
from .numbers import AREA, ELEVATION, LENGTH, TEMPERATURE, Number, Quantity, Whole, Wire
from .record import Record, document_schema, said
from .scalars import (
    Converted,
    Date,
    Flag,
    InnerPath,
    MonthDay,
    Named,
    Pattern,
    Person,
    PlaceName,
    Text,
    Word,
    words_match,
)
from .wires import WireSizes

__all__ = [
    "AREA",
    "ELEVATION",
    "FAILED",
    "LENGTH",
    "TEMPERATURE",
    "UNSAID",
    "AnyField",
    "Context",
    "Converted",
    "Date",
    "Either",
    "Failed",
    "Field",
    "Flag",
    "Heard",
    "InnerPath",
    "Kind",
    "Listing",
    "MonthDay",
    "Named",
    "NoteContext",
    "NoteWords",
    "Number",
    "Pattern",
    "Person",
    "PlaceName",
    "Placed",
    "Quantity",
    "Record",
    "Schema",
    "Sides",
    "Table",
    "Text",
    "Values",
    "Whole",
    "Wire",
    "WireSizes",
    "Word",
    "WordLists",
    "Words",
    "document_schema",
    "read_value",
    "said",
    "words_match",
]
