"""What was read of a record, held by as little as it takes: an object has places for what its file said, and its class has the rest.

Most keys of most entries are not given, and a kept tree has many entries: a dictionary for each takes three times the memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TypeVar, cast

T = TypeVar("T")
MOST_FORMS, MOST_ORDERS = 400, 4000  # of a model: objects of rarer forms have a dictionary
_new = object.__new__


@dataclass(slots=True)
class _Forms:
    """The forms of a model, by what was given, and by its order."""

    of: dict[frozenset[str], type] = field(default_factory=dict)
    in_order: dict[tuple[str, ...], type] = field(default_factory=dict)


_forms: dict[type, _Forms] = defaultdict(_Forms)


def maker(model: type[T]) -> Callable[[Mapping[str, object]], T]:
    """What makes an object of a frozen model whose class has a value for all that is not given. In all that can be asked of it (its class,
    equality, copies) it is as if the model had made it.
    """
    in_order = _forms[model].in_order

    def made(values: Mapping[str, object]) -> T:
        names = tuple(values)
        one: T = _new(in_order.get(names) or _form_for(model, names))
        for name, value in values.items():
            setattr(one, name, value)
        return one

    return made


def places(form: type) -> tuple[str, ...]:
    """What each object of this class holds; empty where they have dictionaries, which may hold this or that."""
    return _places.get(form, ())


def held(value: object) -> Mapping[str, object]:
    """What an object holds itself, by attribute."""
    names = _places.get(type(value))
    return {name: getattr(value, name) for name in names} if names else vars(value)


def held_among(value: object, names: frozenset[str]) -> tuple[str, ...]:
    """Those of its own attributes that are among these names."""
    return _among(places(type(value)) or tuple(vars(value)), names)


@lru_cache(maxsize=1024)
def _among(some: tuple[str, ...], names: frozenset[str]) -> tuple[str, ...]:
    return tuple(name for name in some if name in names)


_places: dict[type, tuple[str, ...]] = {}  # of the forms


def _again(names: tuple[str, ...], *got: object) -> object:
    """An object as another process had it: its values, and last its model."""
    model = cast("type", got[-1])
    one: object = _new(_forms[model].in_order.get(names) or _form_for(model, names))
    for name, value in zip(names, got, strict=False):
        setattr(one, name, value)
    return one


def _form_for(model: type, names: tuple[str, ...]) -> type:
    """The form that these names have in whatever order; where there are too many, one that has no places."""
    forms, given = _forms[model], frozenset(names)
    found = forms.of.get(given)
    if found is None:
        if len(forms.of) >= MOST_FORMS and names:
            return _form_for(model, ())
        found = forms.of[given] = _form(model, names)
    if len(forms.in_order) < MOST_ORDERS:
        forms.in_order[names] = found
    return found


def _form(model: type, names: tuple[str, ...]) -> type:
    """The model, with places for these attributes alone. That nobody changes them is held by the type checker, as with all values here:
    it takes half the time.
    """

    def reduced(self: object) -> tuple[object, tuple[object, ...]]:
        given = held(self)
        return _again, (names or tuple(given), *given.values(), model)

    own = {
        "__slots__": names,
        "__class__": property(lambda _: model),
        "__reduce__": reduced,
        "__setattr__": object.__setattr__,
        "__doc__": model.__doc__,
    }
    made = type(model.__name__, (model,), own)
    _places[made] = names
    return made
