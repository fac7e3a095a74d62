"""What is asked and what is wrong while a table is read: each question once, each row that waits for it, each fault at its cell."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from ...diagnostics import Place, Problem
from ..loose_table import Asked
from ..species_answer import SpeciesAnswer
from ..units import Units
from ..yaml_editor import Value
from .grid import GridRow


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


@dataclass(slots=True)
class Asker:
    """The questions, the rows that wait (by the fields of their questions) and the faults, as they come."""

    shown: str
    asking: Asking
    questions: dict[str, Asked] = field(default_factory=dict)
    doubtful: dict[int, list[str]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    names: dict[str, None] = field(default_factory=dict)  # of species, as given, each once

    def answered(self, name: str) -> str:
        """What was answered to a question, in its own words; empty where nothing was."""
        return self.asking.answers.get(name, "")

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
