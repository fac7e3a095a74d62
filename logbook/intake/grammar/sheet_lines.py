"""Lines of a sheet: ticked jobs by their marks, vigour boxes, and rows of lists that say their job was done."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from ...collection.dates import month_number
from ...collection.model import tag_key
from ...storage.printed import Offered, Sheet
from .bodies import VIGOUR_LINE, Dated, again, body, day_in_pieces, ear_for, heard_as, is_unread, take_date, unread
from .headers import TypedLine
from .hearing import hear
from .list_rows import list_line
from .readings import NOTHING, Reading
from .row_done import ASKS, HALF_DONE, done, row_base, row_done

_TICK = r"(?:x|✓|✔|☑|ok|okay|yes|y|done|ticked)"
_TICKED = re.compile(rf"^(?:{_TICK}(?!\w|-)[.,:!]?\s*)+", re.IGNORECASE)
# a job's mark: two letters, a number behind a second one of a kind; a letter on sheets of before
_MARK = r"[A-Za-z](?:[A-Za-z]\d?|\d)?"
_BETWEEN = r"\s*(?:[+,&/]|\band\b)\s*"
_SEVERAL = re.compile(rf"^({_MARK}(?:{_BETWEEN}{_MARK})+|[A-Z](?:\s[A-Z])+)[.):]?(?=\s|$)")
_FIRST = re.compile(rf"({_MARK})(?=[.):]?(?:\s|$))")
_DENIED = re.compile(
    r"^(?:not?|never|skip\w*|didn.?t|hasn.?t|wasn.?t|isn.?t|needn.?t|without|none|postponed|later|next|if|when)(?!\w)",
    re.IGNORECASE,
)


def sheet_line(at: TypedLine, line: str, sheet: Sheet) -> list[Reading]:
    """A line that stands on a printed sheet, by its number or its marks."""
    if sheet.by_tag:
        return [list_line(at, line, sheet)]
    several = _several(line, sheet)
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
    if ident.upper() == VIGOUR_LINE and len(sheet.tags) == 1:
        return [_vigour_line(at, rest, sheet)]
    return [_nowhere(at, head, sheet)]


def names_row(head: str, sheet: Sheet) -> bool:
    """Whether a line that begins so stands on this sheet: by its number, its mark, its tree's tag, or the vigour boxes."""
    ident = _row_named(head, sheet)
    return ident in sheet.lines or sheet.job(ident) is not None or ident.upper() == VIGOUR_LINE


def _row_named(head: str, sheet: Sheet) -> str:
    """The line, mark or row that a typed line begins with; a row of a list by its tree's tag as well."""
    ident = _ident(head)
    return ident if ident in sheet.lines else _row_of(ident, sheet) or ident


def _row_of(tag: str, sheet: Sheet) -> str:
    """The row of a list that a tree stands on, by its tag; an empty string where it stands on none, or on several."""
    if len(sheet.tags) < 2:
        return ""
    rows = [row for row, other in sheet.lines.items() if tag_key(other) == tag_key(tag)]
    return rows[0] if len(rows) == 1 else ""


def _several(line: str, sheet: Sheet) -> tuple[list[Offered], int] | None:
    """The jobs of several marks at once (`rp+tr`, `rp, tr`; `A C` of a sheet with letters), and where they end; None where there are not."""
    found = _SEVERAL.match(line)
    if not found:
        return None
    jobs = [sheet.job(mark) for mark in re.split(rf"{_BETWEEN}|\s+", found[1])]
    given = [job for job in jobs if job is not None]
    return (given, found.end()) if len(given) == len(jobs) else None


def ticked_on(lines: Sequence[str], sheet: Sheet) -> tuple[str, ...]:
    """The works that are ticked by their marks on these lines of one sheet."""
    if sheet.by_tag:
        return ()
    found: list[str] = []
    for line in lines:
        several = _several(line, sheet)
        first = _FIRST.match(line)
        one = sheet.job(first[1]) if first else None
        found += [j.work for j in (several[0] if several else [one] if one else [])]
    return tuple(found)


def _ident(head: str) -> str:
    """The number or mark that a line begins with: `3.`, `rp:`, `a)`."""
    return head.rstrip(".):-").lower()


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
    made = row_done(at, rest, row_base(at, (tag,), sheet, ident), done(job)) if job is not None else None
    return made if made is not None else body(at, rest, (tag,), ident)


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
    marks = sorted({j.letter for j in sheet.jobs if not j.letter.isdigit()})
    has = f"lines {numbers[0]} to {numbers[-1]}" + (f" and jobs {', '.join(marks)}" if marks else "")
    return Reading(
        at.number, at.raw, sheet.tags if len(sheet.tags) == 1 else (), sheet,
        fault=f"sheet {sheet.serial} has no line '{head}'",
        hint=f"it has {has}; begin each line with one of them",
    )  # fmt: skip


def _job_line(at: TypedLine, rest: str, sheet: Sheet, job: Offered, *, shared: bool = False) -> Reading:
    """A mark's line: the job was done, unless its words deny it; what else they say belongs to it."""
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
    doubt = _job_in_doubt(said, rest, dated, job)
    if doubt:
        return replace(base, question=doubt, parts=heard.parts)
    return replace(heard_as(base, heard, dated.by or under.by, raw, rest), tick=True)


def _job_in_doubt(said: str, rest: str, dated: Dated, job: Offered) -> str:
    """Why it must be asked whether a job was done, or on which day; an empty string where it need not."""
    if "not ticked" in rest or rest.rstrip().endswith("?") or ASKS.match(rest) or HALF_DONE.search(f"{rest} done"):
        return f"'{rest}' behind job {job.letter} ({job.work}): was it done?"
    if dated.two:
        return f"two days stand on this line ('{dated.two}' is one): which is it?"
    return day_in_pieces(_TICKED.sub("", said, count=1), dated)


def _denied(base: Reading, rest: str, job: Offered) -> Reading:
    """`A 14 oct not needed`: a remark; with a number in it, a part of the job may have been done."""
    if any(c.isdigit() for c in rest):
        return replace(
            base,
            question=f"'{rest}' behind job {job.letter} ({job.work}): was a part of it done?",
            parts=(done(job),),
        )
    return replace(base, parts=({"note": f"{job.work}: {rest}"},), tick=False)
