"""What a basis in species.csv stands for, told in words a page can print."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ..values import dataclass

# `LS94`, `MEM(H76)`, `HF3 (1 year)`, `NCX; HTA`: a key, and what narrows it.
_BASIS = re.compile(r"(?P<key>\w+)(?:\((?P<of>\w+)\))?(?: \((?P<note>[^)]*)\))?")
_NO_SOURCE: Mapping[str, str] = {"CP": "common practice, no source", "MEM": "from memory"}


@dataclass(frozen=True, slots=True)
class Source:
    """A source: its citation, how much of it was read, what was taken and how sure it is."""

    key: str
    citation: str
    read: str
    use: str


def basis_keys(basis: str) -> tuple[str, ...]:
    """The keys in a basis cell: sources, CP or MEM. Raises ValueError for a cell of another form."""
    found: list[str] = []
    for part in basis.split("; ") if basis else []:
        match = _BASIS.fullmatch(part)
        if match is None:
            raise ValueError(f"'{part}' is no basis")
        found += [key for key in (match["key"], match["of"]) if key]
    return tuple(found)


def basis_told(basis: str, sources: Mapping[str, Source]) -> str:
    """`common practice, no source`, a citation, or a citation `as remembered`; several are joined by semicolons."""
    told = []
    for part in basis.split("; ") if basis else []:
        match = _BASIS.fullmatch(part)
        if match is None:
            raise ValueError(f"'{part}' is no basis")
        key = match["of"] or match["key"]
        words = _NO_SOURCE.get(key) or sources[key].citation
        told.append(
            words + (", as remembered" if match["of"] else "") + (f", {match['note']}" if match["note"] else "")
        )
    return "; ".join(told)
