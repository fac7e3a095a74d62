"""Who did a work, where more than one hand had a part in it: `m/j`. Pure."""

from __future__ import annotations


def hands_of(by: str) -> tuple[str, ...]:
    """Each hand that an entry names."""
    return tuple(hand for hand in by.split("/") if hand)


def same_hands(one: str, other: str) -> bool:
    """Whether two entries name the same hands, in whichever order."""
    return set(hands_of(one.casefold())) == set(hands_of(other.casefold()))


def with_hands(by: str, more: str) -> str:
    """The hands of both, each once, in the order in which they were told."""
    known = {hand.casefold() for hand in hands_of(by)}
    return "/".join((*hands_of(by), *(hand for hand in hands_of(more) if hand.casefold() not in known)))
