"""A page for a browser: each strip beside the place to type, boxes set as they were read, and the notes that come of it.

One file: pictures inside, no network, no script from elsewhere, nothing sent anywhere. Its script makes the same text as
`notes.sheet_notes` (a test runs both).
"""

from __future__ import annotations

import base64
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from ..camera.sheet_reader import SeenPage, by_sheet
from ..storage.printed import Sheet
from .grammar.lines import UNREAD
from .sheet_values import DATED, TICKED, Values, is_list, name_of, values_of

# what the page computes, by itself, so that it can be tested without a browser
RULE = (
    rf"var DATED = /^{DATED}/i;"
    + r"""
function sheetNotes(serial, listed, values, day, there) {
  var said = {}, name;
  for (name in values) {
    var value = values[name].split(/\s+/).filter(Boolean).join(" ");
    if (value) said[name] = value;
  }
  var lines = listed ? listRows(said, day, there) : recordRows(said, day, there);
  return lines ? "sheet " + serial + "\n" + lines : "";
}
function parted(name) { return /^(line|job|day|vigour)(.*)$/.exec(name).slice(1); }
function ordered(rows) {
  rows.sort(function (a, b) {
    for (var i = 0; i < 3; i++) { if (a[i] < b[i]) return -1; if (a[i] > b[i]) return 1; }
    return 0;
  });
  return rows.map(function (row) { return row[3] + "\n"; }).join("");
}
function recordRows(said, day, there) {
  var rows = [], scores = [], marks = [], ids = {}, name, part;
  for (name in said) {
    part = parted(name);
    if (part[0] === "line") rows.push([1, Number(part[1]), part[1], part[1] + " " + said[name]]);
    else if (part[0] === "vigour") { marks.push(said[name]); if (said[name] === "x") scores.push(part[1]); }
    else ids[part[1]] = true;
  }
  for (var id in ids) {
    var mark = said["job" + id] || "", own = said["day" + id] || "";
    if (own === "-") own = "";
    if (mark === "-" && !own) { rows.push([1, 0, id, id + " -"]); continue; }
    if (mark === "?" || own === "?") { rows.push([2, 0, id, id + " ?"]); continue; }
    if (mark === "x") {
      own = own || (there[id] ? "" : day);
      rows.push([own ? 2 : 0, 0, id, own ? id + " " + own : id]);
    } else if (own) rows.push([2, 0, id, id + " " + own + " (the box is not ticked)"]);
  }
  if (marks.length) {
    scores.sort();
    var which = marks.indexOf("?") >= 0 ? "?" : scores.length ? scores.join(" or ") : "-";
    var dated = which === "?" || which === "-" || there.V ? "" : day;
    rows.push([3, 0, "V", ["V", dated, which].filter(Boolean).join(" ")]);
  }
  return ordered(rows);
}
function listRows(said, day, there) {
  var numbers = {}, rows = [], name;
  for (name in said) numbers[parted(name)[1]] = true;
  for (var number in numbers) {
    var text = said["line" + number] || "", job = said["job" + number] || "", vigour = said["vigour" + number] || "";
    var marks = [];
    if (job && job !== "-") marks.push(job === "?" ? "done ?" : "done");
    if (vigour && vigour !== "-") marks.push("vigour " + vigour);
    var words = text === "-" ? "" : text;
    var body = (words ? [words] : []).concat(marks).join("; ") || "-", bare = !words && body !== "-";
    var dates = marks.length && words !== "?" && !DATED.test(words) && !there[number];
    var told = day && dates && body.indexOf("?") < 0 ? day + " " + body : body;
    rows.push([bare && told === body ? 0 : 1, Number(number), "", number + " " + told]);
  }
  return ordered(rows);
}
"""
)

_HANDS = r"""
function each(list, act) { Array.prototype.forEach.call(list, act); }
function text() {
  var day = document.getElementById("day").value.split(/\s+/).filter(Boolean).join(" "), out = "";
  each(document.querySelectorAll("section"), function (section) {
    var values = {}, there = {};
    each(section.querySelectorAll("[name]"), function (field) {
      values[field.name] = field.value.trim() || (field.dataset.asked ? "-" : "");  // what was asked has an answer
    });
    each(section.dataset.there.split(" "), function (id) { there[id] = true; });
    out += sheetNotes(section.dataset.serial, section.dataset.listed === "1", values, day, there);
  });
  return out;
}
function renew() { document.getElementById("notes").value = text(); }
document.addEventListener("input", renew);
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
document.getElementById("save").addEventListener("click", function () {
  var link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text()], { type: "text/plain" }));
  link.download = document.body.dataset.file;
  link.click();
});
var saved = "";
document.getElementById("save").addEventListener("click", function () { saved = text(); });
window.addEventListener("beforeunload", function (event) { if (text() !== saved) event.preventDefault(); });
renew();
saved = text();
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
textarea { width: 100%; height: 12em; font: 16px/1.4 monospace }
"""
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"
_TICKS = (("", "empty"), (TICKED, "ticked"), (UNREAD, "not sure"))


MARK = "<!-- a page of benchleaf reconcile -->"  # what may be written over


@dataclass(frozen=True, slots=True)
class Told:
    """Words beside the places: of each job by serial and mark or line, the names of trees, and what the log has by serial."""

    jobs: Mapping[tuple[str, str], str]
    names: Mapping[str, str]
    there: Mapping[str, Collection[str]]


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
<h2>The notes</h2>
<p><button id="save" type="button">Save the notes</button> then: <code>benchleaf reconcile {escape(file_name)}</code></p>
<textarea id="notes" readonly aria-label="The notes"></textarea>
<script>{RULE}{_HANDS}</script></body></html>
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
    there = escape(" ".join(sorted(told.there.get(serial, ()))), quote=True)
    return (
        f'<section data-serial="{serial}" data-listed="{int(listed)}" data-there="{there}">'
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
        mark = name.removeprefix("job")
        day = f"day{mark}"
        rows.append(
            f'<div class="row"><b>{mark}</b> {made.job(mark)} {_image(made.strips, name, mark)}'
            f"{_select(name, made.values.get(name, ''), f'box {mark}')} {_image(made.strips, day, f'day of {mark}')}"
            f"{_input(day, made.values.get(day, ''), f'day of box {mark}', 'day')}</div>"
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
