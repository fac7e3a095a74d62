"""From seen pages and what was typed beside their strips to notes, as a grower would type them.

`Values` are flat: `line3`, `dayrp` are text, `jobrp` is `x` (ticked) or `?`, `vigour4` the same; on a walk list `job3` and
`vigour3` (a number or `?`) stand with their line. A `?` says that something is there that was not read or typed; it waits. A
`-` says that nothing is there after all, which settles it.
The page that is filled in (`page.py`) makes the same text of the same values.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

from ..camera.sheet_reader import Key, SeenPage
from ..storage.printed import Sheet
from .grammar.lines import NOTHING as DASHES
from .grammar.lines import UNREAD
from .pdf_form import lines_of

Values = dict[str, str]
NOTHING = DASHES[0]
TICKED = "x"
KINDS = ("line", "job", "day", "vigour")
# words that begin with a day, as far as a day can be told from them; the page's script has the same
DATED = (
    r"(?:\d|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.? ?\d|(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\b)"
)
_DATED = re.compile(DATED, re.IGNORECASE)


def is_list(sheet: Sheet) -> bool:
    """Whether lines and boxes belong together by row, as on a walk list or a list of bench days."""
    return any(job.letter.isdigit() for job in sheet.jobs) or len(sheet.tags) > 1


def name_of(key: Key, sheet: Sheet) -> str:
    """The name under which a place's value is kept."""
    kind, ident, tag = key
    if kind == "vigour" and is_list(sheet):
        return f"vigour{next((line for line, owner in sheet.lines.items() if owner == tag), ident)}"
    return f"{kind}{ident}"


def values_of(pages: Sequence[SeenPage]) -> Values:
    """What one sheet's pages show, with a `?` for all that has to be typed or asked."""
    values: Values = {}
    for page in pages:
        for key, written in page.lines.items():
            if written is not False:
                values[name_of(key, page.sheet)] = UNREAD
        for key, ticked in page.boxes.items():
            if ticked is False:
                continue
            name = name_of(key, page.sheet)
            mark = UNREAD if ticked is None else TICKED
            if key[0] == "vigour" and is_list(page.sheet):
                mark = UNREAD if ticked is None or name in values else key[1]
            values[name] = mark
    return values


def sheet_notes(
    serial: str, listed: bool, values: Mapping[str, str], day: str = "", there: Collection[str] = ()
) -> str:
    """The typed notes of one sheet; an empty string where there is nothing on it.

    `day` is for boxes that have none; `there` are the lines and marks that the log has already, which need none.
    """
    said = {name: " ".join(value.split()) for name, value in values.items() if value.strip()}
    if listed:
        lines = _rows(said, day, there)
    else:
        filled = _filled(said)
        unsaid = ("vigour", UNREAD) in filled or ("vigour", NOTHING) in filled
        lines = lines_of(filled, day, {*there, "V"} if unsaid else there)
    return f"sheet {serial}\n{lines}" if lines else ""


def _filled(said: Mapping[str, str]) -> dict[tuple[str, str], str]:
    """Values of a record sheet by kind and id, as a form has them; what is not known of a box makes its day unread."""
    filled = {parted(name): value for name, value in said.items() if (parted(name)[0], value) != ("day", NOTHING)}
    for (kind, ident), value in list(filled.items()):
        if kind == "job" and value == NOTHING:
            del filled["job", ident]
            if not filled.get(("day", ident)):
                filled["line", ident] = NOTHING
    for (kind, ident), value in list(filled.items()):
        if value == UNREAD and kind in ("job", "day"):
            filled["job", ident], filled["day", ident] = TICKED, UNREAD
    scores = {key: value for key, value in filled.items() if key[0] == "vigour"}
    ticked = {key for key, value in scores.items() if value == TICKED}
    which = UNREAD if UNREAD in scores.values() else NOTHING if scores and not ticked else ""
    kept = {key: value for key, value in filled.items() if key[0] != "vigour" or (key in ticked and not which)}
    return kept | ({("vigour", which): TICKED} if which else {})


def parted(name: str) -> tuple[str, str]:
    """Kind and id out of a value's name: `line3`, `jobrp`, `jobA`."""
    kind = next(kind for kind in KINDS if name.startswith(kind))
    return kind, name[len(kind) :]


def _rows(said: Mapping[str, str], day: str, there: Collection[str]) -> str:
    """Lines of a list: what was written, then that its job was done, then the vigour; undated ones first.

    Where something was ticked on a line whose words have no day, the day for boxes stands in front of both.
    """
    rows: list[tuple[int, int, str]] = []
    for number in sorted({int(parted(name)[1]) for name in said}):
        text, job, vigour = (said.get(f"{kind}{number}", "") for kind in ("line", "job", "vigour"))
        marks = [f"done{' ?' if job == UNREAD else ''}"] if job not in ("", NOTHING) else []
        marks += [f"vigour {vigour}"] if vigour not in ("", NOTHING) else []
        words = text if text != NOTHING else ""
        body = "; ".join([*([words] if words else []), *marks]) or NOTHING
        bare = not words and body != NOTHING
        dates = marks and words != UNREAD and not _DATED.match(words) and str(number) not in there
        told = f"{day} {body}" if day and dates and UNREAD not in body else body
        rows.append((0 if bare and told == body else 1, number, f"{number} {told}\n"))
    return "".join(text for *_, text in sorted(rows))
