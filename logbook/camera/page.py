"""A page for a browser: each strip beside the place to type, boxes set as they were read, and the notes that come of it.

One file: pictures inside, no network, no script from elsewhere, nothing sent anywhere. Its script makes the same text as
`notes.sheet_notes` (a test runs both).
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from html import escape

from ..record.ledger import Sheet
from .notes import DATED, TICKED, UNREAD, Values, is_list, name_of, values_of
from .seen import SeenPage, by_sheet

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
function parted(name) { return /^([a-z]+)(.*)$/.exec(name).slice(1); }
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
renew();
"""

_STYLE = """
body { font: 18px/1.4 sans-serif; margin: 1em auto; max-width: 60em; padding: 0 1em; color: #111; background: #fff }
h1 { font-size: 1.3em } h2 { font-size: 1.1em; border-bottom: 1px solid #888; margin-top: 2em }
.row { margin: 1em 0 } .row b { display: inline-block; min-width: 2.2em }
.row img { display: block; max-width: 100%; border: 1px solid #bbb; margin: 2px 0 }
input, select, button { font: inherit; padding: 4px 6px; border: 1px solid #444; border-radius: 3px }
input.line { width: calc(100% - 1em) } input.day { width: 9em }
:focus { outline: 3px solid #06c } .ask { background: #fff3c4 }
textarea { width: 100%; height: 12em; font: 16px/1.4 monospace }
"""
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"
_TICKS = (("", "empty"), (TICKED, "ticked"), (UNREAD, "not sure"))


def page_html(pages: Sequence[SeenPage], day: str, jobs_told: Mapping[tuple[str, str], str], file_name: str) -> str:
    """The page for these sheets. `jobs_told` are the words of each job, by serial and letter."""
    sections = "".join(_section(serial, found, jobs_told) for serial, found in by_sheet(pages).items())
    return f"""<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta http-equiv="Content-Security-Policy" content="{_POLICY}">
<title>Type what stands on the sheets</title><style>{_STYLE}</style></head>
<body data-file="{escape(file_name, quote=True)}">
<h1>Type what stands on the sheets</h1>
<p>Type each line below its picture as it was written, with its day first: <code>14 oct wired 1 2 copper 2.5</code>.
Enter goes on to the next place. What you leave as <code>?</code> waits. Nothing leaves this computer.</p>
<noscript><p>Scripts are off in this browser: type the lines into a text file instead, under the header of each sheet.</p></noscript>
<p><label>Day of ticked boxes that have none: <input id="day" class="day" value="{escape(day, quote=True)}"></label></p>
{sections}
<h2>The notes</h2>
<p><button id="save" type="button">Save the notes</button> then: <code>benchleaf reconcile {escape(file_name)}</code></p>
<textarea id="notes" readonly aria-label="The notes"></textarea>
<script>{RULE}{_HANDS}</script></body></html>
"""


def _section(serial: str, pages: Sequence[SeenPage], jobs_told: Mapping[tuple[str, str], str]) -> str:
    sheet = pages[0].sheet
    listed = is_list(sheet)
    values = values_of(pages)
    strips = {name_of(key, sheet): data for page in pages for key, data in page.strips.items()}
    names = [name_of(key, sheet) for page in pages for key in (*page.boxes, *page.lines)]
    rows = (
        _list_rows(sheet, values, strips, names) if listed else _record_rows(sheet, values, strips, names, jobs_told)
    )
    about = "" if listed else f", tree {escape(sheet.tags[0])}"
    return f'<section data-serial="{serial}" data-listed="{int(listed)}"><h2>Sheet {serial}{about}</h2>{"".join(rows)}</section>\n'


def _record_rows(
    sheet: Sheet,
    values: Values,
    strips: Mapping[str, bytes],
    names: Sequence[str],
    jobs_told: Mapping[tuple[str, str], str],
) -> list[str]:
    rows = []
    for name in (n for n in names if n.startswith("job")):
        letter = name.removeprefix("job")
        day = f"day{letter}"
        what = escape(jobs_told.get((sheet.serial, letter), ""))
        field = _select(name, values.get(name, ""), f"box {letter}")
        rows.append(
            f'<div class="row"><b>{letter}</b> {what} {_image(strips, name, letter)}{field} '
            f"{_image(strips, day, f'day of {letter}')}{_input(day, values.get(day, ''), f'day of box {letter}', 'day')}</div>"
        )
    scores = [n for n in names if n.startswith("vigour")]
    if scores:
        fields = "".join(
            f"<label>{n.removeprefix('vigour')} {_image(strips, n, n)}{_select(n, values.get(n, ''), n)}</label> "
            for n in scores
        )
        rows.append(f'<div class="row"><b>V</b> vigour {fields}</div>')
    return rows + [
        _line_row(n.removeprefix("line"), n, values, strips) for n in names if n.startswith("line") and n in values
    ]


def _list_rows(sheet: Sheet, values: Values, strips: Mapping[str, bytes], names: Sequence[str]) -> list[str]:
    rows = []
    for line, tag in sheet.lines.items():
        job, vigour, text = f"job{line}", f"vigour{line}", f"line{line}"
        if not {job, vigour, text} & set(names):
            continue
        fields = (
            _image(strips, job, f"box {line}") + _select(job, values.get(job, ""), f"box {line}")
            if job in names
            else ""
        )
        if vigour in names:
            choice = [("", "-"), *((str(n), str(n)) for n in range(1, 6)), (UNREAD, "not sure")]
            fields += f" vigour {_image(strips, vigour, 'vigour')}{_select(vigour, values.get(vigour, ''), f'vigour {line}', choice)}"
        written = (
            f"{_image(strips, text, f'line {line}')}{_input(text, UNREAD, f'line {line}', 'line')}"
            if text in values
            else ""
        )
        rows.append(f'<div class="row"><b>{line}</b> {escape(tag)} {fields}{written}</div>')
    return rows


def _line_row(label: str, name: str, values: Values, strips: Mapping[str, bytes]) -> str:
    return f'<div class="row"><b>{label}</b>{_image(strips, name, f"line {label}")}{_input(name, values[name], f"line {label}", "line")}</div>'


def _image(strips: Mapping[str, bytes], name: str, about: str) -> str:
    data = strips.get(name)
    if not data:
        return ""
    return f'<img alt="{escape(about, quote=True)}" src="data:image/jpeg;base64,{base64.b64encode(data).decode()}">'


def _input(name: str, value: str, about: str, kind: str) -> str:
    ask = " ask" if value == UNREAD else ""
    return f'<input name="{name}" class="{kind}{ask}" value="{escape(value, quote=True)}" aria-label="{about}" autocomplete="off">'


def _select(name: str, value: str, about: str, choice: Sequence[tuple[str, str]] = _TICKS) -> str:
    options = "".join(f'<option value="{v}"{" selected" if v == value else ""}>{told}</option>' for v, told in choice)
    ask = ' class="ask"' if value == UNREAD else ""
    return f'<select name="{name}"{ask} aria-label="{about}">{options}</select>'
