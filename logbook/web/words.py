"""Every word that pages say of their own accord, one line each. What jobs, bars and reasons say is worded where paper's words are."""

from __future__ import annotations

WORDS: dict[str, str] = {
    "wire": "wire",
    "wire on": "wire on {branches}",
    "bites": "{what} bites, take it off",
    "off by": "{what}, off by {day}",
    "overdue": "{what}, off since {day}",
    "stays": "{what}, it stays on",
    "look": "{what}, look at it",
    "year": "The year drawn: {count} rows. The table below it says the same.",
    "drawing": "The tree from its front: {count} branches. The table below it says the same.",
    "chart": "{name}, measured {count} times. The table below it says the same.",
    "wall": "The year of all trees drawn. The lists below say the same.",
    "left": "left this garden in {when}",
    "done": "done: {own}",
    "garden": "Trees of a garden",
    "tree year": "The year of all trees",
    "silent": "Not written of for over a year",
    "all": "All trees",
    "gone": "Left this garden",
    "no bench": "No place on record",
}


def say(line: str, /, **values: object) -> str:
    """One line with its values."""
    return WORDS[line].format(**values)
