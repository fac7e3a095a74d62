"""A typed line taken apart: words, numbers and marks with their places, terms of several words found first; clauses."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from ...values import dataclass
from .listed import listed
from .vocabulary import OWN, Vocabulary, folded

_NUMBER = r"\d+(?:[.,]\d+)?"
_NAMED_ID = r"(?:branch|br|nr|no)(?=\d{1,3}(?!\w))"  # br4
_KINDS = (
    ("word", _NAMED_ID),
    ("size", r"(?:\d+(?:[.,]\d+)?|\.\d+)\s?mm(?!\w)|\d{1,2}\s?(?:ga|gauge|awg)(?!\w)"),
    ("dims", rf"{_NUMBER}(?:\s?(?:mm|cm|in|\"))?(?:\s?[x×*]\s?{_NUMBER}(?:\s?(?:mm|cm|in|inches|\"))?){{1,2}}(?!\w)"),
    ("time", rf"\d{{1,2}}\s?h\s?\d{{1,2}}(?!\w)|{_NUMBER}\s?(?:minutes|minute|mins|min|hours|hour|hrs|hr|h)(?!\w)"),
    ("length", r"(?:\d+[\s-])?\d+/\d+\s?(?:inches|inch|in|\")(?!\w)|\d+\s\d+/\d+(?!\w)"),
    ("npk", r"\d{1,2}(?:\.\d)?-\d{1,2}(?:\.\d)?-\d{1,2}(?:\.\d)?(?![\w-])"),
    ("ratio", r"\d+(?::\d+)+(?!\w)|\d+(?:/\d+){1,4}(?!\w)"),
    ("percent", rf"{_NUMBER}\s?%"),
    ("range", r"#?[A-Za-z]?\d{1,3}[-–]#?\d{1,3}(?![\w-])"),
    ("length", rf"{_NUMBER}(?:\s?(?:cm|m|inches|inch)|in|\s?\"|\s?ft)(?!\w)"),
    ("quantity", rf"{_NUMBER}\s?(?:kg|g|ml|ltr|litres|litre|l|tbsp|tsp|oz|lb|lbs|gal|ppm)(?!\w)"),
    ("id", r"#\s?[A-Za-z]{0,2}\d{1,3}[a-z]?(?!\w)|[A-Za-z]{1,2}\d{1,3}[a-z]?(?!\w)"),
    ("ordinal", r"\d+(?:st|nd|rd|th)(?!\w)"),
    ("number", r"\d+(?:[.,]\d+)*(?!\w)"),
    ("id", r"\d{1,3}[a-z](?!\w)"),
    ("initials", r"(?:[A-Za-z]\.){2,}[A-Za-z]?(?!\w)"),
    ("word", r"[^\W\d_]+(?:['’‘\-][^\W\d_]+)*(?:['’](?!\w))?"),
    ("mark", r"\S"),
)
_TOKEN = re.compile("|".join(f"(?P<{kind}{n}>{pattern})" for n, (kind, pattern) in enumerate(_KINDS)), re.IGNORECASE)
STOPS, BREAKS = frozenset(".!?;"), frozenset(",()–—&+:/-")
_JOINERS = frozenset(("and", "then", "but", "so", "also", "plus", "n"))
_LISTED = frozenset(("number", "id", "range"))


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of a line: its text and place, its folded form, and the classes it may say. `plan`: as a bare verb only."""

    text: str
    low: str
    start: int
    end: int
    kind: str
    classes: frozenset[str] = frozenset()
    plan: frozenset[str] = frozenset()
    inert: bool = False

    @property
    def numeric(self) -> bool:
        """Whether it holds a number."""
        return self.kind not in ("word", "mark")


@dataclass(frozen=True, slots=True)
class Clause:
    """Tokens that belong together. `strong`: a full stop or a semicolon stands before it; `mark` ends it, as `?`."""

    tokens: tuple[Token, ...]
    strong: bool = False
    asked: bool = False
    joined: str = ""
    stop: int = 0

    @property
    def start(self) -> int:
        """Where it begins in the line."""
        return self.tokens[0].start

    @property
    def end(self) -> int:
        """Where it ends in the line, that place not counted."""
        return self.stop or self.tokens[-1].end

    def said(self, skip: frozenset[int] = frozenset()) -> str:
        """Its words in lower case, without those of some places."""
        return " ".join(t.low for n, t in enumerate(self.tokens) if n not in skip and t.kind != "mark" and t.low)


def tokens_of(line: str, words: Vocabulary) -> list[Token]:
    """The tokens of a line that was folded (`plain_line`), terms found."""
    raw: list[Token] = []
    for found in _TOKEN.finditer(line):
        kind = (found.lastgroup or "").rstrip("0123456789")
        if kind == "initials":
            low = found[0].casefold().replace(".", "")
            raw.append(Token(found[0], low, found.start(), found.end(), "word", words.of_word(low)))
        elif kind == "word":
            raw += _words(found[0], found.start(), words)
        else:
            raw.append(Token(found[0], found[0].casefold().replace(" ", ""), found.start(), found.end(), kind))
    return _with_terms(raw, line, words)


def _words(text: str, start: int, words: Vocabulary) -> list[Token]:
    """A word; one with a hyphen that is no prefix's is two."""
    low = folded(text)
    if "-" in low and low not in words.classes:
        made, at = [], start
        for piece in text.split("-"):
            made += _words(piece, at, words) if piece else []
            at += len(piece) + 1
        return made
    return [Token(text, low, start, start + len(text), "word", words.of_word(low), words.plans.get(low, frozenset()))]


def _with_terms(raw: Sequence[Token], line: str, words: Vocabulary) -> list[Token]:
    made: list[Token] = []
    index = 0
    while index < len(raw):
        taken = _term_at(raw, index, words)
        if raw[index].low in ("instead", "rather") and index + 2 < len(raw) and raw[index + 1].low in ("of", "than"):
            first, last = raw[index], raw[index + 2]
            made.append(Token(line[first.start : last.end], "", first.start, last.end, "word", inert=True))
            index += 3
        elif taken:
            first, last = raw[index], raw[index + taken - 1]
            key = tuple(t.low for t in raw[index : index + taken])
            named = words.terms[key]
            own = any(name.startswith(OWN) for name in named)  # what it is called denies and plans nothing
            whole = Token(
                line[first.start : last.end], ("_" if own else " ").join(key), first.start, last.end, "word", named
            )
            made.append(replace(whole, inert=not named))
            index += taken
        else:
            made.append(raw[index])
            index += 1
    return made


def _term_at(raw: Sequence[Token], index: int, words: Vocabulary) -> int:
    for count in range(min(words.longest, len(raw) - index), 0, -1):
        span = raw[index : index + count]
        if tuple(t.low for t in span) in words.terms and not any(t.kind == "mark" for t in span):
            return count
    return 0


def clauses_of(line: str, words: Vocabulary) -> list[Clause]:
    """A line's clauses, in order; marks and joining words between them are left out."""
    tokens = tokens_of(line, words)
    made: list[Clause] = []
    part: list[Token] = []
    strong, joined = False, ""
    for index, token in enumerate(tokens):
        if not _parts(tokens, index, part, words):
            part.append(token)
            continue
        if part:
            made.append(Clause(tuple(part), strong, token.text == "?", joined, token.end if token.text == "?" else 0))
            strong, joined = False, ""
        strong = strong or token.text in STOPS
        joined = token.low if token.kind == "word" else joined
        part = []
    if part:
        made.append(Clause(tuple(part), strong, False, joined))
    return made


def _parts(tokens: Sequence[Token], index: int, part: Sequence[Token], words: Vocabulary) -> bool:
    """Whether a token ends a clause: not inside lists, and not behind the word that a number is for."""
    token = tokens[index]
    before = tokens[index - 1] if index else None
    after = tokens[index + 1] if index + 1 < len(tokens) else None
    if token.kind == "word":
        return token.low in _JOINERS and not _in_list(tokens, index, words) and bool(after or part)
    if token.kind != "mark" or token.text not in STOPS | BREAKS:
        return False
    if token.text == ".":
        return not _abbreviates(token, before, after)
    if token.text == ":":
        named = before is not None and before.low in words.measures and after is not None and after.numeric
        return not (named or (len(part) == 1 and after is not None and before is not None))
    if token.text == "-":
        return after is None or before is None or token.start > before.end or token.end < after.start
    return not _in_list(tokens, index, words)


def _abbreviates(stop: Token, before: Token | None, after: Token | None) -> bool:
    """`vig. 4`, `no. 4`, `br. 2`, `R.I.P.`: a stop that ends no sentence."""
    if before is None or before.kind != "word" or after is None:
        return False
    short = before.low in (
        "vig",
        "no",
        "nos",
        "br",
        "brs",
        "ht",
        "hgt",
        "approx",
        "ca",
        "dia",
        "cu",
        "al",
        "alu",
        "min",
    )
    return before.end == stop.start and short and after.numeric


def _in_list(tokens: Sequence[Token], index: int, words: Vocabulary) -> bool:
    """Whether a comma or an `and` stands between two branches, or two sizes."""
    if not index or index + 1 >= len(tokens):
        return False
    if _in_mix(tokens, index, words):
        return True
    at = next((n for n in range(index + 1, len(tokens)) if tokens[n].low not in ("and", "&", "+", ",")), None)
    if at is None:
        return False
    before = tokens[index - 2 if tokens[index - 1].kind == "mark" and index >= 2 else index - 1]
    if tokens[at].low in ("no", "nos", "br", "branch") and at + 1 < len(tokens):
        at += 1
    return _are_sizes(before, tokens[at]) or _are_branches(before, tokens, at, words)


def _are_sizes(before: Token, after: Token) -> bool:
    if before.kind == after.kind:
        return before.kind == "size" or (before.kind == "number" and "." in before.text)
    return {before.kind, after.kind} == {"size", "number"} and "." in before.text and "." in after.text


def _are_branches(before: Token, tokens: Sequence[Token], at: int, words: Vocabulary) -> bool:
    after = tokens[at]
    both = before.kind in _LISTED and after.kind in _LISTED
    return both and "." not in after.text and may_be_branch(tokens, at, words)


def _in_mix(tokens: Sequence[Token], index: int, words: Vocabulary) -> bool:
    """Whether a mark stands between what a soil is mixed of."""
    near = [t for t in tokens[index + 1 : index + 4] if t.kind != "mark"][:2]
    follows = bool(near) and (near[0].low in words.materials or (near[0].numeric and near[-1].low in words.materials))
    return tokens[index - 1].low in words.materials and follows


def may_be_branch(tokens: Sequence[Token], index: int, words: Vocabulary) -> bool:
    """The number rule, as far as the words around tell: no noun or unit behind it, no at, to, for, above before it."""
    token = tokens[index]
    if token.kind not in _LISTED or "." in token.text or _led_elsewhere(tokens, index, words):
        return False
    after = tokens[index + 1] if index + 1 < len(tokens) else None
    if after is None or after.kind != "word" or _is_named_so(tokens, index):
        return True
    verb = after.classes & _VERBS or (after.plan & _VERBS and after.low not in ("wire", "pot", "layer", "graft"))
    keeps = after.low == "keep" and index + 2 == len(tokens)
    return keeps or after.low in words.after_ids or bool(verb) or after.low.endswith("ly")


def _led_elsewhere(tokens: Sequence[Token], index: int, words: Vocabulary) -> bool:
    """Whether the word before a number makes it a place, an amount or a time; `1 to 3` and `applied to 3` name branches."""
    if not index:
        return False
    before, second = tokens[index - 1].low, tokens[index - 2] if index > 1 else None
    if before == "from" and second is not None and second.low in ("away", "far"):
        return True
    if before not in words.not_before_ids:
        return False
    listed_so = before in ("to", "than") and second is not None and second.kind in _LISTED
    applied = before == "to" and second is not None and "APPLY" in second.classes
    return not (listed_so or applied)


def _is_named_so(tokens: Sequence[Token], index: int) -> bool:
    """`#3`, `S1`, `branch 3`: a branch whatever follows."""
    token = tokens[index]
    by_itself = token.text.startswith("#") or (token.kind == "id" and token.text[0] in "sS")
    return by_itself or (index > 0 and tokens[index - 1].low in NAMES_BRANCH)


NAMES_BRANCH = listed("branch branches br brs no nos nr nrs number numbers limb bough")
_VERBS = listed(
    "WIRED UNWIRED REPOTTED PRUNED CUT CUTBACK SHORTEN TRIM PINCH THIN REMOVE DECANDLED DEFOLIATED SELECT LAYERED "
    "GRAFTED SEPARATE SEALED GUYED CHECK BENT FED BITE CUTIN SNAP BROKEOFF OKAY OFF ON CARVED STRIP DONE BREAK"
)
