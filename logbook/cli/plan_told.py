"""What typed lines lead to, a line each, for the eye."""

from __future__ import annotations

import re

from ..collection.dates import read_when
from ..intake import line_status
from ..intake.grammar.readings import Reading
from ..intake.plan_items import Item

_SEASON = re.compile(r"\d{4}-2[1-4]\D?")


def _day(date: str) -> str:
    """A date as the file has it, but for a season, which is told by its name."""
    return read_when(date).told() if _SEASON.fullmatch(date) else date


def item_line(item: Item, where: str = "", *, written: bool = False) -> str:
    """One entry and its fate; `where` names the line or row of one that is asked about or waits. `written`: what was to be written is."""
    day = _day(str(item.entry.get("date", "")))
    head = f"{item.tag} {day}".strip()
    if item.fate == "write":
        said = f"remark: {item.told}" if set(item.entry) <= {"date", "note", "from"} else item.told
        return f"  {'in part' if item.partly else 'written' if written else 'reads':<7}  {head}  {said}"
    if item.fate == "there":
        return f"  {'there':<7}  {head}  {item.told} (already there{': ' + item.why if item.why else ''})"
    mark = "asked" if item.fate == "question" else "waits"
    where = where or f"line {item.reading.number}"
    return f"  {mark:<7}  {where}{' (' + head + ')' if head else ''}: {item.why}"


def typed_told(reading: Reading) -> str:
    """A line as it was typed; the day that it took from the line above stands beside it, not in it."""
    if not reading.typed:
        return reading.text
    day = line_status.day_from_above(reading.typed, reading.text)
    return f"{reading.typed}  ({day})" if day else reading.typed
