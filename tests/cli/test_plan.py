"""Bench days by the command line: table, pocket list that is typed back, calendar."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import icalendar
import pypdf

from logbook.storage.printed import load_ledger

from ..conftest import Answer, snapshot

Bench = Callable[..., Answer]
TODAY = ["--today", "2027-03-01"]


def test_a_pocket_list_is_typed_back(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out, ics = tmp_path / "days.pdf", tmp_path / "days.ics"
    answer = bench("plan", "--weeks", "8", "-o", out, "--ics", ics, *TODAY, folder=demo)
    assert answer.code == 0 and "Sat 6 Mar 2027" in answer.out and "pocket list" in answer.out
    (sheet,) = load_ledger(demo).sheets.values()
    line = next(j.letter for j in sheet.jobs if j.tag == "002" and j.work == "repotting")
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(out).pages)
    assert sheet.serial in text and "Bench days" in text and "repotting" in text
    assert "buds fat" in " ".join(text.split()), "the sign to do it by stands there too"
    assert {s.id for s in sheet.spots if s.kind == "line"} == set(sheet.lines) == {j.letter for j in sheet.jobs}
    notes = tmp_path / "n.txt"
    notes.write_text(f"sheet {sheet.serial}\n{line} 20 mar done; 70 min of work\n", encoding="utf-8")
    assert bench("reconcile", notes, "--yes", "--today", "2027-03-21", folder=demo).code == 0
    assert "work: repotting" in (demo / "trees" / "002.yaml").read_text("utf-8").splitlines()[-1]
    after = json.loads(bench("plan", "--json", "--weeks", "8", "--today", "2027-03-21", folder=demo).out)
    assert ("002", "repotting") not in {(w["tag"], w["work"]) for d in after["days"] for w in d["works"]}
    events = icalendar.Calendar.from_ical(ics.read_bytes()).walk("VEVENT")
    assert len(events) == len({str(e["UID"]) for e in events}) >= 5


def test_hours_given_and_missing(demo: Path, tmp_path: Path, bench: Bench) -> None:
    few = json.loads(bench("plan", "--json", "--saturday", "30min", "--sunday", "15min", *TODAY, folder=demo).out)
    many = json.loads(bench("plan", "--json", "--saturday", "9h", *TODAY, folder=demo).out)
    assert len(few["unfit"]) > len(many["unfit"])
    assert any(u["more_minutes"] > 0 and u["on"] for u in few["unfit"])
    told = bench("plan", "--weeks", "9", "--saturday", "30min", "--sunday", "15min", *TODAY, folder=demo).out
    assert "minutes more on" in told, "repotting closes within nine weeks, and half an hour is too short for it"
    path = demo / "collection.yaml"
    path.write_text(
        "\n".join(r for r in path.read_text("utf-8").splitlines() if "bench_days" not in r) + "\n", encoding="utf-8"
    )
    none = bench("plan", *TODAY, folder=demo)
    assert none.code == 1 and "no bench days are known" in none.err
    assert bench("plan", "--saturday", "25h", *TODAY, folder=demo).code == 2
    before = snapshot(demo)
    dry = bench("plan", "--saturday", "3h", "--dry-run", "-o", tmp_path / "x.pdf", *TODAY, folder=demo)
    assert dry.code == 0 and snapshot(demo) == before and not (tmp_path / "x.pdf").exists()
