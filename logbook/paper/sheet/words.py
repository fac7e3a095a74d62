"""Every word that a sheet says of its own accord, front and back: one line each, with its values by name. What growers wrote and what
the works, cautions and reasons say is worded elsewhere.

No line says *now* or *today*: a sheet is made for the day it is printed on, and read for half a year after it.
"""

from __future__ import annotations

WORDS: dict[str, str] = {
    "vigour": "vigour {score} of 5, {month}",
    "vigour aged": "vigour {score}? of 5, {month}",
    "no vigour": "vigour not on record",
    "no stage": "stage not on record",
    "pot": "pot {year} · {litres:.1f} l",
    "pot about": "pot {year} · about {litres:.1f} l",
    "pot of": "pot of {litres:.1f} l",
    "repotted": "repotted {year}",
    "never repotted": "repotting not on record",
    "tray": "{count} in this tray",
    "wire on": "WIRE ON {branches}",
    "wire": "WIRE ON",
    "wire bites": "WIRE BITES {branches}",
    "off by": "OFF BY {day}",
    "off at once": "TAKE IT OFF",
    "overdue": "OVERDUE SINCE {day}",
    "stays on": "STAYS ON, LOOK AT IT",
    "look at it": "LOOK AT IT",
    "no feeding before": "no feeding before {day}",
    "feed gently": "feed at half strength",
    "meant": "You meant ({month}):",
    "nothing needed": "Nothing needed before {day}",
    "nothing else needed": "Nothing else needed before {day}",
    "until": "until {day}",
    "from to": "{first} – {last}",
    "by": "by {day}",
    "since": "overdue since {day}",
    "by its signs": "by its signs",
    "when": "when {sign}",
    "too late": "too late: {sign}",
    "how": "how: {how}",
    "visit": "One visit: {told}",
    "visit about": "{marks} about {day}",
    "refused": "No {works}:",
    "rest ends": "rest ends {told}",
    "to end the rest": "to end the rest: {told}",
    "please note": "Please note: {ask}",
    "care span": "{what} {span}",
    "before nights": "before a night under {young}, in midwinter {mature}",
    "wire off by": "wire off by",
    "care": "Care:",
    "aim": "Aim:",
    "front": "Front: {front}",
    "more in the file": "… more in the file",
    "draw": "draw its branches",
    "measured": "{name} {first} to {last}",
    "of": "of {target}",
    "good to": "good to {day}",
    "printed": "printed {day}",
    "next page": "more on the next page",
    "page of": "page {page} of {pages}",
    "trunk": "trunk",
    "tips": "tips",
    "leaf": "leaf",
    "by branch": "not shown: {branches}",
    "looked": "looked, all well",
    "draft": "DRAFT",
    "draft of": "draft of {day}: has no serial, can't be typed in",
    "day": "day",
    "scores": "1 failing · 5 strong",
    "score": "vigour",
    "told here": "what was done, seen, measured, meant",
}


def say(line: str, /, **values: object) -> str:
    """One line with its values."""
    return WORDS[line].format(**values)
