"""What is asked of a grower for a record, in words."""

from __future__ import annotations

from collections.abc import Iterable

from .grounds import Ask


def ask_words(ask: Ask, stages: Iterable[str]) -> str:
    """A question for paper."""
    return {
        Ask.TROUBLE: "is the trouble over? write: trouble over, or vigour",
        Ask.STAGE: f"stage? ({', '.join(stages)})",
        Ask.VIGOUR: "vigour? (1 failing, 3 holding, 5 strong)",
        Ask.STILL_STRONG: "three years of building: still strong? rate vigour before the next",
        Ask.POTTING: "last repotted? (a year will do: 2021 repotted)",
    }[ask]
