"""The body of a line: its day, the hand that wrote it, and what it says."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from ...collection.model import tag_key
from ...collection.units import METRIC, US, Units
from ...storage.printed import Sheet
from ...values import dataclass
from .clauses import Ear
from .details import Tongue, branches_of
from .figures import day_apart
from .headers import Grammar, TypedLine, Under
from .hearing import REMARKS, Heard, hear
from .listed import listed
from .readings import NOTHING, UNREAD, Reading
from .tokens import TypedDate, almost_a_date, date_inside, leading_date, plain_line
from .vocabulary import Vocabulary
from .words import Token, tokens_of

UNREAD_PARTS = {UNREAD: "what stands there", "done ?": "is its box ticked", "vigour ?": "which vigour box is ticked"}
VIGOUR_LINE = "V"
_TAG_NUMBER = re.compile(r"(?<![\w.,/-])(?:0\d{1,3}|[1-9]\d{2,3})(?![\w.,/-]*\d)(?! ?(?:mm|cm|in|ml|l|g|kg|min)\b)")
LEAST_NAME = 5  # letters of a name that no line begins with by chance
_BY_BEHIND_DAY = re.compile(r"(?:([A-Za-z]{1,2})[:.]|([b-hj-uwyz]))\s+(?=[^\W\d_]{2})")
_BY_AT_END = re.compile(r"[\s,]+by ([A-Za-z](?:/[A-Za-z])*)\.?$")
_DAYISH = re.compile(r"\d{1,2}[-–/.]\d{1,4}(?:[-/.]\d+)?\.?|\d{5,8}|\d{4}-\d{1,2}|\d{1,2}[a-z]{3,9}", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Dated:
    """A line's day and the rest of it; `own`: the day stands on the line itself; `two`: further days that do so too."""

    day: TypedDate | None
    rest: str
    own: bool = False
    two: str = ""
    by: str = ""


def take_date(text: str, under: Under, grammar: Grammar) -> Dated:
    """The line's own date, at its head or inside, which then holds for the lines below; or the last one typed above."""
    leading = leading_date(text, grammar.order, grammar.partial)
    if leading is not None:
        under.last_date = leading
        return _dated_at_head(leading, grammar)
    found, bare = date_inside(text, grammar.order, grammar.partial)
    if found and bare:
        under.last_date = found[0]
        return _dated_inside(text, found, bare)
    rest, by = _hand(text) if _BY_AT_END.search(text) else (text, "")
    return Dated(under.last_date, rest, by=by)


def _dated_at_head(day: TypedDate, grammar: Grammar) -> Dated:
    rest, by = _hand(day.rest)
    inner, bare = date_inside(rest, grammar.order, False)
    other = next((d.words for d in inner if not _same_day(d, day)), "")
    return Dated(day, bare if inner and not other else rest, True, other, by)


def _dated_inside(text: str, found: Sequence[TypedDate], bare: str) -> Dated:
    rest, by = _hand(bare)
    other = next((d.words for d in found[1:] if not _same_day(d, found[0])), "")
    return Dated(found[0], text if other else rest, True, other, by)


def _same_day(a: TypedDate, b: TypedDate) -> bool:
    return a.ago == 0 or (a.day, a.month) == (b.day, b.month)


def _hand(text: str) -> tuple[str, str]:
    """An initial behind the day, or `by m` at the end."""
    first, last = _BY_BEHIND_DAY.match(text), _BY_AT_END.search(text)
    if first:
        return text[first.end() :], first[1] or first[2]
    return (text[: last.start()], last[1]) if last else (text, "")


def ear_for(
    under: Under,
    grammar: Grammar,
    tags: tuple[str, ...],
    day: TypedDate | None,
    job: Mapping[str, object] | None = None,
) -> Ear:
    """What a line of these trees is heard with."""
    known = [grammar.trees.get(tag_key(tag)) for tag in tags]
    tables = [k.branches for k in known if k is not None and k.branches is not None]
    branches = frozenset().union(*tables) if tables and len(tables) == len(known) else None
    count = known[0].count if len(known) == 1 and known[0] is not None else 1
    month = day.month if day is not None and 1 <= day.month <= 12 else 0
    if month and grammar.southern:
        month = (month + 5) % 12 + 1
    tongue = Tongue(grammar.words, units_of(under.sheet, grammar), branches)
    return Ear(
        tongue, grammar.knowledge, job, month, count, grammar.benches, grammar.southern, grammar.entries, under.ticked
    )


def body(at: TypedLine, text: str, tags: tuple[str, ...], ident: str) -> Reading:
    """A line that stands under a tree, or on a sheet's pencil line; `ident` is that line's."""
    raw, under, grammar = at.raw, at.under, at.grammar
    dated = take_date(text, under, grammar)
    rest = dated.rest
    base = Reading(at.number, raw, tags, under.sheet, ident, dated.day, again=again(ident, text, dated, raw))
    if under.sheet and rest.strip() in NOTHING:
        return replace(base, nothing=True)
    if is_unread(rest):
        return unread(replace(base, again=raw), under, _what_is_unread(rest, ident, at.number))
    if not rest:
        return replace(base, fault="the line says nothing", hint="write what was done, or leave the line out")
    if other := _named_at_the_head(rest, tags, grammar) or _told_of_another(rest, tags, grammar):
        asks, tag = other
        return replace(base, question=asks, parts=({"note": original_rest(raw, rest)},), other=tag)
    heard = _heard_once(rest, ear_for(under, grammar, tags, dated.day), grammar)
    if heard.nothing_read and under.ticked:
        told = _under_a_tick(rest, under, grammar, tags, dated.day)
        heard, base = (told, replace(base, details=True)) if told else (heard, base)
    doubt = _day_in_doubt(rest, dated, heard, under, grammar) or day_in_pieces(text, dated)
    if doubt:
        under.last_date = None
        return replace(base, question=doubt, parts=({"note": original_rest(raw, rest)},), date=base.date)
    return heard_as(base, heard, dated.by or under.by, raw, rest)


def _named_at_the_head(rest: str, tags: tuple[str, ...], grammar: Grammar) -> tuple[str, str] | None:
    """The question about a line that begins with another tree's name, and that tree's tag; None where it does not."""
    low = rest.casefold()
    for name, tag in grammar.names.items():
        behind = low[len(name) : len(name) + 1]
        if len(name) >= LEAST_NAME and low.startswith(name) and not behind.isalnum() and tag not in tags:
            return f"'{rest[: len(name)]}' is the name of tree {tag}: is this line of that tree?", tag
    return None


def _told_of_another(rest: str, tags: tuple[str, ...], grammar: Grammar) -> tuple[str, str] | None:
    """The question about a line that says by number of which tree it is, or is not, and the other tree's tag; None where it says no such
    thing.
    """
    if not grammar.words.guards["of_another_tag"].search(rest.casefold().replace("'", "")):
        return None
    if rest.split(" ")[0].casefold().rstrip(":") in REMARKS:
        return None
    own = {tag_key(tag) for tag in tags}
    named = [number for number in _TAG_NUMBER.findall(rest) if tag_key(number) in grammar.trees]
    other = next((number for number in named if tag_key(number) not in own), None)
    return (f"the line names tree {other}: is it of that tree?", other) if other else None


def _heard_once(rest: str, ear: Ear, grammar: Grammar) -> Heard:
    """A line heard, or remembered where the same words were heard with the same units, branches, month and tray."""
    key = (rest, ear.tongue.units, ear.tongue.known, ear.month, ear.count, ear.ticked)
    known = grammar.heard.get(key)
    if known is None:
        known = grammar.heard[key] = hear(rest, ear)
    return replace(known, parts=tuple(dict(part) for part in known.parts))


def _under_a_tick(
    rest: str, under: Under, grammar: Grammar, tags: tuple[str, ...], day: TypedDate | None
) -> Heard | None:
    """A line that only tells details, where one of the works ticked on its sheet bears them; the plan makes them one entry."""
    found: list[Heard] = []
    for work in dict.fromkeys(under.ticked):
        heard = hear(rest, ear_for(under, grammar, tags, day, {"work": work}))
        first = heard.parts[0] if heard.parts else {}
        if not heard.question and set(first) - {"work", "note"}:
            found.append(heard)
    return found[0] if len(found) == 1 else None


def _what_is_unread(rest: str, ident: str, number: int) -> str:
    asks = [told for part in rest.split(";") if (told := UNREAD_PARTS.get(part.strip().casefold()))]
    return "the vigour boxes: which is it?" if ident == VIGOUR_LINE else f"line {ident or number}: {', '.join(asks)}?"


def _day_in_doubt(rest: str, dated: Dated, heard: Heard, under: Under, grammar: Grammar) -> str:
    """Why the line's day must be asked: two of them, one that could be two, or something that only looks like one."""
    if dated.two:
        return f"two days stand on this line ('{dated.two}' is one): write a line for each"
    if dated.own:
        return ""
    first = rest.split(" ")[0]
    if almost_a_date(rest):
        return f"'{first}' looks like a day but was not read as one"
    head = _dayish_head(rest, heard, under, grammar)
    return f"'{head}' stands where a day would but was not read as one" if head else ""


def day_in_pieces(text: str, dated: Dated) -> str:
    """The question about a day whose figures came apart at the head of a line; an empty string where there is none."""
    apart = day_apart(text) if dated.day is not None and dated.rest[:1].isdigit() else ""
    return f"'{apart}' looks like a day that came apart" if apart else ""


def _dayish_head(rest: str, heard: Heard, under: Under, grammar: Grammar) -> str:
    """What stands where a day would, before known work (`14 okt wired 1`); else an empty string."""
    first, _, behind = rest.partition(" ")
    ear = ear_for(under, grammar, under.tags, None)
    if behind and _DAYISH.fullmatch(first):
        branches = [b for p in heard.parts for b in branches_of(p)]
        is_branch = re.split(r"[-–]", first)[0] in branches
        done = behind.split(" ")[0].casefold().endswith("ed")  # 3-9 sprayed: by no word that is known
        return "" if is_branch or (hear(behind, ear).nothing_read and not done) else first
    number = re.fullmatch(r"(\d{1,2})\.?", first)
    month = _foreign_month(behind, ear) if number and 0 < int(number[1]) <= 31 else ""
    return f"{first} {month}" if month else ""


def _foreign_month(behind: str, ear: Ear) -> str:
    """A word that may be a month of another language, where known work follows; else an empty string."""
    tokens = tokens_of(behind, ear.tongue.words)
    if len(tokens) < 2 or not _may_be_a_month(tokens[0], ear.tongue.words):
        return ""
    after = hear(behind[tokens[0].end :].strip(" .") or "-", ear)
    known = tokens[1].classes or tokens[1].plan
    return tokens[0].text if known and not after.nothing_read else ""


def _may_be_a_month(word: Token, words: Vocabulary) -> bool:
    """Whether a word that no list knows begins as months do."""
    known = word.classes or word.plan or word.inert
    listed_as = (words.fillers, words.after_ids, words.measures, words.materials)
    return (
        word.kind == "word"
        and not known
        and 3 <= len(word.low) <= 9
        and word.low[:2] in _FOREIGN
        and not any(word.low in some for some in listed_as)
    )


# how months begin in the languages about: januar, mai, juin, juli, okt, dez
_FOREIGN = listed("ja fe fé ma mä me mr ap av ab ju gi ag au ao se sz ok oc ou no de dé dz dic")


def heard_as(base: Reading, heard: Heard, by: str, raw: str, rest: str) -> Reading:
    """A reading with what was heard, the hand, and the remark as it was typed where nothing else was made of the line."""
    parts = heard.parts
    if len(parts) == 1 and set(parts[0]) == {"note"} and parts[0]["note"] == rest:
        parts = ({"note": original_rest(raw, rest)},)
    if by:
        parts = tuple({"by": by, **part} if set(part) - {"note"} else part for part in parts)
    return replace(
        base, parts=parts, question=heard.question, hint=heard.hint, meant=heard.meant, partly=heard.partly,
        proposal=heard.proposal, bare_wire=heard.bare_wire, less=heard.less, gone=heard.gone,
        guessed=heard.guessed,
    )  # fmt: skip


def is_unread(rest: str) -> bool:
    """Whether a line, or a part of it, is only a `?`: something stands on the paper there that nobody has typed yet."""
    return any(segment.strip().casefold() in UNREAD_PARTS for segment in rest.split(";"))


def unread(base: Reading, under: Under, what: str) -> Reading:
    """A question about the whole line; a day on it is not known either, so the lines below can't take one from above."""
    under.last_date = None
    return replace(base, unread=True, question=what, hint="type it in place of the '?'", date=None)


def original_rest(raw: str, rest: str) -> str:
    """The remark as it was typed, not as it was folded for parsing: the end of the line that folds to it."""
    squeezed = re.sub(r"\s+", " ", raw).strip()
    if squeezed.endswith(rest):
        return rest
    starts = (i for i in range(len(squeezed)) if i == 0 or squeezed[i - 1] == " ")
    return next((squeezed[i:] for i in starts if plain_line(squeezed[i:]) == rest), rest)


def units_of(sheet: Sheet | None, grammar: Grammar) -> Units:
    """The units a line is read in: its sheet's, else the collection's."""
    if sheet is None:
        return grammar.units
    return US if sheet.units == "us" else METRIC


def again(ident: str, said: str, dated: Dated, raw: str) -> str:
    """The line as it can be given by itself: with the day it took from the line above."""
    if dated.day is None or dated.own or said != dated.rest:
        return raw
    return " ".join(part for part in (ident, dated.day.words, original_rest(raw, dated.rest)) if part)
