"""What makes a clause no fact of the day: a negation, a wish, another time, a condition, another's tree, a question."""

from __future__ import annotations

from collections.abc import Sequence

from ...values import dataclass
from .frames import Match
from .listed import listed
from .vocabulary import Vocabulary
from .words import Clause, Token

_NOT_ANY_MORE = listed("wanted meant meaning hoped tried wished intended was were")  # and nothing came of it
_INTENDED = listed("to must need needs remember plan should todo do")


@dataclass(frozen=True, slots=True)
class Guarded:
    """The kind of guard on a clause (`no`, `wish`, `time`, `who`, `state`, `ask`, or none) and the words it was told by."""

    kind: str = ""
    words: str = ""

    @property
    def lets_stand(self) -> bool:
        """Whether the clause still tells a fact, though one that may have to be asked about."""
        return self.kind in ("", "ask")


NO_GUARD = Guarded()


def guard_on(clause: Clause, matches: Sequence[Match], read: frozenset[int], words: Vocabulary) -> Guarded:
    """The guard on a clause; `read` are places that details have used up (`no bite` denies no work)."""
    said = clause.said(read | left_alone(clause.tokens))
    for kind in ("no", "wish", "time"):
        found = words.guards[kind].search(said)
        if found:
            return Guarded(kind, found[0])
    if matches and matches[0].frame.kind == "trouble" and (cured := words.guards["cured"].search(said)):
        return Guarded("no", cured[0])
    if matches and (theirs := _not_mine(clause, matches[0], read, words)):
        return Guarded("who", theirs)
    if matches and _is_a_state(clause, matches[0], words):
        return Guarded("state", "it tells how it is, which")
    return _to_be_asked(clause, matches, read, words)


def _not_mine(clause: Clause, match: Match, read: frozenset[int], words: Vocabulary) -> str:
    """Words that tell another's tree or hand, or what came off by itself; empty where there are none."""
    before = clause.said(read | frozenset(range(match.start, len(clause.tokens))))
    if other := words.guards["who"].search(before):
        return other[0]
    if match.frame.kind in ("work", "sign") and (theirs := _of_another(clause, match, before, words)):
        return theirs
    fell = words.guards["fell"].search(clause.said(read)) if _fell(match, words) else None
    return fell[0] if fell else ""


_BY_HAND = frozenset(listed("REMOVE CUT PULL TRIM BREAK CLEANED RUBBED PINCH"))


def _fell(match: Match, words: Vocabulary) -> bool:
    """Whether a set tells that something is off, and not that anybody took it off; wire is off whoever did it."""
    classes = set(match.frame.classes)
    return (
        match.frame.kind == "work"
        and "OFF" in classes
        and not (classes & _BY_HAND or words.wire_off(match.frame.name))
    )


def _of_another(clause: Clause, match: Match, before: str, words: Vocabulary) -> str:
    """Words that make it another's tree behind the work (`repotted neighbour's elm`), or a beast's doing before it."""
    behind = clause.said(frozenset(range(max(match.places) + 1)))
    found = words.guards["whose"].search(behind) or words.guards["beast"].search(before)
    return found[0] if found else ""


def _to_be_asked(clause: Clause, matches: Sequence[Match], read: frozenset[int], words: Vocabulary) -> Guarded:
    taken = read | frozenset(p for m in matches for p in m.places)
    left = clause.said(taken)
    kinds = ("ask", "ask_part") if any(words.wire(m.frame.name) for m in matches) else ("ask",)
    for kind in kinds:
        found = words.guards[kind].search(left)
        if found:
            return Guarded("ask", found[0])
    return NO_GUARD


def _is_a_state(clause: Clause, match: Match, words: Vocabulary) -> bool:
    """`wired branches look stiff`: a participle with its noun, then a verb that tells how it is."""
    name = match.frame.name
    told = (words.looks(name) or words.wire_off(name)) and match.frame.classes != ("UNWIRED",)
    if match.frame.kind != "work" or told:
        return False
    behind = " ".join(t.low for t in clause.tokens[match.start + 1 :])
    verb = words.guards["state"].search(behind)
    named = " " in clause.tokens[match.start].low  # a term holds its noun: trunk chop healed well
    return verb is not None and (named or verb.start() > 0) and not behind[: verb.start()].strip().isdecimal()


def left_alone(tokens: Sequence[Token]) -> frozenset[int]:
    """The `not` of `2 not 3`: what it denies is another branch, which is told as left alone."""
    return frozenset(
        n
        for n, t in enumerate(tokens[:-1])
        if t.low == "not" and n and tokens[n - 1].kind in ("number", "id", "range") and tokens[n + 1].numeric
    )


def conditional(clauses: Sequence[Clause], words: Vocabulary) -> bool:
    """Whether a condition stands in these clauses: all of them fall under it."""
    said = [clause.said() for clause in clauses]
    return bool(said) and (
        any(words.guards["if"].search(s) for s in said) or bool(words.guards["lead_if"].search(said[0]))
    )


def leads(clauses: Sequence[Clause], words: Vocabulary) -> bool:
    """`to do: …`, `next year …`: a beginning that holds for all of the line."""
    return bool(clauses) and bool(words.guards["lead"].search(" ".join(c.said() for c in clauses)))


def is_imperative(clause: Clause, matches: Sequence[Match]) -> bool:
    """Whether a clause tells itself what to do: a bare verb at its head, or behind `plan to`, `must`."""
    if not matches or not matches[0].bare:
        return False
    start = min(p for p in matches[0].places)
    if any(t.low in _NOT_ANY_MORE for t in clause.tokens[:start]):
        return False
    return (
        start == 0 or clause.tokens[start - 1].low in _INTENDED or clause.tokens[0].low in ("air", "remove", "take")
    )
