"""The script and the dress of the page that strips are typed on. The script decides nothing: it saves what was typed."""

from __future__ import annotations

# all that the page does: what was typed is saved as it stands, and Python makes notes of it
SCRIPT = r"""
function answersOf(day, sheets) {
  return JSON.stringify({ answers: 1, day: day, sheets: sheets }, null, 1) + "\n";
}
"""

HANDS = r"""
function each(list, act) { Array.prototype.forEach.call(list, act); }
function text() {
  var sheets = [];
  each(document.querySelectorAll("section"), function (section) {
    var sheet = { serial: section.dataset.serial, values: {}, asked: [] };
    each(section.querySelectorAll("[name]"), function (field) {
      if (field.type === "radio") return;  // its hidden fields say it
      sheet.values[field.name] = field.value;
      if (field.dataset.asked) sheet.asked.push(field.name);
    });
    sheets.push(sheet);
  });
  return answersOf(document.getElementById("day").value, sheets);
}
document.addEventListener("input", function (event) {
  if (event.target.type !== "radio") return;
  each(event.target.closest(".scores").querySelectorAll("input[type=hidden]"), function (field) {
    var score = field.dataset.score, chosen = event.target.value;
    field.value = score ? (chosen === score ? "x" : chosen === "?" ? field.defaultValue : "") : chosen;
  });
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
"""
