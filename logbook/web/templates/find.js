(function () {
  "use strict";
  var field = document.querySelector("[data-find]"), found = document.querySelector("[data-found]");
  var rows = Array.from(document.querySelectorAll("[data-words]")), due = Array.from(document.querySelectorAll("[data-due]"));
  if (!field) return;
  document.querySelector("[data-finder]").hidden = false;
  function shown() { return rows.filter(function (row) { return !row.hidden; }); }
  function find() {
    var words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    rows.forEach(function (row) {
      row.hidden = !words.every(function (word) { return (" " + row.dataset.words).indexOf(" " + word) >= 0; });
    });
    due.forEach(function (section) { section.hidden = words.length > 0; });
    document.querySelectorAll("[data-all]").forEach(function (list) {
      list.parentNode.hidden = words.length > 0 && !list.querySelector("li:not([hidden])");
    });
    found.textContent = words.length ? told("found", { count: shown().length }) : "";
  }
  field.addEventListener("input", find);
  field.addEventListener("keydown", function (event) {
    if (event.key !== "Enter") return;
    event.preventDefault();
    var typed = field.value.trim().toLowerCase();
    var first = shown().find(function (row) { return row.dataset.words.split(" ").slice(0, 2).indexOf(typed) >= 0; }) || shown()[0];
    if (first) first.querySelector("a").click();
  });
})();
