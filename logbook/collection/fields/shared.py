"""Kinds that several records share: tags, branch numbers, lengths, vigour, works and stages by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..kinds import LENGTH, TEMPERATURE, AnyField, Number, Pattern, Record, Whole, Word

RESERVED = r"(?!(?:[Cc][Oo][Nn]|[Pp][Rr][Nn]|[Aa][Uu][Xx]|[Nn][Uu][Ll]|(?:[Cc][Oo][Mm]|[Ll][Pp][Tt])\d)(?:\.|$))"
TAG_FORM = RESERVED + r"[^\s/\\:;,#?*\"'“”‘’<>|.\x00-\x1f][^\s/\\:;,#?*\"'“”‘’<>|\x00-\x1f]{0,15}"


def length_of(what: str, low_mm: float = 0.1, high_mm: float = 20_000) -> Number:
    """A length within limits, mm."""
    return Number(what, low_mm, high_mm, quantity=LENGTH, unit=" mm")


def temperature(what: str) -> Number:
    """A temperature, °C."""
    return Number(what, -60, 55, quantity=TEMPERATURE, unit=" °C")


def numbers(what: str, fields: Sequence[AnyField]) -> Record[Mapping[str, float]]:
    """A record that stays a mapping of numbers."""
    return Record(what, fields, lambda values, _context, _node: values, lambda values: values)


TAG = Pattern(
    "a tag",
    TAG_FORM,
    "1 to 16 letters and digits, no spaces or slashes, and not con, nul or the like; quote it if it begins with 0",
    heard=r"(?=[^\s]*\d)" + TAG_FORM,  # in a note a word is no tag unless it holds a digit
)
BRANCH_ID = Pattern(
    "a branch number",
    r"[A-Za-z]{0,2}\d{0,3}[a-z]?",
    "a number or a letter and a number: 1, S1",
    heard=r"[A-Za-z]{0,2}\d{1,3}[a-z]?",
)
VIGOUR = Whole("vigour", 1, 5)
STAGE = Word("a stage", named="stages")
COUNT = Whole("a count", 1, 100_000)
WORK = Word("a work", named="works")
GROUP = Word("a growth group", named="groups")
