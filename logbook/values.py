"""`dataclass` as the standard library has it, but that what is frozen is held so by the type checker alone.

Plans and pages are made of a great many small values. Without a guard at run time each is made in half the time, and
each class with less code; the types still say that nobody changes them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    import dataclasses
    from operator import attrgetter
    from reprlib import recursive_repr

    def dataclass(cls=None, /, *, frozen=False, eq=True, repr=True, **given):
        """The library's decorator; a frozen class is one that is compared and hashed by its values."""

        def made(plain):
            own = vars(plain)
            of = dataclasses.dataclass(plain, eq=False, repr=False, **given)
            if repr and "__repr__" not in own:
                of.__repr__ = _told([f.name for f in dataclasses.fields(of) if f.repr])
            if eq and "__eq__" not in own:
                of.__eq__, of.__hash__ = _compared(of, frozen, own.get("__hash__"))
            return of

        return made if cls is None else made(cls)

    def _told(names):
        """A `__repr__` as the library writes it, without code made for each class."""

        @recursive_repr()
        def told(self):
            values = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
            return f"{type(self).__qualname__}({values})"

        return told

    def _compared(of, frozen, own_hash):
        """`__eq__` and `__hash__` by the fields that are compared; what is not frozen has no hash."""
        values = _getter(f.name for f in dataclasses.fields(of) if f.compare)
        hashed = _getter(f.name for f in dataclasses.fields(of) if (f.compare if f.hash is None else f.hash))

        def same(self, other):
            return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

        return same, own_hash or ((lambda self: hash(hashed(self))) if frozen else None)

    def _getter(names):
        """What reads these attributes, all at once."""
        named = tuple(names)
        return attrgetter(*named) if named else lambda _: ()
