"""species.csv and names.csv as tables of keys: read at one go, rows left as text until one is asked for."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from pathlib import Path

from ..collection.yaml_reader import file_text
from ..diagnostics import stop
from ..values import dataclass
from .species import COLUMNS
from .species_names import name_key, name_keys

_HERE = Path(__file__).resolve().parent
NAME_COLUMNS = ("word", "kind", "means", "outside", "note")
AGAIN = "install the tool again"


@dataclass(frozen=True, slots=True)
class Word:
    """A row of names.csv: `kind` is genus (a word for all of it), taken (one species) or asked."""

    kind: str
    rows: tuple[int, ...]
    outside: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tables:
    """Rows as text, and the way from keys to their numbers."""

    rows: list[list[str]]
    botanical: dict[str, int]
    common: dict[str, tuple[int, ...]]
    genera: dict[str, tuple[int, ...]]
    words: dict[str, Word]
    defaults: dict[str, tuple[str, str]]
    sold: dict[str, tuple[str, ...]]


def read_tables() -> Tables:
    """Both files, indexed. Raises ProblemsFound where one is not what was shipped."""
    rows = _rows("species.csv", COLUMNS)
    botanical: dict[str, int] = {}
    common: dict[str, tuple[int, ...]] = {}
    genera: dict[str, tuple[int, ...]] = {}
    for name, key, at in _keyed(f"{row[0]};{row[1]}" for row in rows):
        botanical[key] = at
        genus = name.split(" ")[0].casefold()
        if at not in genera.get(genus, ()):
            genera[genus] = (*genera.get(genus, ()), at)
    for _, key, at in _keyed(row[2] for row in rows):
        common[key] = (*common.get(key, ()), at)
    tables = Tables(rows, botanical, common, genera | _in_use(genera, rows), {}, {}, {})
    for line in _rows("names.csv", NAME_COLUMNS):
        _note_word(line, tables)
    return tables


def _keyed(cells: Iterable[str]) -> Iterable[tuple[str, str, int]]:
    """Each name of each cell, its key, and the row it stands in."""
    names = [(name, at) for at, cell in enumerate(cells) for name in cell.split(";") if name]
    keys = name_keys([name for name, _ in names])
    return ((name, key, at) for (name, at), key in zip(names, keys, strict=True))


def _in_use(genera: Mapping[str, tuple[int, ...]], rows: list[list[str]]) -> dict[str, tuple[int, ...]]:
    """A genus that is in use means the species filed under it now, not those that once were."""
    now = [row[0].split(" ")[0].casefold() for row in rows]
    return {genus: tuple(i for i in genera[genus] if now[i] == genus) for genus in dict.fromkeys(now)}


def _note_word(line: list[str], tables: Tables) -> None:
    word, kind, means, outside, note = line
    key = name_key(word)
    if kind == "default":
        tables.defaults[key] = (means, note)
    elif kind == "sold":
        tables.sold[key] = tuple(means.split(";"))
    else:
        found = tuple(i for part in means.split(";") if part for i in _rows_of(part, tables))
        tables.words[key] = Word(kind, found, tuple(outside.split(";")) if outside else ())


def _rows_of(part: str, tables: Tables) -> tuple[int, ...]:
    """The rows of a species, a genus, or a genus' one group: `Rhododendron (early azalea)`."""
    name, _, group = part.partition(" (")
    if name_key(name) in tables.botanical:
        return (tables.botanical[name_key(name)],)
    group_column = COLUMNS.index("group")
    wanted = group.rstrip(")")
    return tuple(i for i in tables.genera[name_key(name)] if not wanted or tables.rows[i][group_column] == wanted)


def _rows(name: str, columns: tuple[str, ...]) -> list[list[str]]:
    """The rows under a table's heading. Raises ProblemsFound where the file is not what was shipped."""
    lines = csv.reader(file_text(_HERE / name, name).splitlines())
    if tuple(next(lines, ())) != columns:
        raise stop(f"{name} is damaged", path=name, hint=AGAIN)
    rows = list(lines)
    if any(len(row) != len(columns) for row in rows):
        raise stop(f"{name} is damaged", path=name, hint=AGAIN)
    return rows
