"""Monthly means as people paste them, for callers that want two rows of twelve and nothing asked.

The reading itself is `normals_reader`'s; here a question is a refusal.
"""

from __future__ import annotations

import re
from dataclasses import replace

from ..diagnostics import Place, Problem, ProblemsFound
from .normals_reader import HINT, NormalsRead, read_normals_table

Months = tuple[float, ...]
_NUMBER = re.compile(r"(?<![\w.])[-−–]?\d{1,3}(?:[.,]\d+)?(?![\w])")


def read_normals(text: str, shown: str, *, fahrenheit: bool = False) -> tuple[Months, Months]:
    """Twelve mean minimums and twelve mean maximums, January first, in the unit they were written in.

    With `fahrenheit` they are taken for °F and given in °C. Raises ProblemsFound with the row.
    """
    found = read_normals_table(
        text, shown, unit="F" if fahrenheit else "C", answers={"unit": "F"} if fahrenheit else {}
    )
    if found.normals is None or not found.low:
        raise ProblemsFound(_refusal(text, shown, found))
    if fahrenheit:
        return _rounded(found.normals.tmin), _rounded(found.normals.tmax)
    return found.low, found.high


def _refusal(text: str, shown: str, found: NormalsRead) -> list[Problem]:
    """What is wrong, or what would have been asked; and how many rows there are of what was hoped for."""
    counts = [len(_NUMBER.findall(line)) for line in text.splitlines()]
    what = f"found {counts.count(2)} rows of two numbers and {sum(n >= 12 for n in counts)} rows of twelve"
    asked = [Problem(q.question, Place(shown, 1), HINT) for q in found.questions]
    few = [Problem("expected twelve months", Place(shown, 1), HINT)] if found.guessed else []
    return [replace(problem, message=f"{problem.message} ({what})") for problem in (*found.problems, *asked, *few)]


def _rounded(months: Months) -> Months:
    return tuple(round(m, 1) for m in months)
