"""JSON Schema (draft 2020-12) out of the one table of keys, so that editors complete and check the files.

A schema can say less than the checks do: it knows forms, words and limits, but no rule that joins two keys. It never
refuses what the checks accept.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import singledispatch
from typing import Any

from .dates import MONTH_DAY_FORM, WHEN_FORM
from .kinds import Date, Either, Flag, Kind, Listing, Number, Pattern, Placed, Record, Table, Text, Wire, Word

Words = Mapping[str, tuple[str, ...]]
DRAFT = "https://json-schema.org/draft/2020-12/schema"


def document_schema(record: Record, title: str, words: Words) -> dict[str, Any]:
    """A whole schema for one kind of file."""
    return {"$schema": DRAFT, "title": title, **schema_of(record, words)}


@singledispatch
def schema_of(kind: Kind, words: Words) -> dict[str, Any]:  # noqa: ARG001
    """The schema of one kind of value; `words` are the word lists the trade supplies."""
    raise TypeError(f"no schema for {type(kind).__name__}")  # a new kind must say what it looks like


@schema_of.register
def _(kind: Text, words: Words) -> dict[str, Any]:  # noqa: ARG001
    return {"type": ["string", "number", "boolean"], "description": kind.what}


@schema_of.register
def _(kind: Placed, words: Words) -> dict[str, Any]:
    return schema_of(kind.kind, words)


@schema_of.register
def _(kind: Pattern, words: Words) -> dict[str, Any]:  # noqa: ARG001
    return {
        "anyOf": [{"type": "string", "pattern": f"^(?:{kind.form})$"}, {"type": "number"}],
        "description": f"{kind.what}: {kind.hint}",
    }


@schema_of.register
def _(kind: Word, words: Words) -> dict[str, Any]:
    known = words.get(kind.named, ()) if kind.named else kind.choices
    return {"enum": list(known), "description": kind.what}


@schema_of.register
def _(kind: Number, words: Words) -> dict[str, Any]:  # noqa: ARG001
    limits: dict[str, Any] = {"type": "integer" if kind.whole else "number", "description": kind.described()}
    if kind.convert is None:  # else the limits hold for the inside unit, not for the file's
        limits |= {"minimum": kind.low, "maximum": kind.high}
    return limits


@schema_of.register
def _(kind: Flag, words: Words) -> dict[str, Any]:  # noqa: ARG001
    return {"type": "boolean"}


@schema_of.register
def _(kind: Date, words: Words) -> dict[str, Any]:  # noqa: ARG001
    form = MONTH_DAY_FORM if kind.form == "month-day" else WHEN_FORM
    return {
        "anyOf": [{"type": "string", "pattern": f"^(?:{form})$"}, {"type": "integer"}],
        "description": kind.described(),
    }


@schema_of.register
def _(kind: Wire, words: Words) -> dict[str, Any]:  # noqa: ARG001
    return {"type": ["number", "string"], "description": kind.described()}


@schema_of.register
def _(kind: Listing, words: Words) -> dict[str, Any]:
    several: dict[str, Any] = {"type": "array", "items": schema_of(kind.kind, words)}
    if kind.exactly:
        several |= {"minItems": kind.exactly, "maxItems": kind.exactly}
        return several
    lone = [schema_of(kind.kind, words)] if kind.lone else []
    return {"anyOf": [several, *lone, {"type": "null"}]}


@schema_of.register
def _(kind: Table, words: Words) -> dict[str, Any]:
    made: dict[str, Any] = {"type": ["object", "null"], "additionalProperties": schema_of(kind.kind, words)}
    if kind.names is not None:
        made["propertyNames"] = schema_of(kind.names, words)
    elif kind.key_form:
        made["propertyNames"] = {"pattern": f"^(?:{kind.key_form})$"}
    return made


@schema_of.register
def _(kind: Either, words: Words) -> dict[str, Any]:
    return {"anyOf": [schema_of(kind.mapping, words), schema_of(kind.other, words)]}


@schema_of.register
def _(kind: Record, words: Words) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {
            f.key: {**_nullable(schema_of(f.kind, words), f.required), "description": f.doc} for f in kind.fields
        },
        "required": list(kind.required),
        "patternProperties": {"^x-": {}},
        "additionalProperties": False,
    }


def _nullable(schema: dict[str, Any], required: bool) -> dict[str, Any]:
    """A key left without a value counts as not given."""
    return schema if required else {"anyOf": [schema, {"type": "null"}]}
