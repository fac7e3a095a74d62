"""A page for a browser: each strip beside the place to type, boxes set as they were read.

One file: pictures inside, no network, no script from elsewhere, nothing sent anywhere. Its script saves what was typed, and
`page_answers` makes notes of that.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from hashlib import sha256

from .. import escapes
from ..camera.sheet_reader import SeenPage, by_sheet
from ..storage.printed import Sheet
from ..values import dataclass
from .grammar.lines import UNREAD
from .sheet_values import HAND, PLACE, SAY, TICKED, TOLD, Values, is_list, name_of, parted, values_of
from .typing_script import HANDS, SCRIPT, STYLE

_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"
_TICKS = (("", "empty"), (TICKED, "ticked"), (UNREAD, "not sure"))


MARK = "<!-- a page of benchleaf reconcile -->"  # what may be written over


@dataclass(frozen=True, slots=True)
class Told:
    """Words beside the places: of each job by serial and mark or line, and the names of trees."""

    jobs: Mapping[tuple[str, str], str]
    names: Mapping[str, str]


def page_html(pages: Sequence[SeenPage], day: str, told: Told, file_name: str) -> str:
    """The page for these sheets, all in one file."""
    sections = "".join(_section(serial, found, told) for serial, found in by_sheet(pages).items())
    return f"""<!DOCTYPE html>
{MARK}
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta http-equiv="Content-Security-Policy" content="{_POLICY}">
<title>Type what stands on the sheets</title><style>{STYLE}</style></head>
<body data-file="{escapes.page(file_name)}">
<h1>Type what stands on the sheets</h1>
<p>Type each line below its picture as it was written, with its day first: <code>14 oct wired 1 2 copper 2.5</code>.
Enter goes on to the next place. What you leave as <code>?</code> waits; what you clear says that nothing stands there. Nothing leaves this computer.</p>
<noscript><p>Scripts are off in this browser: type the lines into a text file instead, under the header of each sheet.</p></noscript>
<p><label>Day of ticked boxes that have none: <input id="day" class="day" value="{escapes.page(day)}"></label></p>
{sections}
<h2>When all is typed</h2>
<p><button id="save" type="button">Save the answers</button> then: <code>benchleaf reconcile {escapes.page(file_name)}</code></p>
<script>{SCRIPT}{HANDS}</script></body></html>
"""


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What the rows of one sheet are made from."""

    sheet: Sheet
    values: Values
    strips: Mapping[str, bytes]
    names: Sequence[str]
    told: Told

    def job(self, ident: str) -> str:
        return escapes.page(self.told.jobs.get((self.sheet.serial, ident), ""))


def _section(serial: str, pages: Sequence[SeenPage], told: Told) -> str:
    sheet = pages[0].sheet
    listed = is_list(sheet)
    strips = {name_of(key, sheet): data for page in pages for key, data in page.strips.items()}
    if listed:  # one strip for each of a row's vigour boxes
        strips |= {f"{name_of(key, sheet)} {key[1]}": d for page in pages for key, d in page.strips.items()}
    names = [name_of(key, sheet) for page in pages for key in (*page.boxes, *page.lines)]
    made = _Sheet(sheet, values_of(pages), strips, names, told)
    rows = [*_hand_row(made), *(_list_rows(made) if listed else _record_rows(made))]
    blank = [n for n in dict.fromkeys(names) if n.startswith("line") and n not in made.values]
    tag = sheet.tags[0]
    about = "" if listed else escapes.page(f", {tag} {told.names.get(tag, '')}".rstrip())
    return (
        f'<section data-serial="{serial}">'
        f"<h2>Sheet {serial}{about}</h2>{''.join(rows)}{_more(pages, blank)}</section>\n"
    )


def _more(pages: Sequence[SeenPage], blank: Sequence[str]) -> str:
    """The pages as a whole, and places for lines that were taken for blank: the eye has the last word."""
    views = "".join(
        f'<img alt="page {page.page} of the sheet" src="data:image/jpeg;base64,{base64.b64encode(view).decode()}">'
        for page in pages
        for view in page.views
    )
    rows = "".join(
        f'<div class="row"><b>{escapes.page(parted(name)[1])}</b>{_input(name, "", f"line {parted(name)[1]}", "line")}</div>'
        for name in blank
    )
    told = "The whole sheet, and lines that look blank" if blank else "The whole sheet"
    return f"<details><summary>{told}</summary>{views}{rows}</details>"


def _hand_row(made: _Sheet) -> list[str]:
    """Whose hand it was, where something stands on the line for it."""
    if HAND not in made.values:
        return []
    place = _input(HAND, made.values[HAND], "whose hand it was", "day")
    return [f'<div class="row"><b>{HAND}</b> {_image(made.strips, HAND, "whose hand it was")}{place}</div>']


def _record_rows(made: _Sheet) -> list[str]:
    """Lines that want typing first, then boxes with their days and the score."""
    rows = [
        f'<div class="row"><b>{n.removeprefix("line")}</b>{_image(made.strips, n, n)}{_input(n, made.values[n], n, "line")}</div>'
        for n in made.names
        if n.startswith("line") and n in made.values
    ]
    asked: list[str] = []
    plain: list[str] = []
    for name in (n for n in made.names if n.startswith("job")):
        mark = name.removeprefix("job")
        day = f"day{mark}"
        row = (
            f'<div class="row"><b>{mark}</b> {made.job(mark)} {_image(made.strips, name, mark)}'
            f"{_select(name, made.values.get(name, ''), f'box {mark}')} {_image(made.strips, day, f'day of {mark}')}"
            f"{_input(day, made.values.get(day, ''), f'day of box {mark}', 'day')}</div>"
        )
        (asked if name in made.values or day in made.values else plain).append(row)
    scores = [n for n in made.names if n.startswith("vigour")]
    if scores:
        images = "".join(_image(made.strips, n, n) for n in scores)
        asked.append(f'<div class="row"><b>V</b> vigour {images}{_score_boxes(made, scores)}</div>')
    folded = f"<details><summary>Boxes with nothing in them ({len(plain)})</summary>{''.join(plain)}</details>"
    return [*rows, *asked, *([folded] if plain else [])]


def _score_boxes(made: _Sheet, names: Sequence[str]) -> str:
    """One row to choose from for five boxes: each keeps its own value in a field that is not shown."""
    values = {name: made.values.get(name, "") for name in names}
    ticked = [name.removeprefix("vigour") for name, value in values.items() if value == TICKED]
    chosen = UNREAD if UNREAD in values.values() or len(ticked) > 1 else ticked[0] if ticked else ""
    kept = "".join(
        f'<input type="hidden" name="{name}" data-score="{name.removeprefix("vigour")}" value="{value}"{_asked(value)}>'
        for name, value in values.items()
    )
    return _choices(f"{made.sheet.serial} vigour", chosen, kept)


_SCORES = (("", "-"), *((str(n), str(n)) for n in range(1, 6)), (UNREAD, "not sure"))


def _list_rows(made: _Sheet) -> list[str]:
    if made.sheet.by_tag:
        return _tagged_rows(made)
    rows = []
    for line, tag in made.sheet.lines.items():
        job, vigour, text = f"job{line}", f"vigour{line}", f"line{line}"
        if not {job, vigour, text} & set(made.names):
            continue
        named = escapes.page(f"{tag} {made.told.names.get(tag, '')}".strip())
        fields = ""
        if job in made.names:
            box = _select(job, made.values.get(job, ""), f"box {line}")
            fields = f"{made.job(line)} {_image(made.strips, job, f'box {line}')}{box}"
        if vigour in made.names:
            fields += _scores(made, vigour, line)
        if text in made.values:
            fields += _image(made.strips, text, f"line {line}") + _input(text, UNREAD, f"line {line}", "line")
        rows.append(f'<div class="row"><b>{line}</b> {named} {fields}</div>')
    return rows


def _scores(made: _Sheet, name: str, line: str) -> str:
    """The five boxes as they were seen, and one row to choose from."""
    seen = "".join(_image(made.strips, f"{name} {n}", f"vigour {n}") for n in range(1, 6))
    return f" vigour {seen}{_radios(name, made.values.get(name, ''), f'{made.sheet.serial} vigour {line}')}"


def _tagged_rows(made: _Sheet) -> list[str]:
    """Rows that want typing first, then those with a mark; those with nothing on them are folded away."""
    idents = list(dict.fromkeys(parted(name)[1] for name in made.names if name != HAND))
    asked: list[str] = []
    marked: list[str] = []
    empty: list[str] = []
    for ident in idents:
        names = list(dict.fromkeys(name for name in made.names if parted(name)[1] == ident))
        values = [made.values[name] for name in names if name in made.values]
        (asked if UNREAD in values else marked if values else empty).append(_tagged_row(made, ident, names))
    folded = f"<details><summary>Rows with nothing on them ({len(empty)})</summary>{''.join(empty)}</details>"
    return [*asked, *marked, *([folded] if empty else [])]


def _tagged_row(made: _Sheet, ident: str, names: Sequence[str]) -> str:
    tag = made.sheet.lines.get(ident, ident)
    about = made.told.names.get(tag, "") if ident == tag else ""
    fields = [made.job(ident), *(_tagged_field(made, name, ident) for name in names)]
    row = escapes.page(f"{ident} {about}".rstrip())
    return f'<div class="row"><b>{row}</b> {" ".join(part for part in fields if part)}</div>'


def _tagged_field(made: _Sheet, name: str, ident: str) -> str:
    kind, _ = parted(name)
    value, shown = made.values.get(name, ""), escapes.page(ident)
    if kind == "vigour":
        return _scores(made, name, shown)
    key = escapes.page(name)
    if kind == "job" or kind.startswith(f"{SAY} "):
        words = "done" if kind == "job" else escapes.page(kind.partition(" ")[2])
        return f"{words} {_image(made.strips, name, words)}{_select(key, value, f'{words}, {ident}')}"
    if kind == "line" and name not in made.values:
        return ""  # among the lines that look blank
    words = "" if kind == "line" else escapes.page(kind.removeprefix(f"{TOLD} ").replace(PLACE, "…"))
    size = "line" if kind == "line" else "day"
    return (
        f"{words} {_image(made.strips, name, words or ident)}{_input(key, value, f'{words} {shown}'.strip(), size)}"
    )


def _radios(name: str, value: str, about: str) -> str:
    """A score as one row of choices; what holds the value is a field that is not shown."""
    key = escapes.page(name)
    kept = f'<input type="hidden" name="{key}" value="{escapes.page(value)}"{_asked(value)}>'
    return _choices(about, value, kept)


def _choices(about: str, chosen: str, kept: str) -> str:
    group = f"choice {_short(about)}"
    buttons = "".join(
        f'<label><input type="radio" name="{group}" value="{v}"{" checked" if v == chosen else ""}>{told}</label> '
        for v, told in _SCORES
    )
    return f'<span class="scores" role="radiogroup" aria-label="{about}">{buttons}{kept}</span>'


def _short(text: str) -> str:
    """A short name for a group of choices."""
    return sha256(text.encode()).hexdigest()[:8]


def _asked(value: str) -> str:
    return ' data-asked="1"' if value == UNREAD else ""


def _image(strips: Mapping[str, bytes], name: str, about: str) -> str:
    data = strips.get(name)
    if not data:
        return ""
    small = ' class="small"' if name.startswith(("job", "vigour", "day", "say ", "told ", HAND)) else ""
    return f'<img{small} alt="{escapes.page(about)}" src="data:image/jpeg;base64,{base64.b64encode(data).decode()}">'


def _asks(value: str, kind: str) -> str:
    """What marks a place that was asked: it wants an answer, and an empty one says that nothing stands there."""
    return f' class="{kind} ask" data-asked="1"' if value == UNREAD else f' class="{kind}"'


def _input(name: str, value: str, about: str, kind: str) -> str:
    shown = escapes.page(value)
    return f'<input name="{name}"{_asks(value, kind)} value="{shown}" aria-label="{about}" autocomplete="off">'


def _select(name: str, value: str, about: str, choice: Sequence[tuple[str, str]] = _TICKS) -> str:
    options = "".join(f'<option value="{v}"{" selected" if v == value else ""}>{told}</option>' for v, told in choice)
    return f'<select name="{name}"{_asks(value, "box")} aria-label="{about}">{options}</select>'
