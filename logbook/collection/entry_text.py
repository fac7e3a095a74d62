"""A log entry in words: for paper, for the echo of typed notes, and for the terminal."""

from __future__ import annotations

from .dates import When
from .model import Entry
from .units import Units, plain

MEASURES = ("trunk", "height", "crown", "leaf", "tips")


def entry_told(entry: Entry, units: Units) -> str:
    """What an entry says, in one line, without its date."""
    parts = [_work(entry, units), _measured(entry, units)]
    parts += [f"vigour {entry.vigour}"] if entry.vigour is not None else []
    parts += [f"saw {entry.saw}"] if entry.saw else []
    parts += [f"stage {entry.stage}"] if entry.stage else []
    parts += [f"rest {entry.rest}"] if entry.rest else []
    parts += [f"trouble: {entry.trouble}"] if entry.trouble else []
    parts += [f"meant: {intention_told(entry)}"] if entry.intend else []
    parts += [f"done: {entry.did}"] if entry.did else []
    parts += [_found(entry)] if entry.found else []
    parts += [f"weighed {', '.join(f'{k} {plain(v)}' for k, v in entry.weighed.items())}"] if entry.weighed else []
    parts += [f"new: {', '.join(entry.new)}"] if entry.new else []
    parts += [f"merged with {', '.join(entry.merged)}"] if entry.merged else []
    parts += [f"{entry.minutes} min"] if entry.minutes else []
    parts += [entry.note] if entry.note else []
    parts += [f"photo {entry.photo}"] if entry.photo else []
    return "; ".join(part for part in parts if part) or "visited"


def dated(entry: Entry, units: Units) -> str:
    """`14 Oct 2026: wired 1, 2`."""
    return f"{entry.date.told()}: {entry_told(entry, units)}"


def intention_told(entry: Entry) -> str:
    intend = entry.intend
    if intend is None:
        return ""
    return intend.what + (f" by {intend.by.told()}" if intend.by else "")


def wire_told(metal: str, sizes: tuple[float, ...]) -> str:
    """`copper 2.5, 1.6 mm`."""
    size = f"{', '.join(plain(s) for s in sizes)} mm" if sizes else ""
    return " ".join(part for part in (metal, size) if part)


def month_told(when: When) -> str:
    """`Mar 2026`: the month of a day, or the span as it was written."""
    return when.told().split(" ", 1)[1] if when.is_day else when.told()


def _work(entry: Entry, units: Units) -> str:
    if not entry.work:
        return ""
    details = [
        f"branches {', '.join(entry.branches)}" if entry.branches else "",
        wire_told(entry.metal, entry.wire),
        f"roots {entry.roots}" if entry.roots else "",
        entry.force,
        entry.feed,
        f"bite {entry.bite}" if entry.bite else "",
        "stays on" if entry.keep else "",
        _mix(entry),
        _pot(entry, units),
    ]
    return ", ".join([entry.work, *(d for d in details if d)])


def _pot(entry: Entry, units: Units) -> str:
    if entry.pot is None:
        return ""
    sides = " × ".join(units.length_told(side) for side in entry.pot.inner)
    return " ".join(part for part in (entry.pot.shape, "pot", sides) if part)


def _mix(entry: Entry) -> str:
    return "mix " + " ".join(f"{plain(parts)} {name}" for name, parts in entry.mix.items()) if entry.mix else ""


def _measured(entry: Entry, units: Units) -> str:
    told = []
    for name in MEASURES:
        if name in entry.measured:
            value = entry.measured[name]
            told.append(f"{name} {plain(value)}" if name == "tips" else f"{name} {units.length_told(value)}")
    return ", ".join(told)


def _found(entry: Entry) -> str:
    found = entry.found
    assert found is not None
    parts = [
        found.stage,
        f"vigour {found.vigour}" if found.vigour else "",
        f"repotted {found.repotted.told()}" if found.repotted else "",
        f"wired {found.wired.told()}" if found.wired else "",
    ]
    return "record begins: " + (", ".join(p for p in parts if p) or "nothing known")
