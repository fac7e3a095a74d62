"""Lines of a sheet: ticked jobs by their letters, vigour boxes, and rows of lists that say their job was done."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from ...collection.dates import month_number
from ...collection.model import tag_key
from ...storage.printed import Offered, Sheet
from .bodies import VIGOUR_LINE, again, body, ear_for, heard_as, is_unread, take_date, unread
from .headers import Grammar, TypedLine
from .hearing import hear
from .readings import NOTHING, Reading
from .tokens import leading_date

INTENTION = "intention"
_TICK = r"(?:x|✓|✔|☑|ok|okay|yes|y|done|ticked)"
_TICKED = re.compile(rf"^(?:{_TICK}(?!\w|-)[.,:!]?\s*)+", re.IGNORECASE)
_DONE = re.compile(
    r"^(?:(?:ok|okay|yes|all|it|job|work|was|is|now|x)[,.]?\s+)*(?:done|finished|completed|✓|✔|☑|x(?=\s*$|\s*[,;.]))(?![\w-])[.,:;!]?\s*(?:and\s+)?",
    re.IGNORECASE,
)
_HALF_DONE = re.compile(
    r"(?<!\w)(?:half|partly|nearly|almost|part|mostly|not all|not quite|half way)\s+done(?!\w)", re.IGNORECASE
)
_YES = re.compile(r"(?:yes|y|ok|okay|yep|yup|did it|did|all)[.!]?", re.IGNORECASE)
_ASKS = re.compile(
    r"^(?:tomorrow|later|soon|next|when|if|what|which|who|why|how|when|where|was|is|did)\b", re.IGNORECASE
)
_LETTERS = re.compile(r"^((?i:[A-Z](?:\s*(?:[+,&/]|and)\s*[A-Z])+)|[A-Z](?:\s[A-Z])+)[.):]?(?=\s|$)")
_DENIED = re.compile(
    r"^(?:not?|never|skip\w*|didn.?t|hasn.?t|wasn.?t|isn.?t|needn.?t|without|none|postponed|later|next|if|when)(?!\w)",
    re.IGNORECASE,
)


def sheet_line(at: TypedLine, line: str, sheet: Sheet) -> list[Reading]:
    """A line that stands on a printed sheet, by its number or its letters."""
    several = _letters(line, sheet)
    if several:
        rest = line[several[1] :].lstrip(" .):")
        return [_job_line(at, rest, sheet, job, shared=True) for job in several[0]]
    line = re.sub(r"^([Vv])([1-5])(?=\s|$)", r"\1 \2", line)
    head, _, rest = line.partition(" ")
    ident = _row_named(head, sheet)
    if ident in sheet.lines:
        return [_pencil_line(at, ident, rest, sheet)]
    job = sheet.job(ident)
    if job is not None and not ident.isdigit():
        return [_job_line(at, rest.lstrip("-–: ") or rest, sheet, job)]
    if ident == VIGOUR_LINE and len(sheet.tags) == 1:
        return [_vigour_line(at, rest, sheet)]
    return [_nowhere(at, head, sheet)]


def _row_named(head: str, sheet: Sheet) -> str:
    """The line, letter or row that a typed line begins with; a row of a list by its tree's tag as well."""
    ident = _ident(head)
    return ident if ident in sheet.lines else _row_of(ident, sheet) or ident


def _row_of(tag: str, sheet: Sheet) -> str:
    """The row of a list that a tree stands on, by its tag; an empty string where it stands on none, or on several."""
    if len(sheet.tags) < 2:
        return ""
    rows = [row for row, other in sheet.lines.items() if tag_key(other) == tag_key(tag)]
    return rows[0] if len(rows) == 1 else ""


def _letters(line: str, sheet: Sheet) -> tuple[list[Offered], int] | None:
    """Several job letters at once (`A+C`, `A, C`), and where they end; None where there are not."""
    found = _LETTERS.match(line)
    if not found:
        return None
    jobs = [sheet.job(letter.upper()) for letter in re.split(r"\s*(?:[+,&/]|\band\b)\s*|\s+", found[1])]
    given = [job for job in jobs if job is not None]
    return (given, found.end()) if len(given) == len(jobs) else None


def ticked_on(lines: Sequence[str], sheet: Sheet) -> tuple[str, ...]:
    """The works that are ticked by their letters on these lines of one sheet."""
    found: list[str] = []
    for line in lines:
        several = _letters(line, sheet)
        first = re.match(r"([A-Za-z])(?=[.):]?(?:\s|$))", line)
        one = sheet.job(first[1].upper()) if first else None
        found += [j.work for j in (several[0] if several else [one] if one else [])]
    return tuple(found)


def _ident(head: str) -> str:
    """The number or letter that a line begins with: `3.`, `a)`."""
    return head.rstrip(".):-").upper()


def _pencil_line(at: TypedLine, ident: str, rest: str, sheet: Sheet) -> Reading:
    tag = sheet.lines[ident]
    first, _, second = rest.partition(" ")
    if month_number(first.strip(".,:")) and not second[:1].isdigit():
        return Reading(
            at.number, at.raw, (tag,), sheet, ident,
            fault=f"is this line {ident}, or the day '{at.raw.split()[0]} {first}'?",
            hint="begin each line with the number of the pencil line it stands on",
        )  # fmt: skip
    rest = rest.lstrip("-–: ") or rest
    job = sheet.job(ident, tag)
    made = _row(at, rest, sheet, ident, job) if job is not None else None
    return made if made is not None else body(at, rest, (tag,), ident)


def _row(at: TypedLine, rest: str, sheet: Sheet, ident: str, job: Offered) -> Reading | None:
    """A row of a list that says of its own job that it was done, somewhere in its parts; None where it does not."""
    under, tags = at.under, (sheet.lines[ident],)
    before = under.last_date
    dated = take_date(_day_first(rest, at.grammar), under, at.grammar)
    if is_unread(dated.rest):
        under.last_date = before
        return None
    said = again(ident, rest, dated, at.raw)
    base = Reading(at.number, at.raw, tags, sheet, ident, dated.day, again=said, tick=True)
    if _HALF_DONE.search(dated.rest):
        return replace(base, question="half of it only: is it done?", parts=({**done(job), "note": dated.rest},))
    if not dated.rest and dated.own:
        return replace(base, parts=(done(job),))
    segments = [s.strip() for s in dated.rest.split(";")]
    place = next((n for n, s in enumerate(segments) if _DONE.match(s) or _YES.fullmatch(s)), None)
    if place is None:
        under.last_date = before
        return None
    told = "" if _YES.fullmatch(segments[place]) else _DONE.sub("", segments[place], count=1)
    if told.strip().startswith("?") or segments[place].rstrip().endswith("?") or _ASKS.match(told):
        return replace(base, question=f"'{dated.rest}': was it done?", parts=(done(job),))
    others = [*([told] if told else []), *segments[:place], *segments[place + 1 :]]
    ear = ear_for(under, at.grammar, tags, dated.day, done(job))
    made = heard_as(base, hear("; ".join(filter(None, others)), ear), under.by or dated.by, at.raw, dated.rest)
    return replace(made, tick=True)


def _day_first(rest: str, grammar: Grammar) -> str:
    """`done 10/11 roots hard` with its day in front."""
    found = _DONE.match(rest)
    dated = leading_date(rest[found.end() :], grammar.order) if found else None
    return f"{dated.words} done {dated.rest}".strip() if dated else rest


def _vigour_line(at: TypedLine, rest: str, sheet: Sheet) -> Reading:
    made = body(at, _vigour_words(rest), sheet.tags, VIGOUR_LINE)
    if made.unread or made.nothing or made.fault:
        return made
    if (
        made.question
        or not any("vigour" in part for part in made.parts)
        or any("note" in part for part in made.parts)
    ):
        parts = ({"note": rest},) if not any("vigour" in p for p in made.parts) else made.parts
        return replace(made, question="one number from 1 to 5 belongs here: which is it?", parts=parts)
    return made


def _vigour_words(rest: str) -> str:
    words = rest.split()
    if words and re.fullmatch(r"[1-5]", words[-1]):
        words[-1:] = ["vigour", words[-1]] if "vigour" not in words else [words[-1]]
    elif words and re.fullmatch(r"[1-5](?:/5)?", words[0]):
        words = [*words[1:], "vigour", words[0]]
    return " ".join(words)


def _nowhere(at: TypedLine, head: str, sheet: Sheet) -> Reading:
    numbers = list(sheet.lines)
    letters = sorted({j.letter for j in sheet.jobs if not j.letter.isdigit()})
    has = f"lines {numbers[0]} to {numbers[-1]}" + (f" and jobs {', '.join(letters)}" if letters else "")
    return Reading(
        at.number, at.raw, sheet.tags if len(sheet.tags) == 1 else (), sheet,
        fault=f"sheet {sheet.serial} has no line '{head}'",
        hint=f"it has {has}; begin each line with one of them",
    )  # fmt: skip


def _job_line(at: TypedLine, rest: str, sheet: Sheet, job: Offered, *, shared: bool = False) -> Reading:
    """A letter's line: the job was done, unless its words deny it; what else they say belongs to it."""
    said, raw, under = rest, at.raw, at.under
    dated = take_date(_TICKED.sub("", rest, count=1), under, at.grammar)
    ident = job.letter
    base = Reading(at.number, raw, (job.tag,), sheet, ident, dated.day, tick=True)
    base = replace(base, again=f"{ident} {said}".strip() if shared else again(ident, said, dated, raw))
    rest = dated.rest
    if rest.strip() in NOTHING:
        return replace(base, nothing=True, tick=False)
    if is_unread(rest):
        what = f"box {ident} ({job.work}): is it ticked, and of which day?"
        return unread(replace(base, again=raw, tick=False), under, what)
    rest = _TICKED.sub("", rest, count=1)
    ear = ear_for(under, at.grammar, (job.tag,), dated.day, done(job))
    heard = hear(rest, ear)
    if _DENIED.match(rest) and not any(set(p) - set(done(job)) - {"note"} for p in heard.parts[:1]):
        return _denied(base, rest, job)
    if "not ticked" in rest or rest.rstrip().endswith("?") or _ASKS.match(rest) or _HALF_DONE.search(f"{rest} done"):
        return replace(base, question=f"'{rest}' behind job {ident} ({job.work}): was it done?", parts=heard.parts)
    if dated.two:
        return replace(
            base, question=f"two days stand on this line ('{dated.two}' is one): which is it?", parts=heard.parts
        )
    return replace(heard_as(base, heard, under.by or dated.by, raw, rest), tick=True)


def _denied(base: Reading, rest: str, job: Offered) -> Reading:
    """`A 14 oct not needed`: a remark; with a number in it, a part of the job may have been done."""
    if any(c.isdigit() for c in rest):
        return replace(
            base,
            question=f"'{rest}' behind job {job.letter} ({job.work}): was a part of it done?",
            parts=(done(job),),
        )
    return replace(base, parts=({"note": f"{job.work}: {rest}"},), tick=False)


def done(job: Offered) -> dict[str, object]:
    """An offered job as the entry it makes."""
    if job.work == INTENTION:
        return {"did": job.own}
    return {"work": job.work, **({"branches": list(job.branches)} if job.branches else {})}
