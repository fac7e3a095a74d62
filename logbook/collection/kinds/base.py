"""What every kind of value has in common, what reading and hearing need to know, and what a field is."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from enum import Enum
from typing import Any, Final, Generic, Literal, TypeAlias, TypeVar

from ...diagnostics import Problem
from ...values import dataclass
from ..units import METRIC, Units
from ..yaml_editor import Value
from ..yaml_reader import Document, Node, Scalar
from ..yaml_reader import Mapping as MappingNode
from ..yaml_reader import Sequence as SequenceNode

T = TypeVar("T")
WordLists: TypeAlias = Mapping[str, tuple[str, ...]]
Schema: TypeAlias = dict[str, object]
Values: TypeAlias = dict[str, Any]  # what a mapping's keys hold, each checked by its own kind
Given: TypeAlias = Mapping[str, Any]  # the same where it is only looked at
AnyField: TypeAlias = "Field[Any]"  # a record's fields hold different kinds


class Failed(Enum):
    """The answer of a kind that could not read a node, after it said why."""

    FAILED = "failed"

    def __repr__(self) -> str:
        return "FAILED"


FAILED: Final = Failed.FAILED


@dataclass(slots=True)
class Context:
    """What reading one document needs to know, and where its faults go."""

    document: Document
    units: Units = METRIC
    southern: bool = False
    words: WordLists = field(default_factory=dict)
    renamed: Mapping[str, Mapping[str, str]] = field(
        default_factory=dict
    )  # by word list: the name of before, the name now
    species_advice: Callable[[str], Problem | None] = lambda _species: None
    problems: list[Problem] = field(default_factory=list)

    def fault(self, node: Node, message: str, hint: str = "") -> Literal[Failed.FAILED]:
        """Report a fault at a node's place; the answer is FAILED, for the caller to hand on."""
        self.problems.append(Problem(message, self.document.place(node), hint))
        return FAILED


@dataclass(frozen=True, slots=True)
class NoteContext:
    """What hearing a value in a note needs to know: the units meant, the trade's word lists, the hemisphere.

    `had` are the fields that were heard before it in the same breath, in their order; `named` says that its field was named;
    a number before one of `ends` belongs to the field that the word ends.
    """

    units: Units = METRIC
    words: WordLists = field(default_factory=dict)
    southern: bool = False
    had: tuple[str, ...] = ()
    named: bool = False
    ends: frozenset[str] = frozenset()


class Kind(ABC, Generic[T]):
    """One kind of value, and every way it goes: out of a file and into it, onto paper and back out of a note."""

    __slots__ = ()

    @abstractmethod
    def read(self, node: Node, context: Context) -> T | Failed:
        """The value a node of a file holds, or FAILED after reporting why not."""

    @abstractmethod
    def written(self, value: T, units: Units) -> Value:
        """What stands in the file for a value, in the collection's own units."""

    @abstractmethod
    def schema(self, words: WordLists) -> Schema:
        """JSON Schema (draft 2020-12) of the value; it may say less than `read` checks, and refuses nothing that is read."""

    @abstractmethod
    def described(self) -> str:
        """The kind in words, for the docs."""

    def render(self, value: T, units: Units) -> str:
        """The value on paper, without the words of its field."""
        return str(self.written(value, units))

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[T, int] | None:  # noqa: ARG002
        """The value that a note's words begin with, and how many of them it took; None where they begin with none."""
        return None

    def inner(self) -> object:
        """The record that stands inside the value, whatever it is wrapped in; None where there is none."""
        return None

    def begins(self, tokens: Sequence[str]) -> bool:  # noqa: ARG002
        """Whether a note's words name a part of the value, which then is asked about where it is not understood."""
        return False

    def spoken(self) -> tuple[str, ...]:
        """The words that name the value's parts in notes."""
        return ()

    def choices(self, note: NoteContext) -> tuple[str, ...]:  # noqa: ARG002
        """The words that may stand there, where they can be listed."""
        return ()


@dataclass(frozen=True, slots=True)
class Words:
    """How paper says a field, and how a note does.

    `paper` holds `{}` where the value stands; without text paper never says the field. `glue` joins it to what is said
    behind it. In a note a value stands behind one of `starts` (which may be shortened to three letters) or of `exact`,
    before one of `ends`, or by itself where it is `bare`. A `detail` belongs to a work and is said in one breath with
    it; notes may name an `any_work` one behind every work. What is `together` may share a part of a line, what `follows`
    belongs to the part before it. A part that begins like a `quiet` field and is none stays a remark; else it is asked.
    """

    paper: str = ""
    glue: str = ", "
    starts: tuple[str, ...] = ()
    exact: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    bare: bool = False
    detail: bool = False
    any_work: bool = False
    together: bool = False
    follows: bool = False
    quiet: bool = False


UNSAID = Words()


@dataclass(frozen=True, slots=True)
class Field(Generic[T]):
    """A key of a record: its kind, a line for the docs, whether it must stand, its words, and its attribute in the model."""

    key: str
    kind: Kind[T]
    doc: str
    required: bool = False
    words: Words = UNSAID
    attribute: str = ""

    @property
    def name(self) -> str:
        """The model's attribute."""
        return self.attribute or self.key

    def said(self, value: T, units: Units) -> str:
        """The field on paper; an empty string where paper does not say it."""
        paper = self.words.paper
        if not paper:
            return ""
        told = self.kind.render(value, units)
        return told if paper == "{}" else paper.replace("{}", told)


def scalar(node: Node, context: Context, wanted: str) -> str | None:
    """A node's text, or None after saying that something else stands there."""
    if type(node) is Scalar and not node.is_null:
        return node.text
    found = "nothing"
    if type(node) is MappingNode:
        found = "a mapping"
    elif type(node) is SequenceNode:
        found = "a list"
    context.fault(node, f"expected {wanted}, found {found}")
    return None


def bare(token: str) -> str:
    """A typed word without the comma or colon behind it, ignoring case."""
    return token.rstrip(",:").casefold()
