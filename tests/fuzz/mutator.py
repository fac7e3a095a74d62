"""Texts and bytes changed at random, by a seed: what a slip, a broken disk or somebody's spite makes of a sound file."""

from __future__ import annotations

import random
from collections.abc import Sequence

# what breaks readers, each with a reason to be there
TOKENS = (
    "\x00", "\x1b[2J", "\x9b", "\r", "\n", "\t", "\u2028", "\u202e", "\ufeff", "\xa0", "é", "松", "🌲",
    "&a ", "*a", "<<: *a", "!!python/object:os.system ", "---\n", "...\n", "{", "}", "[", "]", ": ", "- ", "? ", "|", ">", "'", '"', "#", "%",
    "-", "0", "-1", "9" * 30, "1e999", ".nan", ".inf", "0x10", "1_000", "2026-02-30", "0000-00-00", "9999-12-31", "00:00", "½", "1,5", "−3",
    "null", "true", "~", "../../x", "/etc/passwd", "C:\\x", "con", "{file}", "{tag}", "<script>", "=1+1", "\\u0000", "\\ud800",
    "sheet 00142-4", "tree 001", "trees 001-003", "?", ";", "V 9", "done", "wired 1 2 copper 2.5", "not ", "14 oct", "31 feb",
)  # fmt: skip


def mutated(seed: str, others: Sequence[str], draw: random.Random) -> str:
    """A text with one to six changes."""
    text = seed
    for _ in range(draw.randint(1, 6)):
        text = _CHANGES[draw.randrange(len(_CHANGES))](text, others, draw)
    return text[:200_000]


def mutated_bytes(seed: bytes, others: Sequence[bytes], draw: random.Random) -> bytes:
    """Bytes with one to six changes."""
    text = mutated(seed.decode("latin-1"), [other.decode("latin-1") for other in others], draw)
    return text.encode("latin-1", "replace")


def _spot(text: str, draw: random.Random) -> tuple[int, int]:
    start = draw.randint(0, len(text))
    return start, min(len(text), start + draw.choice((1, 1, 2, 5, 20, 200)))


def _cut(text: str, _others: Sequence[str], draw: random.Random) -> str:
    start, end = _spot(text, draw)
    return text[:start] + text[end:]


def _twice(text: str, _others: Sequence[str], draw: random.Random) -> str:
    start, end = _spot(text, draw)
    return text[:end] + text[start:end] * draw.choice((1, 1, 2, 30)) + text[end:]


def _put(text: str, _others: Sequence[str], draw: random.Random) -> str:
    start, end = _spot(text, draw)
    return text[:start] + draw.choice(TOKENS) + text[end if draw.random() < 0.5 else start :]


def _other_sign(text: str, _others: Sequence[str], draw: random.Random) -> str:
    start, _ = _spot(text, draw)
    return text[:start] + chr(draw.choice((draw.randrange(32, 127), draw.randrange(256)))) + text[start + 1 :]


def _lines_swapped(text: str, _others: Sequence[str], draw: random.Random) -> str:
    lines = text.splitlines(keepends=True)
    if len(lines) > 1:
        one, other = draw.randrange(len(lines)), draw.randrange(len(lines))
        lines[one], lines[other] = lines[other], lines[one]
    return "".join(lines)


def _of_another(text: str, others: Sequence[str], draw: random.Random) -> str:
    start, end = _spot(text, draw)
    other = draw.choice(others)
    first, last = _spot(other, draw)
    return text[:start] + other[first:last] + text[end:]


def _short(text: str, _others: Sequence[str], draw: random.Random) -> str:
    return text[: draw.randint(0, len(text))] if draw.random() < 0.3 else text


_CHANGES = (_cut, _twice, _put, _put, _other_sign, _lines_swapped, _of_another, _short)
