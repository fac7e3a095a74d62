"""Which species a typed name means: found, careful values of a genus, asked, near, or unknown; never guessed.

Reads species.csv (the facts) and names.csv (words for a whole genus, words to ask about, trade names) on the first
question and not before, since every command makes a register and few ask for more than a dozen names.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from enum import StrEnum
from functools import cached_property

from ..diagnostics import stop
from ..values import dataclass
from .species import Species, own_mark, read_row, strictest
from .species_names import Name, name_key, taken_apart
from .species_tables import AGAIN, Tables, Word, read_tables


class How(StrEnum):
    """By what a name was known."""

    ACCEPTED = "accepted"
    SYNONYM = "synonym"
    COMMON = "common name"
    HYBRID = "hybrid"


Marks = Mapping[str, Mapping[str, float]]
LIKENESS = 0.88  # of two keys, by difflib's ratio: under it a slip of the pen and another plant look alike


@dataclass(frozen=True, slots=True)
class Known:
    """One species. `sold_as` names others that are often sold under the name that was typed."""

    species: Species
    how: How
    sold_as: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Genus:
    """Only the genus is given and all its species keep one calendar: the careful values of `members`."""

    species: Species
    members: tuple[Species, ...]
    warning: str


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """Several plants bear the name. `default` is the usual growth group and `when` its condition, both may be empty;
    `outside` are plants of that name which species.csv does not hold; `why` is the reason to ask, in words."""

    candidates: tuple[Species, ...]
    default: str = ""
    when: str = ""
    outside: tuple[str, ...] = ()
    why: str = "several plants bear that name"


@dataclass(frozen=True, slots=True)
class Near:
    """No such name, but one like it: what stands in the register, with the species each means."""

    candidates: tuple[Species, ...]
    names: tuple[str, ...]
    kin: tuple[Species, ...] = ()


@dataclass(frozen=True, slots=True)
class Unknown:
    """Nothing like it. `kin` are the species of the same genus; `parent` is the part of a hybrid that was not found."""

    kin: tuple[Species, ...] = ()
    parent: str = ""

    @property
    def hint(self) -> str:
        """What may help: how the kin grow, as groups of species.csv; empty where there are none."""
        return ", ".join(dict.fromkeys(s.group for s in self.kin))


Resolved = Known | Genus | Ambiguous | Near | Unknown


class SpeciesRegister:
    """All species the tool knows, and what a name means among them."""

    def __init__(self, group_marks: Callable[[], Marks] = dict) -> None:
        """`group_marks` gives each group's marks in plain °C·d, for hybrids whose parents differ in theirs."""
        self._group_marks = group_marks
        self._made: dict[int, Species] = {}
        self._found: dict[str, Resolved] = {}

    def resolve(self, text: str) -> Resolved:
        """What a name means, near spellings included. Takes some milliseconds where nothing is found."""
        found = self.find(text)
        return self._near(text, found) if isinstance(found, Unknown) and not found.parent else found

    def find(self, text: str) -> Resolved:
        """The same without near spellings (never `Near`); quick, and remembered."""
        if text not in self._found:
            self._found[text] = self._sought(taken_apart(text))
        return self._found[text]

    @property
    def all(self) -> tuple[Species, ...]:
        """Every species, in the order of species.csv."""
        return tuple(self._species(i) for i in range(len(self._tables.rows)))

    @cached_property
    def names(self) -> Mapping[str, tuple[str, ...]]:
        """Each common name's key, and the accepted names of the species that bear it."""
        rows = self._tables.rows
        return {key: tuple(rows[i][0] for i in found) for key, found in self._tables.common.items()}

    def _sought(self, name: Name) -> Resolved:
        if name.parents:
            return self._hybrid(*name.parents)
        tables = self._tables
        for key in (name.whole, name.infraspecific, "" if name.open else name.species):
            if key in tables.botanical:
                at = tables.botanical[key]
                accepted = name_key(tables.rows[at][0]) == key
                return Known(self._species(at), How.ACCEPTED if accepted else How.SYNONYM, tables.sold.get(key, ()))
        found = None if name.open else self._by_common_name(name.whole)
        if found is None and (name.open or name.proper or name.whole == name.genus):
            found = self._by_genus(name.genus)
        return found or self._unknown(name)

    def _by_common_name(self, key: str) -> Resolved | None:
        """A word of names.csv, a unique or an ambiguous common name; None where the key is none, or is a genus too."""
        tables = self._tables
        word = tables.words.get(key)
        if word is not None:
            return self._by_word(word, key)
        rows, genus = tables.common.get(key, ()), tables.genera.get(key, ())
        if len(rows) == 1 and set(genus) <= set(rows):
            return Known(self._species(rows[0]), How.COMMON, tables.sold.get(key, ()))
        if rows and not set(rows) <= set(genus):
            return self._asked((*rows, *genus))
        return None

    def _by_word(self, word: Word, key: str) -> Resolved:
        if word.kind == "taken":
            return Known(self._species(word.rows[0]), How.COMMON)
        if word.kind == "genus":
            return self._as_genus(word.rows)
        return self._asked((*word.rows, *self._tables.common.get(key, ())), word.outside)

    def _by_genus(self, key: str) -> Resolved | None:
        word = self._tables.words.get(key)
        rows = self._tables.genera.get(key) or (word.rows if word and word.kind == "genus" else ())
        return self._as_genus(rows) if rows else None

    def _as_genus(self, rows: tuple[int, ...]) -> Resolved:
        """Careful values where all species keep one calendar, else asked with the usual group offered."""
        members = tuple(self._species(i) for i in rows)
        genus = members[0].name.split(" ")[0]
        if len({s.group for s in members}) == 1:
            warning = f"the species is not given: the careful values of all {genus} hold"
            return Genus(strictest(genus, members, own_mark), members, warning)
        usual, when = self._tables.defaults.get(name_key(genus), ("", ""))
        return Ambiguous(
            members, usual or _most_common(s.group for s in members), when, why="its species keep different calendars"
        )

    def _asked(self, rows: tuple[int, ...], outside: tuple[str, ...] = ()) -> Ambiguous:
        members = tuple(self._species(i) for i in dict.fromkeys(rows))
        groups = {s.group for s in members}
        return Ambiguous(members, groups.pop() if len(groups) == 1 and not outside else "", outside=outside)

    def _hybrid(self, mother: str, father: str) -> Resolved:
        """`Acer palmatum × japonicum`: the stricter parent, column by column; marks are the mean of the two."""
        found = [self.find(parent) for parent in (mother, father)]
        parents = [f.species for f in found if isinstance(f, Known | Genus)]
        if len(parents) < 2:
            lost = mother if not isinstance(found[0], Known | Genus) else father
            kin = tuple(s for f in found for s in possible(f))
            return Unknown(kin, lost)
        if parents[0].group != parents[1].group:
            return Ambiguous(tuple(parents), why="its parents keep different calendars")
        usual = self._group_marks().get(parents[0].group, {})
        differ = any(own_mark(p, "open") is not None for p in parents)
        made = strictest(
            f"{parents[0].name} × {parents[1].name}",
            parents,
            lambda s, mark: own_mark(s, mark) or (usual.get(mark) if differ else None),
        )
        return Known(made, How.HYBRID)

    def _unknown(self, name: Name) -> Unknown:
        kin = tuple(self._species(i) for i in self._tables.genera.get(name.genus, ()))
        return Unknown(kin)

    def _near(self, text: str, found: Unknown) -> Resolved:
        import difflib  # only met when something is already wrong

        tables, key = self._tables, taken_apart(text).whole
        close = difflib.get_close_matches(key, (*tables.botanical, *tables.common), n=3, cutoff=LIKENESS)
        meant = [(n, i) for k in close for n, i in self._names_of(k)]
        unique = {i: n for n, i in reversed(meant)}
        if not unique:
            return found
        species = tuple(self._species(i) for i in reversed(unique))
        return Near(species, tuple(reversed(unique.values())), found.kin)

    def _names_of(self, key: str) -> list[tuple[str, int]]:
        """How the register writes the name of a key, and whose it is."""
        tables = self._tables
        at = [tables.botanical[key]] if key in tables.botanical else list(tables.common[key])
        found = []
        for i in at:
            one = self._species(i)
            names = (one.name, *one.synonyms, *one.common_names)
            found.append((next((n for n in names if name_key(n) == key), one.name), i))
        return found

    def _species(self, at: int) -> Species:
        if at not in self._made:
            try:
                self._made[at] = read_row(self._tables.rows[at])
            except (KeyError, ValueError) as error:
                raise stop(f"row {at + 2} is damaged: {error}", path="species.csv", hint=AGAIN) from None
        return self._made[at]

    @cached_property
    def _tables(self) -> Tables:
        return read_tables()


def possible(found: Resolved) -> tuple[Species, ...]:
    """Every species that a name may stand for, kin of an unknown one included; cautions look at all of them."""
    match found:
        case Known(species=one):
            return (one,)
        case Genus(members=several) | Ambiguous(candidates=several) | Unknown(kin=several):
            return several
        case Near(candidates=near, kin=kin):
            return (*near, *kin)


def _most_common(groups: Iterable[str]) -> str:
    """The group of most species; an empty string where two share the lead."""
    ranked = Counter(groups).most_common(2)
    return ranked[0][0] if len(ranked) == 1 or ranked[0][1] > ranked[1][1] else ""
