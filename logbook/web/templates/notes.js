(() => {
  var panel = document.querySelector("[data-notes]");
  if (!panel) return;
  var KEY = "benchleaf lines " + location.pathname.replace(/[^/]*$/, ""), keeps = true, touched, memory = {}, LOST = told("lost");
  function one(name, where) { return (where || document).querySelector("[data-" + name + "]"); }
  function all(name) { return Array.from(document.querySelectorAll("[data-" + name + "]")); }
  function read(name) {
    try { if (keeps) memory[name] = JSON.parse(localStorage.getItem(KEY + name)); } catch (error) { keeps = keeps && error instanceof SyntaxError; }
    return Array.isArray(memory[name]) ? memory[name] : [];
  }
  function write(name, rows) {
    memory[name] = rows;
    try { if (keeps) localStorage.setItem(KEY + name, JSON.stringify(rows)); } catch (error) { keeps = false; }
  }
  function today() { var now = new Date(); return new Date(now - now.getTimezoneOffset() * 6e4).toISOString().slice(0, 10); }
  function day() { return one("day").value || today(); }
  function text(rows) {
    var tag = "";
    return rows.map(row => {
      var head = row[0] === tag ? "" : "tree " + row[0] + "\n";
      tag = row[0];
      return head + row[1] + " " + row[2] + "\n";
    }).join("");
  }
  function tagOf(part) { return part.closest("[data-tag]").dataset.tag; }
  function slot(button) { var line = button.dataset.line; return line.indexOf("vigour ") ? line : "vigour"; }
  function said(words) { all("said").forEach(place => { place.textContent = words; }); }
  function keep(tag, line, slot) {
    touched = true;
    var rows = read("").filter(row => !slot || row[0] !== tag || row[1] !== day() || row[3] !== slot);
    rows.push([tag, day(), line, slot]);
    write("", rows);
    show();
    said(day() + ": " + line);
  }
  function show() {
    var rows = read(""), lines = one("lines");
    lines.value = text(rows);
    lines.rows = Math.max(3, Math.min(12, lines.value.split("\n").length));
    one("kept").textContent = !keeps ? LOST :
      rows.length ? told("kept", { count: rows.length }) : told("none kept");
    one("kept").className = keeps ? "" : "alert";
    all("back").forEach(button => { button.disabled = !rows.length; });
    one("bar").hidden = !(rows.length || touched);
    one("waiting").textContent = told("to hand in", { count: rows.length });
    all("soon").forEach(button => { button.hidden = day() < button.dataset.soon; });
    ["save", "share", "copy"].forEach(name => { one(name).disabled = !rows.length; });
    one("again").hidden = !read(" saved").length;
    all("line").forEach(button => {
      var tag = tagOf(button);
      button.setAttribute("aria-pressed", String(rows.some(row => {
        return row[0] === tag && row[1] === day() && row[2] === button.dataset.line && row[3] === slot(button);
      })));
    });
  }
  function load(data, name) {
    var link = document.createElement("a");
    link.href = URL.createObjectURL(data);
    link.download = name;
    link.click();
  }
  function file() { return new File([text(read(""))], "notes-" + today() + "-" + new Date().toTimeString().slice(0, 8).replace(/:/g, "") + ".txt", { type: "text/plain" }); }
  function handedIn(how) {
    touched = true;
    write(" saved", read(" saved").concat(read("")).slice(-500));
    write("", []);
    show();
    said(how);
  }
  document.querySelectorAll(".act").forEach(part => { part.hidden = false; });
  var set = read(" day");
  one("day").value = set[1] === today() ? set[0] : today();
  one("day").addEventListener("change", () => { write(" day", [day(), today()]); show(); said(told("noted", { day: day() })); });
  document.addEventListener("click", event => {
    var button = event.target.closest("button");
    if (!button) return;
    var data = button.dataset, rows = read("");
    if ("line" in data) keep(tagOf(button), data.line, slot(button));
    else if ("back" in data && rows.length) { var gone = rows.pop(); write("", rows); show(); said(told("taken back", { line: gone[2] })); }
    else if ("write" in data) one("text", button.closest("[data-tag]")).focus();
    else if ("waiting" in data) panel.scrollIntoView();
    else if ("save" in data) { var saved = file(); load(saved, saved.name); handedIn(told("saved as", { name: saved.name })); }
    else if ("share" in data) navigator.share({ files: [file()] }).then(() => { handedIn(told("shared")); }, () => {});
    else if ("copy" in data) { one("lines").focus(); one("lines").select(); document.execCommand("copy"); said(told("copied")); }
    else if ("again" in data) { write("", read(" saved").concat(rows)); write(" saved", []); show(); }
  });
  all("form").forEach(form => {
    var typed = one("text", form), draft = read(" draft");
    if (draft[0] === tagOf(form)) typed.value = draft[1];
    typed.addEventListener("input", () => { write(" draft", typed.value ? [tagOf(form), typed.value] : []); });
    form.addEventListener("submit", event => {
      event.preventDefault();
      if (!typed.value.trim()) return;
      keep(tagOf(form), typed.value, "");
      typed.value = "";
      write(" draft", []);
    });
  });
  all("photo").forEach(field => {
    field.addEventListener("change", () => {
      var picture = field.files[0];
      if (!picture) return;
      var tag = tagOf(field), number = 1, end = (/\.[a-z0-9]{2,4}$/i.exec(picture.name) || [".jpg"])[0].toLowerCase();
      function taken() { return read("").concat(read(" saved")).some(row => row[3] === "photo " + number && row[0] === tag && row[1] === day()); }
      while (taken()) number += 1;
      var name = tag + "-" + day() + (number > 1 ? "-" + number : "") + end;
      load(picture, name);
      keep(tag, "photo photos/" + name, "photo " + number);
      field.value = "";
    });
  });
  window.addEventListener("storage", show);
  try { if (navigator.canShare({ files: [new File(["x"], "x.txt", { type: "text/plain" })] })) one("share").hidden = false; } catch (error) { /* it can't */ }
  write(" probe", [1]);
  show();
  said(told("noted", { day: day() }));
  if (!keeps) said(LOST);
  if ((document.body.dataset.good || today()) < today()) said(told("old", { day: document.body.dataset.good }));
})();
