"""A row of a list that says of its own job that it was done, somewhere in its parts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from ...storage.printed import Offered, Sheet
from .bodies import Dated, again, ear_for, heard_as, is_unread, take_date
from .headers import Grammar, Under
from .hearing import hear
from .readings import Reading
from .tokens import leading_date

INTENTION = "intention"
_DONE = re.compile(
    r"^(?:(?:ok|okay|yes|all|it|job|work|was|is|now|x)[,.]?\s+)*(?:done|finished|completed|✓|✔|☑|x(?=\s*$|\s*[,;.]))(?![\w-])[.,:;!]?\s*(?:and\s+)?",
    re.IGNORECASE,
)
HALF_DONE = re.compile(
    r"(?<!\w)(?:half|partly|nearly|almost|part|mostly|not all|not quite|half way)\s+done(?!\w)", re.IGNORECASE
)
_YES = re.compile(r"(?:yes|y|ok|okay|yep|yup|did it|did|all)[.!]?", re.IGNORECASE)
ASKS = re.compile(
    r"^(?:tomorrow|later|soon|next|when|if|what|which|who|why|how|when|where|was|is|did)\b", re.IGNORECASE
)


def done(job: Offered) -> dict[str, Any]:
    """An offered job as the entry it makes."""
    if job.work == INTENTION:
        return {"did": job.own}
    return {"work": job.work, **({"branches": list(job.branches)} if job.branches else {})}


def is_done(said: str) -> bool:
    """Whether one of a line's parts says that the job was done."""
    return any(_DONE.match(s.strip()) or _YES.fullmatch(s.strip()) for s in said.split(";"))


def base_of(
    number: int, raw: str, tags: tuple[str, ...], sheet: Sheet, ident: str, rest: str, dated: Dated
) -> Reading:
    """The reading of a row's line before its words are heard: its own job counts as ticked."""
    return Reading(number, raw, tags, sheet, ident, dated.day, again=again(ident, rest, dated, raw), tick=True)


def row_done(rest: str, under: Under, grammar: Grammar, base: Reading, meant: Mapping[str, Any]) -> Reading | None:
    """The reading of a line that says that what is `meant` was done; None where it does not, and the day is not taken."""
    before = under.last_date
    dated = take_date(_day_first(rest, grammar), under, grammar)
    if is_unread(dated.rest):
        under.last_date = before
        return None
    base = replace(base, date=dated.day, again=again(base.line, rest, dated, base.text))
    if HALF_DONE.search(dated.rest):
        return replace(base, question="half of it only: is it done?", parts=({**meant, "note": dated.rest},))
    made = heard_done(dated, under, grammar, base, meant)
    if made is None:
        under.last_date = before
    return made


def heard_done(
    dated: Dated, under: Under, grammar: Grammar, base: Reading, meant: Mapping[str, Any]
) -> Reading | None:
    """What is heard of a line's parts beside the one that says `done`; None where none does."""
    segments = [s.strip() for s in dated.rest.split(";")]
    place = next((n for n, s in enumerate(segments) if _DONE.match(s) or _YES.fullmatch(s)), None)
    if place is None:
        return None
    told = "" if _YES.fullmatch(segments[place]) else _DONE.sub("", segments[place], count=1)
    if told.strip().startswith("?") or segments[place].rstrip().endswith("?") or ASKS.match(told):
        return replace(base, question=f"'{dated.rest}': was it done?", parts=(dict(meant),))
    others = [*([told] if told else []), *segments[:place], *segments[place + 1 :]]
    ear = ear_for(under, grammar, base.tags, dated.day, dict(meant))
    made = heard_as(base, hear("; ".join(filter(None, others)), ear), under.by or dated.by, base.text, dated.rest)
    return replace(made, tick=True)


def _day_first(rest: str, grammar: Grammar) -> str:
    """`done 10/11 roots hard` with its day in front."""
    found = _DONE.match(rest)
    dated = leading_date(rest[found.end() :], grammar.order) if found else None
    return f"{dated.words} done {dated.rest}".strip() if dated else rest
