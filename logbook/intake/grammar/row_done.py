"""A row of a list that says of its own job that it was done, somewhere in its parts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from ...storage.printed import Offered, Sheet
from .bodies import Dated, again, ear_for, heard_as, is_unread, take_date
from .headers import Grammar, TypedLine
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


def done(job: Offered) -> dict[str, object]:
    """An offered job as the entry it makes."""
    if job.work == INTENTION:
        return {"did": job.own}
    return {"work": job.work, **({"branches": list(job.branches)} if job.branches else {})}


def is_done(said: str) -> bool:
    """Whether one of a line's parts says that the job was done."""
    return any(_DONE.match(s.strip()) or _YES.fullmatch(s.strip()) for s in said.split(";"))


def row_base(at: TypedLine, tags: tuple[str, ...], sheet: Sheet, ident: str) -> Reading:
    """The reading of a row's line before its words are heard: its own job counts as ticked."""
    return Reading(at.number, at.raw, tags, sheet, ident, tick=True)


def row_done(at: TypedLine, rest: str, base: Reading, meant: Mapping[str, object]) -> Reading | None:
    """The reading of a line that says that what is `meant` was done; None where it does not, and its day is not taken."""
    under = at.under
    before = under.last_date
    dated = take_date(_day_first(rest, at.grammar), under, at.grammar)
    made = None if is_unread(dated.rest) else _done(at, dated, dated_as(at, base, rest, dated), meant)
    if made is None:
        under.last_date = before
    return made


def dated_as(at: TypedLine, base: Reading, rest: str, dated: Dated) -> Reading:
    """The reading with its day, and the line as it can be given again by itself."""
    return replace(base, date=dated.day, again=again(base.line, rest, dated, at.raw))


def _done(at: TypedLine, dated: Dated, base: Reading, meant: Mapping[str, object]) -> Reading | None:
    """What is heard of a line's parts beside the one that says `done`; None where none does."""
    if HALF_DONE.search(dated.rest):
        return replace(base, question="half of it only: is it done?", parts=({**meant, "note": dated.rest},))
    if not dated.rest and dated.own:
        return replace(base, parts=(dict(meant),))  # a day alone beside a job: it was done then
    segments = [s.strip() for s in dated.rest.split(";")]
    place = next((n for n, s in enumerate(segments) if _DONE.match(s) or _YES.fullmatch(s)), None)
    if place is None:
        return None
    told = "" if _YES.fullmatch(segments[place]) else _DONE.sub("", segments[place], count=1)
    if told.strip().startswith("?") or segments[place].rstrip().endswith("?") or ASKS.match(told):
        return replace(base, question=f"'{dated.rest}': was it done?", parts=(dict(meant),))
    others = [*([told] if told else []), *segments[:place], *segments[place + 1 :]]
    ear = ear_for(at.under, at.grammar, base.tags, dated.day, dict(meant))
    made = heard_as(base, hear("; ".join(filter(None, others)), ear), dated.by or at.under.by, at.raw, dated.rest)
    return replace(made, tick=True)


def _day_first(rest: str, grammar: Grammar) -> str:
    """`done 10/11 roots hard` with its day in front."""
    found = _DONE.match(rest)
    dated = leading_date(rest[found.end() :], grammar.order) if found else None
    return f"{dated.words} done {dated.rest}".strip() if dated else rest
