"""A page for a browser: each strip beside the place to type, boxes set as they were read.

One file: pictures inside, no network, no script from elsewhere, nothing sent anywhere. Its script saves what was typed, and
`page_answers` makes notes of that.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from ..camera.sheet_reader import SeenPage, by_sheet
from ..storage.printed import Sheet
from .grammar.lines import UNREAD
from .sheet_values import TICKED, Values, is_list, name_of, values_of

# all that the page does: what was typed is saved as it stands, and Python makes notes of it
SCRIPT = r"""
function answersOf(day, sheets) {
  return JSON.stringify({ answers: 1, day: day, sheets: sheets }, null, 1) + "\n";
}
"""

_HANDS = r"""
function each(list, act) { Array.prototype.forEach.call(list, act); }
function text() {
  var sheets = [];
  each(document.querySelectorAll("section"), function (section) {
    var sheet = { serial: section.dataset.serial, values: {}, asked: [] };
    each(section.querySelectorAll("[name]"), function (field) {
      sheet.values[field.name] = field.value;
      if (field.dataset.asked) sheet.asked.push(field.name);
    });
    sheets.push(sheet);
  });
  return answersOf(document.getElementById("day").value, sheets);
}
document.addEventListener("focusin", function (event) {
  if (event.target.value === "?" && event.target.select) event.target.select();
});
document.addEventListener("keydown", function (event) {
  if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
  event.preventDefault();
  var fields = Array.prototype.slice.call(document.querySelectorAll("input, select, button"));
  var next = fields[fields.indexOf(event.target) + 1];
  if (next) next.focus();
});
var saved = text();
document.getElementById("save").addEventListener("click", function () {
  var link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text()], { type: "application/json" }));
  link.download = document.body.dataset.file;
  link.click();
  saved = text();
});
window.addEventListener("beforeunload", function (event) { if (text() !== saved) event.preventDefault(); });
"""

_STYLE = """
body { font: 18px/1.4 sans-serif; margin: 1em auto; max-width: 60em; padding: 0 1em; color: #111; background: #fff }
h1 { font-size: 1.3em } h2 { font-size: 1.1em; border-bottom: 1px solid #888; margin-top: 2em }
.row { margin: 1em 0 } .row b { display: inline-block; min-width: 2.2em }
details { margin: 1em 0 } details img { max-width: 100%; border: 1px solid #bbb }
.row img { display: block; max-width: 100%; border: 1px solid #bbb; margin: 2px 0 }
.row img.small { display: inline-block; height: 46px; vertical-align: middle }
input, select, button { font: inherit; padding: 4px 6px; border: 1px solid #444; border-radius: 3px }
input.line { width: calc(100% - 1em) } input.day { width: 9em }
:focus { outline: 3px solid #06c } .ask { background: #fff3c4 }
"""
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"
_TICKS = (("", "empty"), (TICKED, "ticked"), (UNREAD, "not sure"))


MARK = "<!-- a page of benchleaf reconcile -->"  # what may be written over


@dataclass(frozen=True, slots=True)
class Told:
    """Words beside the places: of each job by serial and letter or line, and the names of trees."""

    jobs: Mapping[tuple[str, str], str]
    names: Mapping[str, str]


def page_html(pages: Sequence[SeenPage], day: str, told: Told, file_name: str) -> str:
    """The page for these sheets, all in one file."""
    sections = "".join(_section(serial, found, told) for serial, found in by_sheet(pages).items())
    return f"""<!DOCTYPE html>
{MARK}
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta http-equiv="Content-Security-Policy" content="{_POLICY}">
<title>Type what stands on the sheets</title><style>{_STYLE}</style></head>
<body data-file="{escape(file_name, quote=True)}">
<h1>Type what stands on the sheets</h1>
<p>Type each line below its picture as it was written, with its day first: <code>14 oct wired 1 2 copper 2.5</code>.
Enter goes on to the next place. What you leave as <code>?</code> waits; what you clear says that nothing stands there. Nothing leaves this computer.</p>
<noscript><p>Scripts are off in this browser: type the lines into a text file instead, under the header of each sheet.</p></noscript>
<p><label>Day of ticked boxes that have none: <input id="day" class="day" value="{escape(day, quote=True)}"></label></p>
{sections}
<h2>When all is typed</h2>
<p><button id="save" type="button">Save the answers</button> then: <code>benchleaf reconcile {escape(file_name)}</code></p>
<script>{SCRIPT}{_HANDS}</script></body></html>
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
        return escape(self.told.jobs.get((self.sheet.serial, ident), ""))


def _section(serial: str, pages: Sequence[SeenPage], told: Told) -> str:
    sheet = pages[0].sheet
    listed = is_list(sheet)
    strips = {name_of(key, sheet): data for page in pages for key, data in page.strips.items()}
    if listed:  # one strip for each of a row's vigour boxes
        strips |= {f"{name_of(key, sheet)} {key[1]}": d for page in pages for key, d in page.strips.items()}
    names = [name_of(key, sheet) for page in pages for key in (*page.boxes, *page.lines)]
    made = _Sheet(sheet, values_of(pages), strips, names, told)
    rows = _list_rows(made) if listed else _record_rows(made)
    blank = [n for n in dict.fromkeys(names) if n.startswith("line") and n not in made.values]
    tag = sheet.tags[0]
    about = "" if listed else escape(f", {tag} {told.names.get(tag, '')}".rstrip())
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
        f'<div class="row"><b>{number}</b>{_input(f"line{number}", "", f"line {number}", "line")}</div>'
        for number in (name.removeprefix("line") for name in blank)
    )
    told = "The whole sheet, and lines that look blank" if blank else "The whole sheet"
    return f"<details><summary>{told}</summary>{views}{rows}</details>"


def _record_rows(made: _Sheet) -> list[str]:
    rows = []
    for name in (n for n in made.names if n.startswith("job")):
        letter = name.removeprefix("job")
        day = f"day{letter}"
        rows.append(
            f'<div class="row"><b>{letter}</b> {made.job(letter)} {_image(made.strips, name, letter)}'
            f"{_select(name, made.values.get(name, ''), f'box {letter}')} {_image(made.strips, day, f'day of {letter}')}"
            f"{_input(day, made.values.get(day, ''), f'day of box {letter}', 'day')}</div>"
        )
    scores = [n for n in made.names if n.startswith("vigour")]
    if scores:
        fields = "".join(
            f"<label>{n.removeprefix('vigour')} {_image(made.strips, n, n)}{_select(n, made.values.get(n, ''), n)}</label> "
            for n in scores
        )
        rows.append(f'<div class="row"><b>V</b> vigour {fields}</div>')
    lines = [n for n in made.names if n.startswith("line") and n in made.values]
    return rows + [
        f'<div class="row"><b>{n.removeprefix("line")}</b>{_image(made.strips, n, n)}{_input(n, made.values[n], n, "line")}</div>'
        for n in lines
    ]


_SCORES = (("", "-"), *((str(n), str(n)) for n in range(1, 6)), (UNREAD, "not sure"))


def _list_rows(made: _Sheet) -> list[str]:
    rows = []
    for line, tag in made.sheet.lines.items():
        job, vigour, text = f"job{line}", f"vigour{line}", f"line{line}"
        if not {job, vigour, text} & set(made.names):
            continue
        named = escape(f"{tag} {made.told.names.get(tag, '')}".strip())
        fields = ""
        if job in made.names:
            box = _select(job, made.values.get(job, ""), f"box {line}")
            fields = f"{made.job(line)} {_image(made.strips, job, f'box {line}')}{box}"
        if vigour in made.names:
            seen = "".join(_image(made.strips, f"{vigour} {n}", f"vigour {n}") for n in range(1, 6))
            fields += f" vigour {seen}{_select(vigour, made.values.get(vigour, ''), f'vigour {line}', _SCORES)}"
        if text in made.values:
            fields += _image(made.strips, text, f"line {line}") + _input(text, UNREAD, f"line {line}", "line")
        rows.append(f'<div class="row"><b>{line}</b> {named} {fields}</div>')
    return rows


def _image(strips: Mapping[str, bytes], name: str, about: str) -> str:
    data = strips.get(name)
    if not data:
        return ""
    small = ' class="small"' if name.startswith(("job", "vigour", "day")) else ""
    return f'<img{small} alt="{escape(about, quote=True)}" src="data:image/jpeg;base64,{base64.b64encode(data).decode()}">'


def _asks(value: str, kind: str) -> str:
    """What marks a place that was asked: it wants an answer, and an empty one says that nothing stands there."""
    return f' class="{kind} ask" data-asked="1"' if value == UNREAD else f' class="{kind}"'


def _input(name: str, value: str, about: str, kind: str) -> str:
    shown = escape(value, quote=True)
    return f'<input name="{name}"{_asks(value, kind)} value="{shown}" aria-label="{about}" autocomplete="off">'


def _select(name: str, value: str, about: str, choice: Sequence[tuple[str, str]] = _TICKS) -> str:
    options = "".join(f'<option value="{v}"{" selected" if v == value else ""}>{told}</option>' for v, told in choice)
    return f'<select name="{name}"{_asks(value, "box")} aria-label="{about}">{options}</select>'
