"""What is left of a clause: a remark by itself, or scraps that say nothing without the words between them."""

from __future__ import annotations

from collections.abc import Sequence

from .words import Token

MOST_WORDS = 2  # that may be scraps; more of them are a remark
Span = tuple[int, int]


def are_scraps(tokens: Sequence[Token], left: Sequence[int], fillers: frozenset[str]) -> bool:
    """Whether the one or two words left of a clause stand apart, or before a noun that was read (`main` of `main branch`)."""
    words = [n for n in left if tokens[n].kind == "word" and tokens[n].low not in fillers]
    if not words or len(words) > MOST_WORDS or any(tokens[n].numeric for n in left):
        return False
    apart = len(words) > 1 and not set(range(words[0], words[-1] + 1)) <= set(left)
    return apart or any(_is_of_the_next(tokens, n, left, fillers) for n in words)


def _is_of_the_next(tokens: Sequence[Token], place: int, left: Sequence[int], fillers: frozenset[str]) -> bool:
    after = place + 1
    if after >= len(tokens) or after in left:
        return False
    follows = tokens[after]
    return follows.kind == "word" and follows.low not in fillers and not follows.low.endswith("ly")


def made_whole(spans: Sequence[Span], clauses: Sequence[Span]) -> list[Span]:
    """Spans with those of one word made their whole clause, where others are kept whole, or of one word, as well."""
    groups: dict[Span, list[Span]] = {}
    for start, end in sorted(set(spans)):
        home = next((c for c in clauses if c[0] <= start and end <= c[1]), (start, end))
        groups.setdefault(home, []).append((start, end))
    alone = [home for home, some in groups.items() if len(some) == 1 and some[0] != home]
    if len(groups) < 2 or not alone:
        return list(spans)
    return [span for home, some in groups.items() for span in ([home] if home in alone else some)]
