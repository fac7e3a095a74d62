"""What a verb prints with --json, as JSON Schema (draft 2020-12) out of the declared type of its data.

Each verb declares its data as a TypedDict named by `SHAPE`; the type checker holds the verb to it, a test holds its output to
the schema, and `benchleaf schema VERB` prints it.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from typing import Literal, NotRequired, TypedDict, Union, get_args, get_origin, get_type_hints, is_typeddict

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_PLAIN: Mapping[object, str] = {str: "string", int: "integer", float: "number", bool: "boolean", type(None): "null"}
Schema = dict[str, object]
Inside = tuple[object, ...]  # what stands in the brackets of a type


class ProblemData(TypedDict):
    """A fault or a warning."""

    severity: Literal["error", "warning"]
    message: str
    file: NotRequired[str]
    line: NotRequired[int]
    column: NotRequired[int]
    hint: NotRequired[str]


def output_schema(shape: type, title: str) -> Schema:
    """The schema of a verb's whole output: its data, and the problems that stand beside it."""
    schema = _of(shape)
    properties = schema["properties"]
    assert isinstance(properties, dict)
    properties["problems"] = {"type": "array", "items": _of(ProblemData)}
    return {"$schema": DRAFT, "title": title, **schema}


def _of(kind: object) -> Schema:
    if kind in _PLAIN:
        return {"type": _PLAIN[kind]}
    if is_typeddict(kind):
        assert isinstance(kind, type)
        return _mapping(kind)
    if kind is object:
        return {}
    told = _BY_ORIGIN.get(get_origin(kind))
    if told is None:
        raise TypeError(f"no schema for {kind!r}")  # a new kind of data must say what it looks like
    return told(get_args(kind))


def _array(inside: Inside) -> Schema:
    return {"type": "array", "items": _of(inside[0])}


def _by_key(inside: Inside) -> Schema:
    return {"type": "object", "additionalProperties": _of(inside[1])}


def _one_of_these(inside: Inside) -> Schema:
    return {"enum": list(inside)}


def _any_of(inside: Inside) -> Schema:
    return {"anyOf": [_of(one) for one in inside]}


def _the_one(inside: Inside) -> Schema:
    return _of(inside[0])


_BY_ORIGIN: Mapping[object, Callable[[Inside], Schema]] = {
    list: _array,
    tuple: _array,
    dict: _by_key,
    Mapping: _by_key,
    Literal: _one_of_these,
    Union: _any_of,
    types.UnionType: _any_of,
    NotRequired: _the_one,
}


def _mapping(shape: type) -> Schema:
    hints = get_type_hints(shape, include_extras=True)  # whose text says which keys may be missing
    kept: frozenset[str] = getattr(shape, "__required_keys__", frozenset())
    required = [name for name, kind in hints.items() if name in kept and get_origin(kind) is not NotRequired]
    found: Schema = {
        "type": "object",
        "properties": {name: _of(kind) for name, kind in hints.items()},
        "required": sorted(required),
        "additionalProperties": True,
    }
    return {"description": shape.__doc__.strip(), **found} if shape.__doc__ else found
