"""What was read of a record, held by as little as it takes: an object has places for what its file said, and its class has the rest.

Most keys of most entries are not given, and a kept tree has many entries: a dictionary for each takes three times the memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from operator import attrgetter
from typing import TypeVar, cast

T = TypeVar("T")
MOST_FORMS, MOST_ORDERS = 400, 4000  # of a model, and of all: objects of rarer forms have a dictionary
_forms: dict[type, dict[frozenset[str], type]] = defaultdict(dict)
_in_order: dict[tuple[type, tuple[str, ...]], type] = {}


def maker(model: type[T]) -> Callable[[Mapping[str, object]], T]:
    """What makes an object of a frozen model whose class has a value for all that is not given. In all that can be asked of it (its class,
    equality, copies) it is as if the model had made it.
    """

    def made(values: Mapping[str, object]) -> T:
        return cast("T", _object(model, tuple(values), values.values()))

    return made


def held(value: object) -> Mapping[str, object]:
    """What an object holds itself, by attribute."""
    kind = type(value)
    if kind is value.__class__:
        return vars(value)
    return {name: getattr(value, name) for name in kind.__slots__}  # type: ignore[attr-defined] # a form has them


def _object(model: type, names: tuple[str, ...], values: Iterable[object]) -> object:
    form = _in_order.get((model, names)) or _form_for(model, names)
    one: object = object.__new__(form)
    put = object.__setattr__ if form is model else setattr
    for name, value in zip(names, values, strict=True):
        put(one, name, value)
    return one


def _form_for(model: type, names: tuple[str, ...]) -> type:
    """The form that these names have in whatever order; the model where there are too many."""
    forms, given = _forms[model], frozenset(names)
    found = forms.get(given)
    if found is None:
        if len(forms) == MOST_FORMS:
            return model
        found = forms[given] = _form(model, names)
    if len(_in_order) < MOST_ORDERS:
        _in_order[model, names] = found
    return found


def _form(model: type, names: tuple[str, ...]) -> type:
    """The model, with places for these attributes alone. That nobody changes them is held by the type checker, as with all values here:
    it takes half the time.
    """
    get = attrgetter(*names, "__class__")  # two at least, so that what is got is a tuple

    def reduced(self: object) -> tuple[object, tuple[object, ...]]:
        return _again, (names, *get(self))

    own = {
        "__slots__": names,
        "__class__": property(lambda _: model),
        "__reduce__": reduced,
        "__setattr__": object.__setattr__,
        "__doc__": model.__doc__,
    }
    return type(model.__name__, (model,), own)


def _again(names: tuple[str, ...], *got: object) -> object:
    """An object as another process had it: its values, and last its model."""
    return _object(cast("type", got[-1]), names, got[:-1])
