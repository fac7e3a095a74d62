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

    def dataclass(cls=None, /, *, frozen=False, **given):
        """The library's decorator; a frozen class is one that is compared and hashed by its values."""

        def made(plain):
            return dataclasses.dataclass(plain, unsafe_hash=frozen and "__hash__" not in vars(plain), **given)

        return made if cls is None else made(cls)
