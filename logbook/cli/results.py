"""What a command gives back, and the one place that prints it."""

from __future__ import annotations

import os
import shutil
import sys
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from typing import TextIO

from .. import escapes
from ..diagnostics import Problem
from ..values import dataclass

LIKE_FAULTS, MOST_PLACES, MOST_OF_A_FILE = 2, 8, 60
DONE, PROBLEMS, USAGE, QUESTION, FAULT = 0, 1, 2, 3, 70


@dataclass(frozen=True, slots=True)
class Result:
    """Lines for people, data for `--json`, problems for both, and the exit code."""

    code: int = DONE
    lines: tuple[str, ...] = ()
    data: Mapping[str, object] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    closing: str = ""
    fold: bool = False  # whether like faults are told once, with the places of the others


def show(result: Result, *, as_json: bool = False) -> None:
    """Print a result: words to standard output, problems to standard error; with `as_json` everything as data."""
    if as_json:
        data = {**result.data, "problems": [p.as_data() for p in result.problems]}
        _write(sys.stdout, json_text(data, plain=prints_plainly()).splitlines())
        return
    _write(sys.stdout, map(escapes.styled, result.lines))
    show_problems(result.problems, result.closing, fold=result.fold)


def json_text(data: Mapping[str, object], *, plain: bool = False) -> str:
    """Data as JSON text, a key to a line and an item of a list to a line: readable, and quick with thousands of items."""
    rows = [f"  {escapes.json_text(key, plain=plain)}: {_json_value(value, plain)}" for key, value in data.items()]
    return "{\n" + ",\n".join(rows) + "\n}"


class AsJson(list[str]):
    """Items of a list that are JSON text already."""


def prints_plainly() -> bool:
    """Whether standard output shows ASCII alone, so that JSON has to be escaped."""
    return not _speaks_utf8(sys.stdout)


def _json_value(value: object, plain: bool) -> str:
    if not isinstance(value, list | tuple) or not value:
        return escapes.json_text(value, plain=plain)
    items = value if isinstance(value, AsJson) else [escapes.json_text(item, plain=plain) for item in value]
    return "[\n" + ",\n".join(f"    {item}" for item in items) + "\n  ]"


def show_problems(problems: Sequence[Problem], closing: str = "", *, fold: bool = False) -> None:
    """Print problems to standard error, then the closing line where there are any."""
    kept, more = _not_too_many(problems)
    lines = folded(kept) if fold else [p.told() for p in kept]
    _write(sys.stderr, [*lines, *more, *([escapes.line(closing)] if closing and problems else [])])


def _not_too_many(problems: Sequence[Problem]) -> tuple[list[Problem], list[str]]:
    """So many problems of a file as somebody may read, and a line for each file that has more; --json holds them all."""
    of_file: Counter[str] = Counter()
    kept = []
    for problem in problems:
        path = problem.place.path if problem.place else ""
        of_file[path] += 1
        if of_file[path] <= MOST_OF_A_FILE:
            kept.append(problem)
    over = {path: count - MOST_OF_A_FILE for path, count in of_file.items() if count > MOST_OF_A_FILE}
    return kept, [escapes.line(f"{path or 'besides'}: {count:,} more like these") for path, count in over.items()]


def say(*lines: str, stream: TextIO | None = None) -> None:
    """Lines for whoever sits there, beside the result: what is asked about, and what is under way."""
    _write(stream or sys.stderr, map(escapes.styled, lines))


def ask(question: str, *, stream: TextIO | None = None) -> None:
    """A question for whoever sits there; the answer is typed behind it."""
    stream = stream or sys.stderr
    stream.write(_fit(f"{escapes.line(question)} ", stream))
    stream.flush()


def folded(problems: Sequence[Problem]) -> list[str]:
    """Problems in words, in their order; of many that say the same the first one, and the places of the others."""
    alike: dict[tuple[str, str, str], list[Problem]] = {}
    for problem in problems:
        alike.setdefault((problem.severity, problem.message, problem.hint), []).append(problem)
    lines: list[str] = []
    for some in alike.values():
        if len(some) <= LIKE_FAULTS:
            lines += [problem.told() for problem in some]
            continue
        lines.append(some[0].told())
        places = [str(problem.place) for problem in some[1:] if problem.place]
        more = f" and {len(places) - MOST_PLACES} more" if len(places) > MOST_PLACES else ""
        lines.append(f"  the same {len(some) - 1} times more: {', '.join(places[:MOST_PLACES])}{more}")
    return lines


def _speaks_utf8(stream: TextIO) -> bool:
    return "utf" in (getattr(stream, "encoding", None) or "utf-8").casefold()


def _write(stream: TextIO, lines: Iterable[str]) -> None:
    """Print lines even where the terminal can't show a character."""
    stream.write(_fit("".join(line + "\n" for line in lines), stream))
    stream.flush()


def _fit(text: str, stream: TextIO) -> str:
    encoding = getattr(stream, "encoding", None) or "utf-8"
    return text.encode(encoding, "replace").decode(encoding)


def table(rows: Sequence[Sequence[str]], head: Sequence[str]) -> list[str]:
    """Columns aligned by what a terminal shows of them."""
    from ..diagnostics import cells

    widths = [max(cells(row[i]) for row in [head, *rows]) for i in range(len(head))]
    return [
        "  ".join(cell + " " * (w - cells(cell)) for cell, w in zip(row, widths, strict=True)).rstrip()
        for row in [head, *rows]
    ]


def fitted_table(rows: Sequence[Sequence[str]], head: Sequence[str], shrink: int) -> list[str]:
    """A table no wider than the terminal, where there is one: column `shrink` is cut first, as far as names are told apart."""
    from ..diagnostics import cells

    wide = terminal_width()
    if wide is None:
        return table(rows, head)
    widths = [max(cells(row[i]) for row in [head, *rows]) for i in range(len(head))]
    over = sum(widths) + 2 * (len(widths) - 1) - wide
    room = max(LEAST_NAME, widths[shrink] - over)
    return table(
        [[_cut(c, room) if i == shrink and over > 0 else c for i, c in enumerate(row)] for row in rows], head
    )


def _cut(text: str, room: int) -> str:
    from ..diagnostics import cells

    if cells(text) <= room:
        return text
    while text and cells(text) > room - 1:
        text = text[:-1]
    return text.rstrip() + "…"


LEAST_NAME = 12
_STYLES = {"bold": "1", "red": "31"}


def terminal_width() -> int | None:
    """Columns of the terminal that standard output goes to; None where it goes to a file or another program."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None


def painted(text: str, style: str) -> str:
    """Words in bold or in red, where a terminal shows that and nobody asked for none (https://no-color.org)."""
    shows = sys.stdout.isatty() and os.environ.get("TERM", "") != "dumb" and not os.environ.get("NO_COLOR")
    return f"\x1b[{_STYLES[style]}m{text}\x1b[0m" if shows else text
