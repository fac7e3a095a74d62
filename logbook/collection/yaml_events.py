"""The events of YAML text as the parser gives them, in C where the library has it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Protocol, cast

import yaml

Loader: type[yaml.SafeLoader] | type[yaml.CSafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Mark(Protocol):
    """A spot in a text, counted from 0, as the parser gives it."""

    @property
    def line(self) -> int:
        """The line, counted from 0."""

    @property
    def column(self) -> int:
        """Characters before it in its line."""

    @property
    def index(self) -> int:
        """Characters before it in the text."""


class Event(Protocol):
    """One event of the parser, be it in C or not; which of these it has depends on its class."""

    @property
    def start_mark(self) -> Mark:
        """Where its text begins."""

    @property
    def end_mark(self) -> Mark:
        """Where its text ends; for a block collection that may lie behind comments below it."""

    @property
    def value(self) -> str:
        """A scalar's text, unquoted."""

    @property
    def style(self) -> str | None:
        """How a scalar is written: None or empty for plain, else one of ' " | >."""

    @property
    def tag(self) -> str | None:
        """A YAML tag such as `!x`, which no file here needs."""

    @property
    def anchor(self) -> str | None:
        """The name behind `&`, or behind `*` for an alias."""

    @property
    def flow_style(self) -> bool:
        """Whether a collection stands in brackets or braces."""


def events_of(text: str) -> Iterator[Event]:
    """The events up to the end of the text. Raises yaml.YAMLError, on the way too, where it is no YAML."""
    get = cast("Callable[[], Event | None]", Loader(text).get_event)
    return iter(get, None)
