"""What another room reads: kept as it stands until the trade's data, which is built on this room, gives it a meaning."""

from __future__ import annotations

from ...diagnostics import Place, Problem
from ...values import dataclass
from ..units import Units
from ..yaml_editor import Value
from ..yaml_reader import Document, Node, Scalar
from ..yaml_reader import Mapping as MappingNode
from ..yaml_reader import Sequence as SequenceNode
from .base import FAILED, Context, Failed, Kind, Schema, Values, WordLists


@dataclass(frozen=True, slots=True)
class AsWritten:
    """A node of a document that was not read yet."""

    node: Node
    document: Document

    @property
    def place(self) -> Place:
        """Where it stands."""
        return self.document.place(self.node)

    def read(self, kind: Kind[Values], words: WordLists) -> tuple[Values | Failed, list[Problem]]:
        """Its keys' values by another room's declaration, and the faults in it; FAILED where it has any."""
        context = Context(self.document, words=words)
        value = kind.read(self.node, context)
        return FAILED if context.problems else value, context.problems


@dataclass(frozen=True, slots=True)
class Later(Kind[AsWritten]):
    """A mapping that `what` stands for: another room's declaration reads it, and gives its schema under that name."""

    what: str

    def read(self, node: Node, context: Context) -> AsWritten | Failed:
        """The mapping as it stands, to be read once its words are known."""
        if not isinstance(node, MappingNode):
            return context.fault(node, f"expected {self.what} as 'key: value' lines")
        return AsWritten(node, context.document)

    def written(self, value: AsWritten, units: Units) -> Value:  # noqa: ARG002
        """The mapping as it stood."""
        return _value(value.node)

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """A reference to a definition that the schema's whole brings."""
        return {"$ref": f"#/$defs/{self.what}"}

    def described(self) -> str:
        """What it is, in a word or two."""
        return self.what


def _value(node: Node) -> Value:
    if isinstance(node, Scalar):
        return "" if node.is_null else node.text
    if isinstance(node, SequenceNode):
        return [_value(item) for item in node.items]
    assert isinstance(node, MappingNode)
    return {key: _value(item) for key, item in node.items.items()}
