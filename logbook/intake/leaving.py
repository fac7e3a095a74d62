"""How somebody leaves a run of questions: what was answered stands, and all the rest waits."""

from __future__ import annotations

LATER = "later"
WORDS = (LATER, "q", "quit")
TOLD = f"{LATER} (or q) leaves: what you answered is kept, and all else waits"


def is_later(said: str) -> bool:
    """Whether an answer says that the rest is for another time."""
    return said.strip().casefold() in WORDS
