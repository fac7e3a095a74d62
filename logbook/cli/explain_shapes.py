"""The data of `explain --json`."""

from __future__ import annotations

from typing import NotRequired, TypedDict


class KeyData(TypedDict):
    """One key of a file: what may stand there, what for, whether it must, and its words in a note."""

    key: str
    kind: str
    doc: str
    required: bool
    typed: str


class RowData(TypedDict):
    """When a work is done on trees of some groups: its window or the rule that finds it, years between two by age."""

    groups: list[str]
    window: str
    every: dict[str, float]
    least_vigour: int | None
    only_for: list[str]
    sign: str
    too_late: str
    how: str


class WorkData(TypedDict):
    """A work: its words in a note, what it asks of a tree, what it forbids afterwards, and when it is done."""

    name: str
    typed: list[str]
    mark: str
    kind: str
    hard: str
    minutes: int
    forbids: list[str]
    rows: list[RowData]


class ExplainData(TypedDict):
    """What was explained: keys by record, or works."""

    tree: NotRequired[list[KeyData]]
    entry: NotRequired[list[KeyData]]
    branch: NotRequired[list[KeyData]]
    site: NotRequired[list[KeyData]]
    collection: NotRequired[list[KeyData]]
    work: NotRequired[list[KeyData]]
    works: NotRequired[list[WorkData]]
