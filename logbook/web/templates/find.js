(() => {
  "use strict";
  var field = document.querySelector("[data-find]"), found = document.querySelector("[data-found]");
  var rows = Array.from(document.querySelectorAll("[data-words]")), due = Array.from(document.querySelectorAll("[data-due]"));
  if (!field) return;
  document.querySelector("[data-finder]").hidden = false;
  function shown() { return rows.filter(row => !row.hidden); }
  function find() {
    var words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    rows.forEach(row => {
      row.hidden = !words.every(word => (" " + row.dataset.words).indexOf(" " + word) >= 0);
    });
    due.forEach(section => { section.hidden = words.length > 0; });
    document.querySelectorAll("[data-all]").forEach(list => {
      list.parentNode.hidden = words.length > 0 && !list.querySelector("li:not([hidden])");
    });
    found.textContent = words.length ? told("found", { count: shown().length }) : "";
  }
  field.addEventListener("input", find);
  field.addEventListener("keydown", event => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    var typed = field.value.trim().toLowerCase();
    var first = shown().find(row => row.dataset.words.split(" ").slice(0, 2).indexOf(typed) >= 0) || shown()[0];
    if (first) first.querySelector("a").click();
  });
})();
