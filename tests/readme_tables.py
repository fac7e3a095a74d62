"""The README's tables, made from the registers: each stands between its markers, and a test holds it to what is made here.

After a wanted change of a register: `pytest tests/test_readme.py --renew-tables` writes them anew.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache

from logbook.collection.dates import MONTHS
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.announced import fields_said, lines_said, seen_said, work_said
from logbook.intake.grammar.vocabulary import vocabulary

from .bench.year import months

BEGIN, END = "<!-- table: {} -->", "<!-- end of table -->"
MARKED = re.compile(rf"{BEGIN.format('([a-z]+)')}\n(.*?){END}\n", re.DOTALL)


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "".join(f"| {' | '.join(cell.replace('|', '&#124;') for cell in line)} |\n" for line in lines)


def quoted(phrases: Iterable[str]) -> str:
    return ", ".join(f"`{phrase}`" for phrase in phrases)


def notes() -> str:
    said = fields_said(shipped_knowledge())
    return table(("you type", "field", "it says"), [(quoted(f.lines), f.key, f.means) for f in said])


def lines() -> str:
    return table(("a line of a sheet", "it says"), [(quoted([line.said]), line.means) for line in lines_said()])


def works() -> str:
    knowledge = shipped_knowledge()
    words = vocabulary(knowledge)
    rows = [(w.name, quoted(work_said(w, words)), ", ".join(w.details)) for w in knowledge.works.values()]
    return table(("work", "in a note", "with"), rows)


def seen() -> str:
    knowledge = shipped_knowledge()
    rows = [
        (f"{key} {name}", quoted(said))
        for key, kind in (("saw", "sign"), ("trouble", "trouble"))
        for name, said in seen_said(knowledge, kind).items()
    ]  # type: ignore[arg-type]
    return table(("it says", "in a note"), rows)


@cache
def year() -> str:
    """A line a month, with the month of the other half of the earth."""
    told = [
        (
            f"{MONTHS[n]} ({MONTHS[(n + 6) % 12]})",
            f"{month.sides}",
            f"{month.trees}",
            f"{month.lines}",
            f"{month.minutes}",
            ", ".join(month.works),
        )
        for n, month in enumerate(months())
    ]
    return table(
        ("month (south)", "sides to print", "trees worked", "lines to type", "minutes indoors", "mostly"), told
    )


TABLES: Mapping[str, Callable[[], str]] = {"notes": notes, "lines": lines, "works": works, "seen": seen, "year": year}


def renewed(text: str) -> str:
    """The text with every table between markers made anew. Raises KeyError for a name that is none."""
    return MARKED.sub(lambda found: f"{BEGIN.format(found[1])}\n{TABLES[found[1]]()}{END}\n", text)
