"""Pests and diseases to look for, by growth group or genus and by time of year; read from pests.yaml, which names no remedy."""

from __future__ import annotations

from collections.abc import Mapping

from ..collection.kinds import Field, Flag, Given, Number, Record, Table, Text
from ..values import dataclass
from .window_syntax import Window
from .work_fields import WindowText, all_of, words


@dataclass(frozen=True, slots=True)
class Pest:
    """What is seen (`sign`), where to look, and when: in a window of marks, while the mean daily maximum is at least
    `heat` (°C), or with neither as long as the tree grows; `wet` where it comes only after wet weather; `passes_to` names the same one on the other plants it lives on."""

    name: str
    groups: frozenset[str]
    genera: frozenset[str]
    sign: str
    look: str
    window: Window | None = None
    heat: float | None = None
    wet: bool = False
    passes_to: str = ""

    def is_on(self, group: str, genus: str) -> bool:
        """Whether trees of this group or genus (lower case) get it."""
        return group in self.groups or genus in self.genera


PESTS_FILE = Record(
    "pests.yaml",
    (
        Field(
            "pests",
            Table(
                Record(
                    "a pest",
                    (
                        Field("groups", words("groups or sets"), "for whom", True),
                        Field("genera", words("genera"), "and for these genera"),
                        Field("window", WindowText("a window"), "opens / best / closes"),
                        Field("heat", Number("a mean daily maximum", 10, 45), "°C"),
                        Field("wet", Flag(), "only after wet weather"),
                        Field("passes_to", Text(), "the same one on its other plants"),
                        Field("sign", Text(), "what is seen", True),
                        Field("look", Text(), "where to look", True),
                    ),
                ),
                "pests",
            ),
            "pests",
            True,
        ),
    ),
)


def pest_of(name: str, values: Given, sets: Mapping[str, frozenset[str]]) -> Pest:
    """The record of a pest out of its keys; sets of groups become the groups themselves."""
    plain = {key: values[key] for key in ("sign", "look", "window", "heat", "wet", "passes_to") if key in values}
    return Pest(name, all_of(values["groups"], sets), frozenset(values.get("genera", ())), **plain)
