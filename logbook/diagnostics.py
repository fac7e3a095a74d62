"""What is wrong, where, and what to do about it.

The only module that turns a problem into words on a screen. It knows nothing of trees, files on disk or
commands: a `Place` carries the line it points at, so that a problem can be told long after the file was read.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple

from . import escapes
from .values import dataclass

Severity = Literal["error", "warning"]
LONGEST = 600  # characters of a message


class Place(NamedTuple):
    """A spot in a text file. Lines and columns count from 1; `width` is in characters, 0 to the end of the line."""

    path: str
    line: int = 0
    column: int = 0
    width: int = 1
    source: str = ""

    def __str__(self) -> str:
        if not self.line:
            return self.path
        return f"{self.path}:{self.line}" + (f":{self.column}" if self.column else "")


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault: what was found (lower case, no blame), where, and a hint that says what to do."""

    message: str
    place: Place | None = None
    hint: str = ""
    severity: Severity = "error"

    def one_line(self) -> str:
        """`file:line:column: error: message` without excerpt or hint."""
        head = f"{self.place}: " if self.place else ""
        return escapes.line(f"{head}{self.severity}: {self.message}", LONGEST)

    def told(self) -> str:
        """The long form: the line itself, a row of carets and the hint."""
        rows = [self.one_line()]
        if self.place and self.place.line and self.place.source:
            rows += _excerpt(self.place)
        if self.hint:
            rows.append(escapes.line(f"  hint: {self.hint}", LONGEST))
        return "\n".join(rows)

    def as_data(self) -> dict[str, object]:
        """The same facts for `--json`."""
        data: dict[str, object] = {"severity": self.severity, "message": self.message}
        if self.place:
            data["file"] = self.place.path
            if self.place.line:
                data["line"] = self.place.line
                data["column"] = self.place.column
        if self.hint:
            data["hint"] = self.hint
        return data


class ProblemsFound(Exception):  # noqa: N818 - it carries findings; it is not itself an error to report
    """Raised where work cannot go on; carries every problem found so far."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("; ".join(p.one_line() for p in problems))
        self.problems = tuple(problems)


def stop(message: str, *, path: str = "", hint: str = "") -> ProblemsFound:
    """A one-problem exception about a whole file or folder."""
    return ProblemsFound([Problem(message, Place(path) if path else None, hint)])


def errors_in(problems: Iterable[Problem]) -> list[Problem]:
    """Those that are no mere warnings."""
    return [p for p in problems if p.severity == "error"]


def tally(problems: Sequence[Problem], files: int, ending: str = "") -> str:
    """`2 errors and 1 warning in 2 of 42 files; nothing was written`."""
    errors = len(errors_in(problems))
    warnings = len(problems) - errors
    touched = len({p.place.path for p in problems if p.place})
    parts = [counted(n, word) for n, word in ((errors, "error"), (warnings, "warning")) if n]
    where = f" in {touched} of {counted(max(files, touched), 'file')}" if touched else ""
    return " and ".join(parts or ["no problems"]) + where + (f"; {ending}" if ending else "")


def counted(number: int, word: str, plural: str = "") -> str:
    """`1 file`, `2 files`."""
    return f"{number} {word if number == 1 else plural or word + 's'}"


def listed(words: Sequence[str], joiner: str = "or") -> str:
    """`a`, `a or b`, `a, b or c`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joiner} {words[-1]}"


def nearest(word: str, known: Iterable[str], likeness: float = 0.7) -> str:
    """The known word closest to `word`, or an empty string when none is near."""
    import difflib  # only met when something is already wrong

    folded = {k.casefold(): k for k in known}
    close = difflib.get_close_matches(word.casefold(), folded, n=1, cutoff=likeness)
    return folded[close[0]] if close else ""


def _excerpt(place: Place) -> list[str]:
    number = str(place.line).rjust(5)
    source, column = _cut_about(place)
    pointed = source[column - 1 : column - 1 + max(place.width, 1)] or " "
    lead = "".join(c if c == "\t" else " " * cells(c) for c in source[: column - 1])
    carets = "^" * max(1, cells(pointed))
    return [f"{number} | {source}", f"      | {lead}{carets}"]


def _cut_about(place: Place) -> tuple[str, int]:
    """A line as it can be shown, no longer than can be read, and the column of the place in it."""
    wide, source = escapes.LONGEST_EXCERPT, place.source
    first = max(0, place.column - 1 - wide // 2) if len(source) > wide else 0
    cut = escapes.excerpt(source[first : first + wide])
    ending = "…" if first + wide < len(source) else ""
    return ("…" if first else "") + cut + ending, place.column - first + bool(first)


def cells(text: str) -> int:
    """Terminal cells a text takes: wide East Asian characters two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)
