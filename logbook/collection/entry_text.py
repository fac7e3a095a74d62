"""A log entry in words, for paper, for the echo of typed notes and for the terminal: made of what its fields declare."""

from __future__ import annotations

from .dates import When
from .fields import ENTRY, MEASURES, Entry, record_of
from .kinds import said
from .units import Units, plain

__all__ = ["MEASURES", "dated", "month_told", "render_entry", "render_intention", "wire_told"]
SILENT = "visited"


def render_entry(entry: Entry, units: Units) -> str:
    """What an entry says, in one line, without its date: a work with its details first, then one thing after another."""
    record = record_of(entry.__class__)
    parts = record.parts(entry)
    details, told = [], []
    for key, value in parts.items():
        field = record.by_key[key]
        if field.words.detail:
            details.append(field)
        elif words := field.said(value, units):
            told.append(words)
    if details and (breath := said(details, parts, units)):
        told.insert(0, breath)
    return "; ".join(told) or SILENT


def dated(entry: Entry, units: Units) -> str:
    """`14 Oct 2026: wired 1, 2`."""
    return f"{entry.date.told()}: {render_entry(entry, units)}"


def render_intention(entry: Entry) -> str:
    """What an entry means to do, and by when; an empty string where it means nothing."""
    return ENTRY.by_key["intend"].kind.render(entry.intend, Units()) if entry.intend else ""


def wire_told(metal: str, sizes: tuple[float, ...]) -> str:
    """`copper 2.5, 1.6 mm`."""
    size = f"{', '.join(plain(s) for s in sizes)} mm" if sizes else ""
    return " ".join(part for part in (metal, size) if part)


def month_told(when: When) -> str:
    """`Mar 2026`: the month of a day, or the span as it was written."""
    return when.told().split(" ", 1)[1] if when.is_day else when.told()
