"""From seen pages and what was typed beside their strips to notes, as a grower would type them.

`Values` are flat: `line3`, `dayrp` are text, `jobrp` is `x` (ticked) or `?`, `vigour4` the same; on a walk list `job3` and
`vigour3` (a number or `?`) stand with their line. On lists named by tags a colon parts both: `job:014`, `vigour:014`, `say wire off:014`
for a box that says its words, `told _ saw open:014` for a place whose words have a `_` where the value goes; `by` is the hand of all. A `?` says that something is there that was not read or typed; it waits. A
`-` says that nothing is there after all, which settles it.
What was typed on the page (`typing_page.py`) comes to the same values.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING

from ..storage.printed import Sheet
from .grammar.headers import MOST_IN_A_HAND
from .grammar.lines import NOTHING as DASHES
from .grammar.lines import UNREAD
from .pdf_form import lines_of

if TYPE_CHECKING:  # the camera is an optional extra
    from ..camera.sheet_reader import Key, SeenPage

Values = dict[str, str]
NOTHING = DASHES[0]
SAY, TOLD, HAND = "say", "told", "by"
AT_END = ("but not _",)  # what stands behind all else
PLACE = "_"  # where a told value goes among its words
TICKED = "x"
KINDS = ("line", "job", "day", "vigour")
# words that begin with a day, as far as a day can be told from them
DATED = (
    r"(?:\d|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.? ?\d|(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\b)"
)
_DATED = re.compile(DATED, re.IGNORECASE)


def is_list(sheet: Sheet) -> bool:
    """Whether lines and boxes belong together by row, as on a walk list or a list of bench days."""
    return sheet.by_tag or any(job.letter.isdigit() for job in sheet.jobs) or len(sheet.tags) > 1


def name_of(key: Key, sheet: Sheet) -> str:
    """The name under which a place's value is kept."""
    kind, ident, tag = key
    if kind == HAND:
        return HAND
    if sheet.by_tag:
        return f"{kind} {ident}:{tag}" if kind in (SAY, TOLD) else f"{kind}:{tag}"
    if kind == "vigour" and is_list(sheet):
        return f"vigour{next((line for line, owner in sheet.lines.items() if owner == tag), ident)}"
    return f"{kind}{ident}"


def values_of(pages: Sequence[SeenPage]) -> Values:
    """What one sheet's pages show, with a `?` for all that has to be typed or asked."""
    values: Values = {}
    for page in pages:
        values |= {name_of(key, page.sheet): UNREAD for key, written in page.lines.items() if written is not False}
        for key, ticked in page.boxes.items():
            if ticked is not False:
                name = name_of(key, page.sheet)
                values[name] = _mark(key, ticked, page.sheet, again=name in values)
    return values


def _mark(key: Key, ticked: bool | None, sheet: Sheet, *, again: bool) -> str:
    """The value of a box that is ticked, or perhaps is; `again`: another box of the same name was before it."""
    if ticked is None:
        return UNREAD
    if key[0] == "vigour" and is_list(sheet):
        return UNREAD if again else key[1]
    return TICKED


def sheet_notes(
    serial: str, listed: bool, values: Mapping[str, str], day: str = "", there: Collection[str] = ()
) -> str:
    """The typed notes of one sheet; an empty string where there is nothing on it.

    `day` is for boxes that have none; `there` are the lines and marks that the log has already, which need none.
    """
    said = {name: " ".join(value.split()) for name, value in values.items() if value.strip()}
    hand = _hand(said.pop(HAND, ""))
    if listed:
        lines = _rows(said, day, there)
    else:
        filled = _filled(said)
        unsaid = ("vigour", UNREAD) in filled or ("vigour", NOTHING) in filled
        lines = lines_of(filled, day, {*there, "V"} if unsaid else there)
    return f"sheet {serial}{hand}\n{lines}" if lines else ""


def _hand(said: str) -> str:
    """Whose hands it was, as a header says it: letters alone, as many as a hand's mark has, strokes between several."""
    if said == UNREAD:
        return f" by {UNREAD}"
    hands = [re.sub(r"[\W\d_]", "", part)[:MOST_IN_A_HAND] for part in said.split("/")]
    told = "/".join(hand for hand in hands if hand)
    return f" by {told}" if told else ""


def _filled(said: Mapping[str, str]) -> dict[tuple[str, str], str]:
    """Values of a record sheet by kind and id, as a form has them; what is not known of a box makes its day unread."""
    filled = {parted(name): value for name, value in said.items()}
    filled = {key: value for key, value in filled.items() if (key[0], value) != ("day", NOTHING)}
    for ident in [ident for (kind, ident), value in filled.items() if kind == "job" and value == NOTHING]:
        del filled["job", ident]
        if not filled.get(("day", ident)):
            filled["line", ident] = NOTHING
    for ident in [ident for (kind, ident), value in filled.items() if kind in ("job", "day") and value == UNREAD]:
        filled["job", ident], filled["day", ident] = TICKED, UNREAD
    return _with_one_score(filled)


def _with_one_score(filled: Mapping[tuple[str, str], str]) -> dict[tuple[str, str], str]:
    """The vigour boxes that are ticked; a `?` for all of them where one is not known, a `-` where none is ticked."""
    scores = {key: value for key, value in filled.items() if key[0] == "vigour"}
    others = {key: value for key, value in filled.items() if key[0] != "vigour"}
    ticked = {key: value for key, value in scores.items() if value == TICKED}
    if UNREAD in scores.values():
        return {**others, ("vigour", UNREAD): TICKED}
    return {**others, ("vigour", NOTHING): TICKED} if scores and not ticked else {**others, **ticked}


def parted(name: str) -> tuple[str, str]:
    """Kind and id out of a value's name: `line3`, `jobrp`, `jobA`, `say looked:014`; of the hand's, which has no id."""
    if name == HAND:
        return HAND, ""
    if ":" in name:
        kind, _, ident = name.partition(":")
        return kind, ident
    kind = next(kind for kind in KINDS if name.startswith(kind))
    return kind, name[len(kind) :]


def _rows(said: Mapping[str, str], day: str, there: Collection[str]) -> str:
    """Lines of a list: what was written, then that its job was done, then the vigour; undated ones first.

    Where something was ticked on a line whose words have no day, the day for boxes stands in front of both.
    """
    if any(":" in name for name in said):
        return _tagged_rows(said, day, there)
    numbers = sorted({int(parted(name)[1]) for name in said})
    rows = [_row(number, said, "" if str(number) in there else day) for number in numbers]
    return "".join(text for *_, text in sorted(rows))


def _row(number: int, said: Mapping[str, str], day: str) -> tuple[int, int, str]:
    """One line of a list, with what it is sorted by: undated marks alone come first, since they may take no other's day."""
    text, job, vigour = (said.get(f"{kind}{number}", "") for kind in ("line", "job", "vigour"))
    words = text if text != NOTHING else ""
    marks = [f"done{' ?' if job == UNREAD else ''}"] if job not in ("", NOTHING) else []
    marks += [f"vigour {vigour}"] if vigour not in ("", NOTHING) else []
    body = "; ".join([words, *marks] if words else marks) or NOTHING
    dates = bool(day and marks) and UNREAD not in body and not _DATED.match(words)
    undated = bool(marks) and not words and not dates
    return (0 if undated else 1), number, f"{number} {day} {body}\n" if dates else f"{number} {body}\n"


def _tagged_rows(said: Mapping[str, str], day: str, there: Collection[str]) -> str:
    """Lines of a list named by tags, in the order in which its rows come; undated ones first."""
    rows: list[tuple[int, int, str]] = []
    idents = list(dict.fromkeys(parted(name)[1] for name in said))
    for place, ident in enumerate(idents):
        values = {parted(name)[0]: value for name, value in said.items() if parted(name)[1] == ident}
        for text, dated in _row_lines(values, day, wants_day=ident not in there):
            rows.append((int(dated), place, f"{ident} {text}\n"))
    return "".join(text for *_, text in sorted(rows, key=lambda row: row[:2]))


def _row_lines(values: Mapping[str, str], day: str, *, wants_day: bool) -> list[tuple[str, bool]]:
    """What stands on one row, in lines, and whether each has its day: what has a day of its own is a line by itself."""
    words, own = (_settled(values.get(kind, "")) for kind in ("line", "day"))
    ticks, alone, asked = _ticks(values)
    told, apart, behind = _told(values)
    marks = [*(["?"] if own == UNREAD or asked else []), *ticks, *told]
    body = "; ".join([*([words] if words else []), *marks]) + behind
    lines = [(text, True) for text in (*alone, *apart)]
    if not body.strip():
        bare = f"{own} (the box is not ticked)" if own else "" if lines else NOTHING
        return [*([(bare, True)] if bare else []), *lines]
    own = "" if own == UNREAD else own
    is_dated = bool(own) or bool(_DATED.match(words))
    front = own or (day if wants_day and not is_dated and UNREAD not in body else "")
    return [(f"{front} {body.strip()}".strip(), bool(front) or is_dated), *lines]


def _settled(value: str) -> str:
    return "" if value == NOTHING else value


def _ticks(values: Mapping[str, str]) -> tuple[list[str], list[str], bool]:
    """What boxes say in the row's line, what is a line of its own, and whether one of them has to be asked."""
    ticks: list[str] = []
    alone: list[str] = []
    asked = False
    for kind, value in values.items():
        if value in ("", NOTHING):
            continue
        if kind == "job":
            ticks.append("done ?" if value == UNREAD else "done")
        elif kind == "vigour":
            ticks.append(f"vigour {value}")
        elif kind.startswith(f"{SAY} "):
            words = kind.removeprefix(f"{SAY} ")
            asked |= value == UNREAD
            if value != UNREAD:
                (alone if words[0].isdigit() else ticks).append(words)
    return ticks, alone, asked


def _told(values: Mapping[str, str]) -> tuple[list[str], list[str], str]:
    """What is told by a value in the row's line, in lines of their own, and at the line's end."""
    told: list[str] = []
    apart: list[str] = []
    behind = ""
    for kind, value in values.items():
        if not kind.startswith(f"{TOLD} ") or value in ("", NOTHING):
            continue
        words = kind.removeprefix(f"{TOLD} ")
        if value == UNREAD:
            (apart if words.startswith(PLACE) else told).append(UNREAD)
        elif words.startswith(PLACE):
            apart.append(words.replace(PLACE, value))
        elif words in AT_END:
            behind = f" {words.replace(PLACE, value)}"
        else:
            told.append(words.replace(PLACE, value))
    return told, apart, behind
