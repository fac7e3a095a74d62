"""One declaration a field: the attribute of a model is the key of a file, with its kind, its doc and its words.

    @record("a weighing")
    class Weighing:
        wet: float | None = key(KILOGRAMS, "after watering", default=None)

`record_of(Weighing)` reads, checks, writes, prints and hears it. An attribute that is neither a `key` nor `apart` is a
TypeError as soon as the module is read, so that nothing can be kept in memory that no file may say.

What a file does not say is not kept either: an object that was read holds what was given, and its class the rest. Most keys of
most entries are not given.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import TypeVar, cast, dataclass_transform, overload

from ...diagnostics import Place
from ..kinds import FAILED, UNSAID, AnyField, Context, Failed, Field, Kind, Record, Values, Words
from ..yaml_reader import Mapping as MappingNode
from .held import held, maker, places

T = TypeVar("T")
_Laid = tuple[tuple[str, str, object], ...]  # of each value: key, attribute, what it is where nothing was said
D = TypeVar("D")
Check = Callable[[Values, Context, MappingNode], bool]
Source = Callable[[Context, MappingNode], object]
NOWHERE = Place("")
WIDEST = 1 << 20  # columns of a line that are told apart
_FIELD, _SOURCE = "field", "source"
_records: dict[type, Record[object]] = {}


@overload
def key(kind: Kind[T], doc: str, *, name: str = "", words: Words = UNSAID, kw_only: bool = False) -> T: ...


@overload
def key(
    kind: Kind[T],
    doc: str,
    *,
    default: D,
    name: str = "",
    words: Words = UNSAID,
    required: bool = False,
    kw_only: bool = False,
) -> T | D: ...


@overload
def key(
    kind: Kind[T],
    doc: str,
    *,
    default_factory: Callable[[], D],
    name: str = "",
    words: Words = UNSAID,
    kw_only: bool = False,
) -> T | D: ...


def key(  # noqa: PLR0913 - what a declaration may say, each by its name
    kind: Kind[T],
    doc: str,
    *,
    default: object = dataclasses.MISSING,
    default_factory: object = dataclasses.MISSING,
    name: str = "",
    words: Words = UNSAID,
    required: bool = False,
    kw_only: bool = False,
) -> object:
    """A key of a file and the model's attribute for it.

    `name` is the key where it is another than the attribute's; what has no default must stand in the file.
    """
    must = required or (default is dataclasses.MISSING and default_factory is dataclasses.MISSING)
    declared = Field(name, kind, doc, must, words)
    return _attribute({_FIELD: declared}, default, default_factory, kw_only)


def apart(*, default: T, source: Callable[[Context, MappingNode], T] | None = None, compare: bool = True) -> T:
    """An attribute that no key stands for: `source` gives it from the node that was read. What is no part of the value is not compared."""
    return dataclasses.field(default=default, metadata={_SOURCE: source}, compare=compare)


def _attribute(metadata: Mapping[str, object], default: object, factory: object, kw_only: bool) -> object:
    if factory is not dataclasses.MISSING:
        make = cast("Callable[[], object]", factory)
        return dataclasses.field(default_factory=make, metadata=metadata, kw_only=kw_only)
    if default is not dataclasses.MISSING:
        return dataclasses.field(default=default, metadata=metadata, kw_only=kw_only)
    return dataclasses.field(metadata=metadata, kw_only=kw_only)


@dataclass_transform(frozen_default=True, field_specifiers=(key, apart))
def record(what: str, check: Check | None = None, nothing: str = "") -> Callable[[type[T]], type[T]]:
    """Makes a frozen dataclass of a class whose attributes are declared, and the record that reads it.

    `what` names it in messages; `check` joins several keys (it reports and says whether all is sound); `nothing` is said
    on paper where no field is. Raises TypeError for an attribute that is not declared, and for a key that is given twice.
    """

    def made(plain: type[T]) -> type[T]:
        model = dataclasses.dataclass(frozen=True)(plain)
        for attribute in _attributes(model):
            if attribute.default_factory is not dataclasses.MISSING:
                setattr(model, attribute.name, attribute.default_factory())  # an empty one, which nobody changes
        _records[model] = cast("Record[object]", _Model(model, what, check, nothing))
        return model

    return made


def record_of(model: type[T]) -> Record[T]:
    """The record that a declared class stands for."""
    return cast("Record[T]", _records[model])


def place_of(context: Context, node: MappingNode) -> Place:
    """Where a record stands, without the line itself: `pointing` reads that again where there is something to tell."""
    return context.document.mark(node)


def spot_of(context: Context, node: MappingNode) -> int:  # noqa: ARG001
    """Line and column where a record begins, as one number: of a log's many entries no more is kept of where they stand."""
    return _once((int(node.start.line) + 1) * WIDEST + min(int(node.start.column) + 1, WIDEST - 1))


_once = lru_cache(maxsize=8192)(int)  # files are written alike: the same spots come in most of them


def place_at(path: str, spot: int) -> Place:
    """The place of a spot in a file; it goes on to the end of its line."""
    line, column = divmod(spot, WIDEST)
    return Place(path, line, column, 0)


def path_of(context: Context, node: MappingNode) -> str:  # noqa: ARG001
    """The file in which a record stands."""
    return context.document.path


class _Model(Record[T]):
    """A record whose object is a declared class."""

    def __init__(self, model: type[T], what: str, check: Check | None, nothing: str) -> None:
        declared = _declared(model)
        attributes = {f.name: f for f in _attributes(model)}
        self._model = cast("Callable[..., T]", model)
        self._made = maker(model)
        self._check = check
        self._names = {f.key: f.name for f in declared}
        self._named_otherwise = tuple((f.key, f.name) for f in declared if f.key != f.name)
        self._unsaid = {f.name: _default(attributes[f.name]) for f in declared if not f.required}
        self._laid: dict[type, _Laid] = {}  # of the forms that were met
        self._sources: dict[str, Source] = {
            name: f.metadata[_SOURCE] for name, f in attributes.items() if f.metadata.get(_SOURCE) is not None
        }
        super().__init__(what, declared, self._built, nothing=nothing)

    def _built(self, values: Values, context: Context, node: MappingNode) -> T | Failed:
        if self._check is not None and not self._check(values, context, node):
            return FAILED
        for key, name in self._named_otherwise:
            if key in values:
                values[name] = values.pop(key)
        for name, source in self._sources.items():
            values[name] = source(context, node)
        return self._made(values)

    def parts(self, value: T) -> Mapping[str, object]:
        """What is not as it is where nothing was said, by key, in the order of the fields."""
        laid = self._laid.get(type(value))
        if laid is None:
            laid = self._lay(value)
        given: dict[str, object] = {}
        for key, name, unsaid in laid:
            one = getattr(value, name)
            if one is not unsaid and one != unsaid:
                given[key] = one
        return given

    def _lay(self, value: T) -> _Laid:
        """Where an object's values are, in the order of the fields; kept for all of its form."""
        names = held(value)
        laid = tuple(
            (key, name, self._unsaid.get(name, FAILED)) for key, name in self._names.items() if name in names
        )
        if places(type(value)):
            self._laid[type(value)] = laid
        return laid

    def heard(self, parts: Mapping[str, object]) -> T:
        return self._model(**{self._names[key]: value for key, value in parts.items()})


def _attributes(model: type) -> Sequence[dataclasses.Field[object]]:
    return dataclasses.fields(model)


def _default(attribute: dataclasses.Field[object]) -> object:
    factory = attribute.default_factory
    return attribute.default if factory is dataclasses.MISSING else factory()


def _declared(model: type) -> tuple[AnyField, ...]:
    """The fields in the order they were declared. Raises TypeError where an attribute is not, or a key is given twice."""
    fields: list[AnyField] = []
    for attribute in _attributes(model):
        if _FIELD in attribute.metadata:
            declared: AnyField = attribute.metadata[_FIELD]
            named = dataclasses.replace(declared, key=declared.key or attribute.name, attribute=attribute.name)
            fields.append(named)
        elif _SOURCE not in attribute.metadata:
            raise TypeError(f"{model.__name__}.{attribute.name} is not declared: give it a key(…) or say apart(…)")
    keys = [f.key for f in fields]
    twice = next((k for k in keys if keys.count(k) > 1), "")
    if twice:
        raise TypeError(f"{model.__name__} declares the key '{twice}' twice")
    return tuple(fields)
