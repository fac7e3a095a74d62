"""The script and the dress of the page that strips are typed on: its rule makes the same notes as `sheet_values.sheet_notes`."""

from __future__ import annotations

from .sheet_values import DATED

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
function parted(name) {
  var at = name.indexOf(":");
  return at >= 0 ? [name.slice(0, at), name.slice(at + 1)] : /^(line|job|day|vigour)(.*)$/.exec(name).slice(1);
}
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
  for (name in said) if (name.indexOf(":") >= 0) return taggedRows(said, day, there);
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
function taggedRows(said, day, there) {
  var idents = [], rows = [], name, part;
  for (name in said) { part = parted(name)[1]; if (idents.indexOf(part) < 0) idents.push(part); }
  idents.forEach(function (ident, place) {
    var values = {};
    for (name in said) if (parted(name)[1] === ident) values[parted(name)[0]] = said[name];
    rowLines(values, day, !there[ident]).forEach(function (line, n) {
      rows.push([line[1] ? 1 : 0, place, n, ident + " " + line[0]]);
    });
  });
  return ordered(rows);
}
function rowLines(values, day, wantsDay) {
  var words = values.line || "", own = values.day || "", ticks = [], told = [], lines = [], behind = "", asked = false;
  if (words === "-") words = "";
  if (own === "-") own = "";
  var alone = [], apart = [];
  for (var kind in values) {
    var value = values[kind];
    if (!value || value === "-") continue;
    if (kind === "job") ticks.push(value === "?" ? "done ?" : "done");
    else if (kind === "vigour") ticks.push("vigour " + value);
    else if (kind.indexOf("say ") === 0) {
      var says = kind.slice(4);
      if (value === "?") asked = true;
      else (/^\d/.test(says) ? alone : ticks).push(says);
    } else if (kind.indexOf("told ") === 0) {
      var form = kind.slice(5), filled = form.split("_").join(value);
      if (value === "?") (form.charAt(0) === "_" ? apart : told).push("?");
      else if (form.charAt(0) === "_") apart.push(filled);
      else if (form === "but not _") behind = " " + filled;
      else told.push(filled);
    }
  }
  var marks = (own === "?" || asked ? ["?"] : []).concat(ticks, told);
  var body = (words ? [words] : []).concat(marks).join("; ") + behind;
  alone.concat(apart).forEach(function (text) { lines.push([text, true]); });
  if (!body.trim()) {
    var bare = own ? own + " (the box is not ticked)" : lines.length ? "" : "-";
    return (bare ? [[bare, true]] : []).concat(lines);
  }
  if (own === "?") own = "";
  var isDated = !!own || DATED.test(words);
  var front = own || (wantsDay && !isDated && body.indexOf("?") < 0 ? day : "");
  return [[(front + " " + body.trim()).trim(), !!front || isDated]].concat(lines);
}
"""
)

HANDS = r"""
function each(list, act) { Array.prototype.forEach.call(list, act); }
function text() {
  var day = document.getElementById("day").value.split(/\s+/).filter(Boolean).join(" "), out = "";
  each(document.querySelectorAll("section"), function (section) {
    var values = {}, there = {};
    each(section.querySelectorAll("[name]"), function (field) {
      if (field.type === "radio") return;
      values[field.name] = field.value.trim() || (field.dataset.asked ? "-" : "");  // what was asked has an answer
    });
    each(section.dataset.there.split(" "), function (id) { there[id] = true; });
    out += sheetNotes(section.dataset.serial, section.dataset.listed === "1", values, day, there);
  });
  return out;
}
function renew() { document.getElementById("notes").value = text(); }
document.addEventListener("input", function (event) {
  if (event.target.type === "radio") {
    each(event.target.closest(".scores").querySelectorAll("input[type=hidden]"), function (field) {
      var score = field.dataset.score, chosen = event.target.value;
      field.value = score ? (chosen === score ? "x" : chosen === "?" ? field.defaultValue : "") : chosen;
    });
  }
  renew();
});
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

STYLE = """
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
