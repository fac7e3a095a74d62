"""Which sets of classes a clause holds: the set with most classes wins, then what is left is looked at again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...values import dataclass
from .listed import listed
from .vocabulary import Frame, Vocabulary
from .words import NAMES_BRANCH, Token, may_be_branch

# a bare verb behind or before one of these is a noun: a light prune, a repot done
_MAKES_NOUN = listed(
    "liquid foliar strength organic last a an another light hard quick second first third good heavy slight little gave did had summer spring autumn "
    "winter structural partial full major minor final big proper thorough gentle small serious usual yearly "
    "annual"
)
_DONE = frozenset(["done", "finished", "complete", "completed", "job", "session", "over"])
_GENERIC = listed("DONE MADE APPLY ALL OFF ON IN OUT LAST")


@dataclass(frozen=True, slots=True)
class Match:
    """A set that a clause holds, the places of its words, and whether its verb stands bare (a plan, not yet a fact)."""

    frame: Frame
    places: frozenset[int]
    bare: bool = False

    @property
    def start(self) -> int:
        """The first token it takes."""
        return min(self.places)


def matches_in(tokens: Sequence[Token], taken: frozenset[int], words: Vocabulary) -> list[Match]:
    """All that a clause says, the fullest set first; each word says one thing."""
    found: list[Match] = []
    used = set(taken)
    while len(found) < 6:
        best = _best(tokens, used, words, later=bool(found))
        if best is None:
            return found
        used |= best.places | _goes_along(tokens, used, best, words)
        if best.frame.name not in {m.frame.name for m in found}:
            found.append(best)
    return found


def _best(tokens: Sequence[Token], used: set[int], words: Vocabulary, *, later: bool) -> Match | None:
    fitting = list(_fitting(tokens, used, words, later=later))
    _, best = max(fitting, key=lambda scored: scored[0], default=(None, None))
    if not later and (best is None or len(best.frame.classes) < 2):
        verb = _bare_at_head(tokens, used, words)
        if verb:
            return verb
    if best is None or not best.frame.asks:
        return best
    plain = (m for _, m in fitting if m.frame.name == best.frame.name and not (m.frame.asks or m.bare))
    return next(plain, best)


def _fitting(
    tokens: Sequence[Token], used: set[int], words: Vocabulary, *, later: bool
) -> Iterator[tuple[tuple[int, bool, int], Match]]:
    """The sets that a clause holds, each with its score; `later`: something was found there before."""
    at, bare = _places_by_class(tokens, used, words)
    counted = {n for n in range(1, len(tokens)) if _is_counted(tokens, n, words)}
    here = at.keys()
    near = [need for name in here for need in words.needs_by_class.get(name, ())]
    for order, frame, needed in near:
        if not needed <= here or (later and (frame.asks or frame.alone)):
            continue
        places = _placed(frame, at, tokens, words)
        if places is not None and not (frame.kind == "sign" and places & counted):
            yield _score(frame, order), Match(frame, places, bool(places & bare))


def _score(frame: Frame, order: int) -> tuple[int, bool, int]:
    """The fuller set wins; of two as full the one that says it, and `wire on` last of all, which may only tell that it is on."""
    by_number = frame.asks and bool({"ID", "SID"} & set(frame.classes))
    return len(frame.classes) - 2 * by_number, (not frame.asks or frame.alone) and "ON" not in frame.classes, -order


def _places_by_class(
    tokens: Sequence[Token], used: set[int], words: Vocabulary
) -> tuple[dict[str, list[int]], set[int]]:
    """The places of each class in a clause, and those where a verb stands bare."""
    at: dict[str, list[int]] = {}
    bare: set[int] = set()
    for place, token in enumerate(tokens[: _goal(tokens)]):
        if place in used or _heads_a_noun(tokens, place, words):
            continue
        noun = bool(token.plan) and _is_noun(tokens, place)
        named = token.classes | (token.plan if token.plan and (noun or not token.classes) else frozenset())
        if token.plan and not noun and not token.classes:
            bare.add(place)
        for name in (*named, *_made_up(tokens, place, words)):
            at.setdefault(name, []).append(place)
    if _goes_back_to_leaves(tokens):
        at["TOLEAF"] = [_goal(tokens)]
    return at, bare


def _goes_back_to_leaves(tokens: Sequence[Token]) -> bool:
    """`back to two leaves`: what it was cut back to is the growth of this season, so shoots were cut."""
    behind = tokens[_goal(tokens) :][:4]
    return bool(behind) and behind[0].low == "to" and any("LEAFPAIR" in t.classes for t in behind)


def _goal(tokens: Sequence[Token]) -> int:
    """Where it is told how far back was cut, or after what: `back to a side shoot`, `after repotting`; that was not done here."""
    for place in range(1, len(tokens)):
        if tokens[place].low in ("after", "before"):
            return place
        if tokens[place].low == "to" and tokens[place - 1].classes & {"BACK", "CUTBACK"}:
            return place
    return len(tokens)


def _bare_at_head(tokens: Sequence[Token], used: set[int], words: Vocabulary) -> Match | None:
    """`wire 3`, `layer the top`: a word that is a noun elsewhere, at the head of a clause, is the verb."""
    first = next((n for n, t in enumerate(tokens) if t.kind != "mark"), None)
    if first is None or first in used or first + 1 >= len(tokens):
        return None
    token, follows = tokens[first], tokens[first + 1]
    verb = follows.numeric or follows.low in ("branch", "branches", "the", "all", "this", "it", "in", "next", "again")
    if not (token.plan and token.classes and verb) or _is_noun(tokens, first):
        return None
    frame = next((f for f in words.frames if len(f.classes) == 1 and f.classes[0] in token.plan), None)
    return Match(frame, frozenset((first,)), bare=True) if frame else None


def _heads_a_noun(tokens: Sequence[Token], place: int, words: Vocabulary) -> bool:
    """`wiring workshop`, `feeding schedule`: a noun of doing that only tells what kind of thing the next word is."""
    gerund = tokens[place].low.endswith(("ing", "tion")) and bool(tokens[place].classes & _DOING)
    of_doing = gerund or (tokens[place].plan and not tokens[place].classes)
    if not of_doing or place + 1 >= len(tokens):
        return False
    after = tokens[place + 1]
    if after.kind != "word" or after.classes or after.plan or after.inert or after.low.endswith(("ly", "ed", "n")):
        return False
    known = (
        words.fillers,
        words.after_ids,
        words.materials,
        _MAKES_NOUN,
        _DONE,
        words.not_before_ids,
        words.shapes,
        _OF_DOING,
    )
    return not any(after.low in some for some in known) and not any(t.classes - _GENERIC for t in tokens[place + 2 :])


_DOING = listed(
    "WIRED UNWIRED REPOTTED PRUNED TRIM PINCH FED THIN DEFOLIATED LAYERED GRAFTED CLEANED CARVED MEASURED TURNED"
)
_OF_DOING = listed(
    "work round went begun started over heavy hard light lightly half all both secondary primary side lower upper "
    "inner outer each own"
)


def _is_noun(tokens: Sequence[Token], place: int) -> bool:
    before = tokens[place - 1].low if place else ""
    after = tokens[place + 1].low if place + 1 < len(tokens) else ""
    compound = place > 0 and bool(tokens[place - 1].classes & _MADE_OF)
    return before in _MAKES_NOUN or after in _DONE or compound


# needle pull, leaf prune, root trim
_MADE_OF = listed("NEEDLE CANDLE SHOOT LEAF ROOT BUD TIP FLOWER FRUIT TWIG MOSS BRANCH")


def _made_up(tokens: Sequence[Token], place: int, words: Vocabulary) -> tuple[str, ...]:
    """Classes that a token has from what it is: a size of wire, a branch, a branch of the sacrifice's kind."""
    token = tokens[place]
    if token.kind == "size" or (token.kind == "number" and "." in token.text):
        return ("SIZE",)
    if token.kind == "npk":
        return ("NPK",)
    if token.kind == "id" and token.text[:1] in "sS":
        return ("SID",)
    named = place > 0 and tokens[place - 1].low in NAMES_BRANCH
    if token.kind in ("id", "number", "range") and (named or may_be_branch(tokens, place, words)):
        return ("ID",)
    return ()


def _placed(
    frame: Frame, at: dict[str, list[int]], tokens: Sequence[Token], words: Vocabulary
) -> frozenset[int] | None:
    """A place of its own for each class of a set; None where one is missing."""
    taken: list[int] = []
    for name in sorted(frame.classes, key=lambda n: len(at.get(n, ()))):
        place = next((p for p in at.get(name, ()) if p not in taken), None)
        if place is None:
            return None
        taken.append(place)
    places = frozenset(taken)
    if frame.alone and not _stands_alone(tokens, places, frame, words):
        return None
    return places


def _stands_alone(tokens: Sequence[Token], places: frozenset[int], frame: Frame, words: Vocabulary) -> bool:
    along = words.spoken[frame.name]
    return all(
        n in places
        or t.kind == "mark"
        or t.numeric
        or t.low in words.fillers
        or t.classes & along
        or t.low in words.beside
        for n, t in enumerate(tokens)
    )


def _goes_along(tokens: Sequence[Token], used: set[int], match: Match, words: Vocabulary) -> set[int]:
    """Words of the same matter that the set did not need: `took all the wire off`."""
    along = words.spoken[match.frame.name]
    heads = words.lone_heads[match.frame.name] - _GENERIC
    counted = {n for n in range(1, len(tokens)) if _is_counted(tokens, n, words)}
    return {
        n
        for n, t in enumerate(tokens)
        if n not in used
        and n not in counted
        and not t.inert
        and ((t.classes & along and not (t.classes - along) & heads) or (t.plan & along and not t.classes))
        and not (t.classes & along <= _WEAK)
    }


def _is_counted(tokens: Sequence[Token], place: int, words: Vocabulary) -> bool:
    """Whether a number before a word counts it: `38 leaves`."""
    return tokens[place - 1].kind == "number" and not may_be_branch(tokens, place - 1, words)


# words that may go with many things: they are left to the remark unless the set itself has them
_WEAK = listed("NEW OLD PART HALF FULL DEAD EXCESS LARGE BIG SUMMER SPENT FORM TWO LEAF")
