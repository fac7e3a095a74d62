"""A slip of one letter on a word that begins a work: never mended in silence, always asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .clauses import Ear, read_clause
from .details import Fields
from .vocabulary import Vocabulary
from .words import Token, clauses_of


@dataclass(frozen=True, slots=True)
class Slip:
    """The question about a slip, and the fields that the mended line would make."""

    why: str
    hint: str
    meant: Fields | None


def slip_in(line: str, ear: Ear, parts: Sequence[Fields], tokens: Sequence[Token]) -> Slip | None:
    """What a line may have meant with one word mended, where that makes more of it; None where it needs no mending."""
    words = ear.tongue.words
    for token in tokens[:8]:
        meant = _near(token.low, words) if _may_be_a_slip(token, words) else ""
        if not meant:
            continue
        mended = f"{line[: token.start]}{meant}{line[token.end :]}"
        facts = _facts(mended, ear)
        more = len(facts) > sum(len(set(p) - {"note"}) > 0 for p in parts)
        other = facts and parts and facts != list(parts) and meant in words.measures
        if more or other:
            why = f"'{token.text}' was not understood: did you mean '{mended}', or is it a remark?"
            return Slip(why, "", facts[0] if len(facts) == 1 else None)
    return None


def _may_be_a_slip(token: Token, words: Vocabulary) -> bool:
    """Whether a token is a word of four letters or more that no list knows."""
    if token.kind != "word" or token.classes or token.inert or token.plan or len(token.low) < 4:
        return False
    known = (words.fillers, words.not_slips, words.after_ids, words.measures, words.materials)
    return not any(token.low in some for some in known)


def _facts(line: str, ear: Ear) -> list[Fields]:
    found: list[Fields] = []
    for clause in clauses_of(line, ear.tongue.words):
        read = read_clause(clause, ear)
        found += [fact.fields for fact in read.facts if not (read.guard.kind or clause.asked)]
    return found


def _near(low: str, words: Vocabulary) -> str:
    """A head word at one letter's distance (added, lost, wrong, or two that changed places); none where several fit."""
    hits = {word for word in words.heads if abs(len(word) - len(low)) <= 1 and word != low and one_apart(low, word)}
    hits = {w for w in hits if not (w.startswith(low) or low.startswith(w)) or w in ("fed",)} or hits
    names = {frozenset(words.of_word(h)) or h for h in hits}
    return min(hits) if len(names) == 1 else ""


def one_apart(a: str, b: str) -> bool:
    """Whether two words differ by one letter, or by two neighbours in the wrong order."""
    if len(a) > len(b):
        a, b = b, a
    start = next((n for n, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), len(a))
    if len(a) < len(b):
        return a[start:] == b[start + 1 :]
    swapped = a[start : start + 2] == b[start : start + 2][::-1] and a[start + 2 :] == b[start + 2 :]
    return swapped or a[start + 1 :] == b[start + 1 :]
