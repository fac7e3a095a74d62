"""Lines of a list whose rows are named by tags: a tag, a range, a bench's name, and what was done there.

`014 14 oct done; trunk 38`, `021-060 14 oct done but not 033`, `east 14 oct all looked over`. `done` or a bare day is the row's own job;
where a row has none it is a look-over.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from ...collection.dates import month_number
from ...collection.model import tag_key
from ...diagnostics import nearest
from ...storage.printed import Offered, Sheet
from ...values import dataclass
from .bodies import Dated, body, is_unread, take_date
from .headers import Grammar, TypedLine, tags_between
from .readings import Reading
from .row_done import dated_as, done, is_done, row_base, row_done

MOST_WORDS = 8  # of a bench's name
_BUT_NOT = re.compile(
    r"(?:^|[\s,;]+)(?:but not|except|excluding|not|without|bar)\s+((?:[\w-]+(?:\s*,\s*|\s+and\s+|\s+|$))+)$",
    re.IGNORECASE,
)
_UNTICKED = "not ticked"  # as a picture's notes say of a day beside an empty box


@dataclass(frozen=True, slots=True)
class RowAt:
    """The row that a line names: its name on record or the trees as they were typed, its trees, and the rest of the line."""

    ident: str
    tags: tuple[str, ...]
    rest: str


def list_line(at: TypedLine, line: str, sheet: Sheet) -> Reading:
    """A line of a list named by tags."""
    row = row_at(line, sheet, at.grammar)
    if row is None:
        return _nowhere(at, line, sheet)
    ambiguous = _day_or_row(row, sheet)
    if ambiguous:
        hint = "" if at.under.asked_at else "begin each line with the tag of its row, then its day: 14 20 oct done"
        why = f"a row or a day, as asked at line {at.under.asked_at}" if at.under.asked_at else ambiguous
        at.under.asked_at = at.under.asked_at or at.number
        return Reading(at.number, at.raw, row.tags[:1], sheet, row.ident, fault=why, hint=hint)
    left_out, rest = without(row.rest, row.tags)
    unknown = [tag for tag in left_out if tag not in row.tags]
    if unknown:
        why = f"{', '.join(unknown)} is not among {row.ident}"
        return Reading(at.number, at.raw, row.tags[:1], sheet, row.ident, fault=why, hint="name tags of that row")
    meant = tuple(tag for tag in row.tags if tag not in left_out)
    rest = rest.lstrip("-–: ") or rest
    return _own_job(at, rest, sheet, replace(row, tags=meant)) or body(at, rest, meant, row.ident)


def row_at(line: str, sheet: Sheet, grammar: Grammar) -> RowAt | None:
    """The row at the head of a line: a row's name, a tag with the mark of one of its jobs, a tag, a range, or a bench."""
    words = line.split(" ")
    first = words[0].rstrip(".):").replace("–", "-")
    names = {tag_key(ident): ident for ident in sheet.lines}
    marked = f"{first}+{words[1].rstrip('.):')}" if len(words) > 1 else ""
    for name, taken in ((marked, 2), (first, 1)):
        ident = names.get(tag_key(name)) if name else None
        if ident is not None:
            return RowAt(ident, sheet.trees_of(ident), " ".join(words[taken:]))
    trees = {tag_key(tag): tag for tag in sheet.tags}
    if tag_key(first) in trees:
        tag = trees[tag_key(first)]
        return RowAt(tag, (tag,), " ".join(words[1:]))
    ranged = tuple(trees[tag_key(t)] for t in tags_between(first, grammar) if tag_key(t) in trees)
    return RowAt(first, ranged, " ".join(words[1:])) if ranged else _bench_at(words, names, sheet)


def _bench_at(words: Sequence[str], names: dict[str, str], sheet: Sheet) -> RowAt | None:
    """A bench by its name, as long as it goes."""
    for count in range(min(MOST_WORDS, len(words)), 0, -1):
        slug = re.sub(r"[\W_]+", "-", " ".join(words[:count]).casefold()).strip("-")
        ident = names.get(tag_key(slug)) if slug else None
        if ident is not None:
            return RowAt(ident, sheet.trees_of(ident), " ".join(words[count:]))
    return None


def _day_or_row(row: RowAt, sheet: Sheet) -> str:
    """Why it must be asked whether a tag is the day of a month: `14 oct done` with a tag 14 on the list."""
    first, _, second = row.rest.partition(" ")
    is_number = row.ident.isdigit() and 1 <= int(row.ident) <= 31
    if is_number and month_number(first.strip(".,:")) and not second[:1].isdigit():
        return f"is this row {row.ident}, or the day '{row.ident} {first}' of sheet {sheet.serial}?"
    return ""


def without(rest: str, tags: Sequence[str]) -> tuple[list[str], str]:
    """The tags behind `but not` at the end, and the line without them."""
    found = _BUT_NOT.search(rest) if len(tags) > 1 else None
    if not found or not re.search(r"\d", found[1]):
        return [], rest
    named = [word for word in re.split(r"[\s,]+", found[1]) if word and word.casefold() != "and"]
    by_key = {tag_key(tag): tag for tag in tags}
    return [by_key.get(tag_key(word), word) for word in named], rest[: found.start()]


def _own_job(at: TypedLine, rest: str, sheet: Sheet, row: RowAt) -> Reading | None:
    """A line that says of the row's own job, or where it has none of the look-over, that it was done; None where it does not."""
    job = _job_of(row, sheet)
    meant = done(job) if job is not None else _look_over(at.grammar)
    before = at.under.last_date
    dated = take_date(rest, at.under, at.grammar)
    base = row_base(at, row.tags, sheet, row.ident)
    settled = _settled(
        dated, dated_as(at, base, rest, dated), meant, is_asked=job is not None or row.ident in sheet.lines
    )
    if settled is not None:
        return settled
    at.under.last_date = before
    score = _score(dated, has_job=job is not None)
    if score:
        return body(at, score, row.tags, row.ident)
    if job is None and not _says_done(dated):
        return None
    return row_done(at, rest, base, meant)


def _says_done(dated: Dated) -> bool:
    return is_done(dated.rest) and not is_unread(dated.rest)


def _settled(dated: Dated, base: Reading, meant: dict[str, object], *, is_asked: bool) -> Reading | None:
    """What needs no hearing: a bare day, a day beside an empty box, a tick where nothing was asked; None for all else."""
    bare = dated.own and not dated.rest.strip()
    if _UNTICKED in dated.rest:
        return replace(base, question=f"a day beside an empty box: was {_told(meant)} done?", parts=(meant,))
    if not is_asked and (bare or _says_done(dated)):
        return replace(base, question=f"nothing was asked of {base.line}: what was done?", parts=(meant,))
    return replace(base, parts=(meant,)) if bare else None


def _job_of(row: RowAt, sheet: Sheet) -> Offered | None:
    """The job of a row, or of the row of neighbours that these trees are of."""
    own = sheet.job(row.ident)
    if own is not None or row.ident in sheet.lines:
        return own
    meant = set(row.tags)
    jobs = (sheet.job(ident) for ident, tags in sheet.rows.items() if meant <= set(tags))
    return next((job for job in jobs if job is not None), None)


def _told(meant: dict[str, object]) -> str:
    return str(meant.get("work") or meant.get("did"))


def _score(dated: Dated, *, has_job: bool) -> str:
    """A bare score on a row that asks for one."""
    said = dated.rest.strip()
    if has_job or not re.fullmatch(r"[1-5]", said):
        return ""
    return f"{dated.day.words if dated.own and dated.day else ''} vigour {said}".strip()


def _look_over(grammar: Grammar) -> dict[str, object]:
    return {"work": next(work.name for work in grammar.knowledge.works.values() if work.is_look_over)}


def _nowhere(at: TypedLine, line: str, sheet: Sheet) -> Reading:
    head = line.split(" ")[0]
    close = nearest(head, [*sheet.lines, *sheet.tags], 0.5)
    hint = "begin each line with the tag of its row" + (f"; did you mean {close}?" if close else "")
    one = sheet.tags if len(sheet.tags) == 1 else ()
    return Reading(at.number, at.raw, one, sheet, fault=f"sheet {sheet.serial} has no row '{head}'", hint=hint)
