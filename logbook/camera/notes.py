"""From seen pages and what was typed beside their strips to notes, as a grower would type them.

`Values` are flat: `line3`, `dayA` are text, `jobA` is `x` (ticked) or `?`, `vigour4` the same; on a walk list `job3` and
`vigour3` (a number or `?`) stand with their line. A `?` says that something is there that was not read or typed; it waits.
The page that is filled in (`page.py`) makes the same text of the same values.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..notes.forms import lines_of
from ..record.ledger import Sheet
from .seen import Key, SeenPage

Values = dict[str, str]
UNREAD = "?"
TICKED = "x"


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


def sheet_notes(serial: str, listed: bool, values: Mapping[str, str], day: str = "") -> str:
    """The typed notes of one sheet; an empty string where there is nothing on it. `day` is for boxes that have none."""
    said = {name: " ".join(value.split()) for name, value in values.items() if value.strip()}
    lines = _rows(said, day) if listed else lines_of(_filled(said), day).replace(f"V {day} {UNREAD}", f"V {UNREAD}")
    return f"sheet {serial}\n{lines}" if lines else ""


def _filled(said: Mapping[str, str]) -> dict[tuple[str, str], str]:
    """Values of a record sheet by kind and id, as a form has them; what is not known of a box makes its day unread."""
    filled: dict[tuple[str, str], str] = {}
    for name, value in said.items():
        kind = name.rstrip("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        filled[kind, name[len(kind) :]] = value
    for (kind, ident), value in list(filled.items()):
        if value == UNREAD and kind in ("job", "day"):
            filled["job", ident], filled["day", ident] = TICKED, UNREAD
    if UNREAD in [value for (kind, _), value in filled.items() if kind == "vigour"]:
        filled = {key: value for key, value in filled.items() if key[0] != "vigour"} | {("vigour", UNREAD): TICKED}
    return filled


def _rows(said: Mapping[str, str], day: str) -> str:
    """Lines of a list: what was written, then that its job was done, then the vigour; undated ones first."""
    numbers = sorted({int("".join(c for c in name if c.isdigit())) for name in said})
    rows: list[tuple[int, int, str]] = []
    for number in numbers:
        text, job, vigour = (said.get(f"{kind}{number}", "") for kind in ("line", "job", "vigour"))
        facts = [text] if text else []
        facts += ["done" if job == TICKED else UNREAD] if job else []
        facts += [f"vigour {vigour}" if vigour != UNREAD else UNREAD] if vigour else []
        body = UNREAD if text == UNREAD else "; ".join(dict.fromkeys(facts))
        bare = not text
        dated = f"{day} {body}" if bare and day and body != UNREAD else body
        rows.append((0 if bare and not day else 1, number, f"{number} {dated}\n"))
    return "".join(text for *_, text in sorted(rows))
