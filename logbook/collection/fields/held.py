"""What was read of a record, held by as little as it takes: an object has places for what its file said, and its class has the rest.

Most keys of most entries are not given, and a kept tree has many entries: a dictionary for each takes three times the memory.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import TypeVar, cast

T = TypeVar("T")
MOST_FORMS = 400  # for each model; objects of rarer ones have a dictionary
_set = object.__setattr__


def maker(model: type[T]) -> Callable[[Mapping[str, object]], T]:
    """What makes an object of a frozen model whose class has a value for all that is not given. In all that can be asked of it (its class,
    equality, copies) it is as if the model had made it.
    """
    return cast("Callable[[Mapping[str, object]], T]", _maker(model))  # type: ignore[arg-type] # a class has a hash


@cache
def _maker(model: type) -> Callable[[Mapping[str, object]], object]:
    by_names: dict[tuple[str, ...], type] = {}
    forms: dict[frozenset[str], type] = {}

    def form(names: tuple[str, ...]) -> type:
        given = frozenset(names)
        found = forms.get(given)
        if found is None:
            if len(forms) == MOST_FORMS:
                return model
            found = forms[given] = _form(model, names)
        if len(by_names) < MOST_FORMS:
            by_names[names] = found
        return found

    def made(values: Mapping[str, object]) -> object:
        names = tuple(values)
        one: object = object.__new__(by_names.get(names) or form(names))
        for name in names:
            _set(one, name, values[name])
        return one

    return made


def held(value: object) -> Mapping[str, object]:
    """What an object holds itself, by attribute."""
    kind = type(value)
    if kind is value.__class__:
        return vars(value)
    return {name: getattr(value, name) for name in kind.__slots__}  # type: ignore[attr-defined] # a form has them


def _form(model: type, names: tuple[str, ...]) -> type:
    """The model, with places for these attributes alone."""

    def reduced(self: object) -> tuple[object, tuple[object, ...]]:
        return _again, (model, names, *(getattr(self, name) for name in names))

    own = {
        "__slots__": names,
        "__class__": property(lambda _: model),
        "__reduce__": reduced,
        "__doc__": model.__doc__,
    }
    return type(model.__name__, (model,), own)


def _again(model: type[T], names: tuple[str, ...], *values: object) -> T:
    """An object as another process had it."""
    return maker(model)(dict(zip(names, values, strict=True)))
