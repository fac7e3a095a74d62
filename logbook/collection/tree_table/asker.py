"""What is asked and what is wrong while a table is read: each question once, each row that waits for it, each fault at its cell."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field

from ...diagnostics import Place, Problem
from ...values import dataclass
from ..loose_table import Asked
from ..species_answer import SpeciesAnswer
from ..units import Units
from ..yaml_editor import Value
from .grid import GridRow

COLUMN = "column "


@dataclass(frozen=True, slots=True)
class Asking:
    """What a table is read with. `answers` by the field of a question; `free_tags`: tags that no tree had yet, without end."""

    units: Units
    stages: tuple[str, ...]
    species: Callable[[str], SpeciesAnswer]
    free_tags: Callable[[Sequence[str]], Callable[[], str]]
    order: str = ""
    southern: bool = False
    answers: Mapping[str, str] = field(default_factory=dict)
    pot: Callable[[str], Mapping[str, Value] | None] = lambda _: None

    @property
    def columns_said(self) -> dict[str, str]:
        """What the grower says that a column holds: `column how tall=height`."""
        said = ((name.removeprefix(COLUMN), key) for name, key in self.answers.items() if name.startswith(COLUMN))
        return {head.casefold(): key for head, key in said}


@dataclass(slots=True)
class Asker:
    """The questions, the rows that wait (by the fields of their questions) and the faults, as they come."""

    shown: str
    asking: Asking
    questions: dict[str, Asked] = field(default_factory=dict)
    doubtful: dict[int, list[str]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    names: dict[str, None] = field(default_factory=dict)  # of species, as given, each once
    told: dict[str, str] = field(default_factory=dict)  # words of the grower's, and what they were taken for
    faulty: set[int] = field(default_factory=set)
    used: set[str] = field(default_factory=set)

    def answered(self, name: str) -> str:
        """What was answered to a question, in its own words; empty where nothing was."""
        self.used.add(name)
        return self.asking.answers.get(name, "")

    def unasked(self) -> tuple[str, ...]:
        """Answers to what nobody asked."""
        rest = [name for name in self.asking.answers if name not in self.used and name != "columns"]
        return tuple(name for name in rest if not name.startswith(COLUMN))

    def ask(self, name: str, question: str, choices: Sequence[str], row: int, cell: str = "") -> None:
        """Ask once; the row, by its line in the file, waits."""
        self.questions.setdefault(name, Asked(name, question, tuple(choices), row, cell))
        self.doubtful.setdefault(row, []).append(name)

    def fault(self, message: str, hint: str, place: Place) -> None:
        """What can't be read, at its cell."""
        self.problems.append(Problem(message, place, hint))

    def whole(self, row: GridRow) -> Place:
        """A row of the file."""
        return Place(self.shown, row.number, 1, max(1, len(row.source)), row.source)
