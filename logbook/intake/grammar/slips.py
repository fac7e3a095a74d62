"""A slip of one letter on a word that begins a work: never mended in silence, always asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from ...values import dataclass
from .clauses import Ear, Read, read_clause
from .details import Fields
from .figures import number_apart, word_with_a_figure
from .frames import Match
from .vocabulary import Vocabulary
from .words import Clause, Token, clauses_of

Mend = Callable[[str], Fields | None]  # the one entry that a line makes, or None
MOST_TOKENS = 8


@dataclass(frozen=True, slots=True)
class Slip:
    """The question about a slip, and the fields that the mended line would make."""

    why: str
    hint: str
    meant: Fields | None


def slip_in(
    line: str, ear: Ear, parts: Sequence[Fields], tokens: Sequence[Token], *, mend: Mend, guessed: bool = False
) -> Slip | None:
    """What a line may have meant with one word mended, where that makes more of it; None where it needs no mending.

    `mend` hears the mended line. `guessed`: a work was only guessed of the line; a mended word that says one plainly comes before it.
    """
    words = ear.tongue.words
    lost = _off_without_its_letter(tokens)
    if lost is not None:
        return _asked(lost.text, _with(line, lost, "off"), mend)
    mixed = word_with_a_figure(line, words, ear.entries)
    if mixed is not None:
        return _asked(mixed[0], line.replace(*mixed, 1), mend)
    if apart := number_apart(line):
        return Slip(f"'{apart}' looks like a number and is none", "write the number anew", None)
    for token in tokens[:MOST_TOKENS]:
        if not _may_be_a_slip(token, words):
            continue
        head = _near(token.low, words)
        if head and (_makes_more(_with(line, token, head), ear, parts, head, guessed=guessed)):
            return _asked(token.text, _with(line, token, head), mend)
        other = _near_of_a_set(line, token, ear, parts, guessed=guessed)
        if other:
            return _asked(token.text, _with(line, token, other), mend)
    return None


def _off_without_its_letter(tokens: Sequence[Token]) -> Token | None:
    """The `of` of `wire of 1 2`, which is an `off`; of `wire of 3 mm` and `wire of copper` it is none."""
    for n in range(1, len(tokens)):
        after = tokens[n + 1] if n + 1 < len(tokens) else None
        names = after is None or (after.kind in ("number", "id") and after.text.isalnum())
        if tokens[n].low == "of" and tokens[n - 1].low in ("wire", "wires", "wired") and names:
            return tokens[n]
    return None


def _with(line: str, token: Token, word: str) -> str:
    return f"{line[: token.start]}{word}{line[token.end :]}"


def _asked(typed: str, mended: str, mend: Mend) -> Slip:
    return Slip(f"'{typed}' was not understood: did you mean '{mended}', or is it a remark?", "", mend(mended))


def _may_be_a_slip(token: Token, words: Vocabulary) -> bool:
    """Whether a token is a word of four letters or more that no list knows."""
    if token.kind != "word" or token.classes or token.inert or token.plan or len(token.low) < 4:
        return False
    known = (words.fillers, words.not_slips, words.after_ids, words.measures, words.materials)
    return not any(token.low in some for some in known)


def _makes_more(mended: str, ear: Ear, parts: Sequence[Fields], head: str, *, guessed: bool) -> bool:
    """Whether a line with its head word mended tells more facts, or a work of another time, which is asked as well."""
    read = _read(mended, ear)
    facts = [fact for r in read for fact in r.facts if not r.guard.kind]
    if guessed:
        return any("work" in fact.fields and not fact.asks for fact in facts)
    told = [fact.fields for fact in facts]
    other = bool(told) and bool(parts) and told != list(parts) and head in ear.tongue.words.measures
    elsewhen = any(r.guard.kind == "time" and any(_is_work(m) and not m.bare for m in r.matches) for r in read)
    return len(facts) > _facts_of(parts) or other or (elsewhen and not _facts_of(parts))


def _facts_of(parts: Sequence[Fields]) -> int:
    return sum(len(set(part) - {"note"}) > 0 for part in parts)


def _is_work(match: Match) -> bool:
    return match.frame.kind == "work"


def _near_of_a_set(line: str, token: Token, ear: Ear, parts: Sequence[Fields], *, guessed: bool) -> str:
    """A word one slip away with which the others beside it say a work plainly (`shots selected`); none where several works fit."""
    hits: dict[str, str] = {}
    words = ear.tongue.words
    for word in _apart(token.low, words.beside_works, words.near_beside):
        works = _plain_works(_with(line, token, word), token.start, ear)
        if works and (guessed or len(works) > sum("work" in part for part in parts)):
            hits.setdefault(" ".join(works), word)
    return next(iter(hits.values())) if len(hits) == 1 else ""


def _plain_works(mended: str, start: int, ear: Ear) -> list[str]:
    """The works of a mended line where the mended word helps to say one plainly, and nothing denies it; else none."""
    read = [(clause, read_clause(clause, ear)) for clause in clauses_of(mended, ear.tongue.words) if not clause.asked]
    told = [(clause, r) for clause, r in read if not r.guard.kind]
    if not any(_helps(clause, r, start) for clause, r in told):
        return []
    return [str(f.fields["work"]) for _, r in told for f in r.facts if "work" in f.fields and not f.asks]


def _helps(clause: Clause, read: Read, start: int) -> bool:
    """Whether the word that begins there is one of several that say a work together."""
    together = (m for m in read.matches if _is_work(m) and not m.bare and len(m.frame.classes) > 1)
    return any(clause.tokens[n].start == start for m in together for n in m.places)


def _read(line: str, ear: Ear) -> list[Read]:
    return [read_clause(clause, ear) for clause in clauses_of(line, ear.tongue.words) if not clause.asked]


def _near(low: str, words: Vocabulary) -> str:
    """A head word at one letter's distance (added, lost, wrong, or two that changed places); none where several fit."""
    hits = {word for word in _apart(low, words.heads, words.near_heads) if word != low}
    hits = {w for w in hits if not (w.startswith(low) or low.startswith(w)) or w in ("fed",)} or hits
    names = {frozenset(words.of_word(h)) or h for h in hits}
    return (
        min(hits, key=lambda hit: (not hit.endswith("ed"), hit)) if len(names) == 1 else ""
    )  # the form it was done in


def _apart(low: str, words: Iterable[str], found: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Those of these words that are one letter apart, or the word itself; notes say the same words over and over, so `found` is kept."""
    if low not in found:
        found[low] = tuple(word for word in words if abs(len(word) - len(low)) <= 1 and one_apart(low, word))
    return found[low]


def one_apart(a: str, b: str) -> bool:
    """Whether two words differ by one letter, or by two neighbours in the wrong order."""
    if len(a) > len(b):
        a, b = b, a
    if len(b) - len(a) > 1 or (len(a) > 2 and a[0] != b[0] and a[-1] != b[-1]):
        return False
    start = next((n for n, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), len(a))
    if len(a) < len(b):
        return a[start:] == b[start + 1 :]
    swapped = a[start : start + 2] == b[start : start + 2][::-1] and a[start + 2 :] == b[start + 2 :]
    return swapped or a[start + 1 :] == b[start + 1 :]
