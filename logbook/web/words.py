"""Every word that pages say of their own accord, one line each, with its values by name: of facts, templates and scripts alike.

What paper says too is a line of paper's catalogue. What a touch says when it is typed back is in `typed_back.py`.
"""

from __future__ import annotations

LANGUAGE = "en"  # of the lines below
WORDS: dict[str, str] = {
    # the title of a tree's page
    "wire": "wire",
    "wire on": "wire on {branches}",
    "range": "to",
    "bites": "{what} bites, take it off",
    "off by": "{what}, off by {day}",
    "overdue": "{what}, off since {day}",
    "stays": "{what}, it stays on",
    "look": "{what}, look at it",
    # drawings, for whoever does not see them
    "year": "The year drawn: {count} rows. The table below it says the same.",
    "drawing": "The tree from its front: {count} branches. The table below it says the same.",
    "chart": "{name}, measured {count} times. The table below it says the same.",
    "wall": "The year of all trees drawn. The lists below say the same.",
    "sideways": "the year drawn, wider than a telephone: it can be moved sideways",
    "picture": "tree {tag}, {day}",
    # the page of a tree
    "more wire": "more wire on {branches}",
    "left": "left this garden in {when}",
    "all trees": "all trees",
    "next": "What comes next",
    "further": "Wire, and what only may be done",
    "care": "Care",
    "leave": "To leave alone, and to look out for",
    "year of": "The year, {span}",
    "head work": "work",
    "head open": "open",
    "head best": "best",
    "before": "until {last}",
    "and on": "{first} – {last} and on",
    "before and on": "all of this year",
    "branches": "Branches",
    "head number": "no.",
    "head clock": "clock",
    "head up": "up",
    "head thick": "thick",
    "head role": "role",
    "wired": "{role}, wired",
    "photographs": "Photographs",
    "measured": "Measured",
    "head day": "day",
    "log": "Log",
    "made": "Made {day}.",
    "made good": "Made {day}, good to {good}.",
    "decides": "The tree in front of you decides.",
    "lead": "The tree's page",
    # what its keeper sees besides
    "keeper": "For its keeper alone",
    "fact meant": "you meant",
    "fact aim": "aim",
    "fact front": "front",
    "file": "The tree's file",
    "alert": "These pages show what the trees are worth and where they stand: they are for the keeper alone.",
    # to tick and to write
    "done": "DONE",
    "looked": "LOOKED, WELL",
    "vigour": "vigour",
    "vigour 1": "failing",
    "vigour 5": "strong",
    "photo": "PHOTO",
    "write": "WRITE A LINE",
    "take back": "TAKE BACK THE LAST",
    "back": "TAKE BACK",
    "a line": "A line, without its day",
    "keep": "KEEP THE LINE",
    "hand in": "Lines to hand in",
    "the day": "The day of all that is ticked and written from here on",
    "lines": "Lines as {command} reads them",
    "save": "SAVE",
    "share": "SHARE",
    "copy": "COPY",
    "again": "BRING BACK WHAT WAS SAVED",
    "no script": "Nothing can be ticked or written here without JavaScript; all else is there.",
    # scripts
    "found": "{count} found",
    "to hand in": "to hand in: {count}",
    "old": "This page was good to {day}: make it anew.",
    "lost": "This browser keeps nothing: save or copy the lines before you leave this page.",
    "kept": "{count} kept in this browser until they are saved or shared.",
    "none kept": "Nothing is kept yet.",
    "noted": "Lines are dated {day}.",
    "taken back": "taken back: {line}",
    "saved as": "saved as {name}",
    "shared": "shared",
    "copied": "copied",
    # the index, the year of all, the one file
    "garden": "Trees of a garden",
    "tree year": "The year of all trees",
    "silent": "Not written of for over a year",
    "all": "All trees",
    "gone": "Left this garden",
    "no bench": "No place on record",
    "find": "Find a tree by number, name or species",
    "number": "Number",
}


def say(line: str, /, **values: object) -> str:
    """One line with its values."""
    return WORDS[line].format(**values)
