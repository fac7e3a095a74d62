"""The band of a mark in words, as it stands behind its day."""

from __future__ import annotations

from datetime import date

from ..season.mark import Mark


def band_told(mark: Mark, unit: str = " days") -> str:
    """A mark's band as it stands behind its day: `± 11 days`, or the two ends of one that is not even; empty where it has none."""
    if not mark.is_even:
        return f" ({uneven_told(mark.early, mark.late)})"
    return f" ± {mark.band}{unit}" if mark.band else ""


def uneven_told(early: date | None, late: date | None) -> str:
    """The two ends of a band, four years in five; an end that does not come in every year reads so."""
    if early is None:
        return f"or none, to {_day(late)}" if late else "or none"
    return f"from {_day(early)} to {_day(late)}" if late else f"from {_day(early)}, or none"


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"
