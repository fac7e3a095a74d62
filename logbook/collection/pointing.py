"""The lines that problems point at, where only their number was kept: read again when there is something to tell.

A log's entries keep where they stand and not the line itself, which would be each file a second time in memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from ..diagnostics import Place, Problem, ProblemsFound
from .tree_folder import TREES_FOLDER
from .yaml_hints import yaml_lines
from .yaml_reader import file_text

TextOf = Callable[[str], str]  # a file's text by the path that is shown


def pointed_out(text_of: TextOf, problems: Iterable[Problem]) -> list[Problem]:
    """The problems of trees' files with the lines they point at; as they are where a file can't be had any more."""
    files: dict[str, list[str]] = {}
    return [_with_line(text_of, problem, files) for problem in problems]


def on_disk(folder: Path) -> TextOf:
    """The files of a collection as they stand."""
    return lambda shown: file_text(folder / shown, shown)


def _with_line(text_of: TextOf, problem: Problem, files: dict[str, list[str]]) -> Problem:
    place = problem.place
    if place is None or not place.line or place.source or not place.path.startswith(TREES_FOLDER):
        return problem
    lines = files.get(place.path)
    if lines is None:
        lines = files[place.path] = _lines_of(text_of, place.path)
    if place.line > len(lines):
        return problem
    return Problem(problem.message, _on(place, lines[place.line - 1]), problem.hint, problem.severity)


def _lines_of(text_of: TextOf, shown: str) -> list[str]:
    try:
        return yaml_lines(text_of(shown))
    except ProblemsFound:
        return []


def _on(place: Place, line: str) -> Place:
    """A place with its line; what goes on behind it is pointed at to the line's end, or to its own where it stands in braces."""
    return place._replace(source=line, width=place.width or _width(line[place.column - 1 :].rstrip()))


def _width(rest: str) -> int:
    """How much of the rest of a line one entry takes."""
    depth, quote = 0, ""
    for n, sign in enumerate(rest if rest.startswith("{") else ""):
        if quote or sign in "\"'":
            quote = "" if sign == quote else quote or sign
        else:
            depth += (sign == "{") - (sign == "}")
        if not depth and not quote:
            return n + 1
    return max(1, len(rest))
