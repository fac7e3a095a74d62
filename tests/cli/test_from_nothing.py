"""From nothing to a second season by the command line alone: normals, eighty trees from a table, paper, plan, a year of notes."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from ..conftest import Answer

Bench = Callable[..., Answer]
NORMALS = """Month min max
Jan -3.4 3.6
Feb -2.5 6.4
Mar 1.2 11.6
Apr 5.1 16.4
May 9.8 21.2
Jun 13.4 25.0
Jul 15.1 27.1
Aug 14.8 26.8
Sep 10.9 21.5
Oct 7.0 15.4
Nov 2.2 8.9
Dec -2.1 4.0
"""
SPECIES = ("Acer palmatum", "Pinus thunbergii", "Larix kaempferi", "Ulmus parvifolia", "Juniperus chinensis")


def table() -> str:
    rows = ["tag,species,name,bench,stage,vigour,repotted"]
    for n in range(1, 81):
        known = n % 4  # every fourth tree is one of which nothing else is known
        more = f"Tree {n},east {n % 5},refinement,{3 + n % 3},{2019 + n % 7}" if known else ",,,,"
        rows.append(f"{n:03d},{SPECIES[n % 5]},{more}")
    return "\n".join(rows) + "\n"


def pages(path: Path) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(path))


@pytest.mark.soak
def test_a_year_from_nothing(tmp_path: Path, bench: Bench) -> None:
    folder, out = tmp_path / "garden", tmp_path / "out.pdf"
    (tmp_path / "station.txt").write_text(NORMALS, encoding="utf-8")
    (tmp_path / "trees.csv").write_text(table(), encoding="utf-8")

    def done(*words: object, today: str = "2026-11-25", code: int = 0) -> str:
        answer = bench(*words, "--today", today, folder=folder)
        assert answer.code == code, (words, answer.all)
        return answer.all

    assert bench("start", folder, "--latitude", "46.1", "--normals", tmp_path / "station.txt").code == 0
    settings = folder / "collection.yaml"
    settings.write_text(settings.read_text("utf-8") + "bench_days: {saturday: 4h, sunday: 3h}\n", encoding="utf-8")
    done("add", "--table", tmp_path / "trees.csv")
    assert "80 living trees" in bench("check", folder=folder).out
    done("sheets", "-o", out)
    first = pages(out)
    assert all(f"{n:03d}" in first for n in range(1, 81))
    done("sheets", "--form", "-o", tmp_path / "form.pdf")
    done("tags", "-o", out)

    planned = json.loads(bench("plan", "--weeks", "30", "--json", "--today", "2027-02-20", folder=folder).out)
    assert planned["days"], "bench days in spring have work"
    done("plan", "--weeks", "30", "-o", tmp_path / "days.pdf", today="2027-02-20")
    (serial,) = set(re.findall(r"\b\d{5}-\d\b", pages(tmp_path / "days.pdf")))

    with pikepdf.open(tmp_path / "form.pdf") as form:
        fields = list(form.Root.AcroForm.Fields)
        assert len({str(field.T) for field in fields}) > 80 * 10
        next(field for field in fields if str(field.T).endswith("_line1")).V = "27 nov looked; moss good"
        form.save(tmp_path / "filled.pdf")
    assert "moss good" in done("reconcile", tmp_path / "filled.pdf", "--yes", today="2026-11-29")

    (record,) = folder.glob(f"printed/*{serial}.json")
    one, two, three = list(json.loads(record.read_text("utf-8"))["sheets"][0]["lines"])[:3]
    notes = tmp_path / "spring.txt"
    notes.write_text(
        f"sheet {serial}\n{one} 13 mar done\n{two} 13 mar done 40 min\n{three} 14 mar done; roots fine\n",
        encoding="utf-8",
    )
    shown = done("reconcile", notes, "--yes", today="2027-03-20")
    assert shown.count("  written  ") == 2 and "  in part  " in shown and "roots fine" in shown
    for tag in ("001", "002", "003"):
        notes.write_text(
            f"tree {tag}\n20 mar saw swell\n2 jun trunk 38 tips 40\n1 jul looked\n15 oct vigour 4\n16 oct wired 1 copper 2.5\n"
            "20 oct something I can't name\n",
            encoding="utf-8",
        )
        done("reconcile", notes, "--yes", today="2027-10-25")
    again = done("reconcile", notes, "--yes", today="2027-10-25")
    assert "already there" in again
    audit = json.loads(bench("waiting", "--json", folder=folder).out)["audit"]
    assert audit["balanced"] and audit["written"] == 1 + 3 + 3 * 6

    done("sheets", "-o", out, today="2027-11-01")
    second = pages(out)
    assert second.count("WIRE ON") == 3, "three trees say so across the top"
    assert "something I can't name" in (folder / "trees" / "002.yaml").read_text("utf-8")
    review = done("review", "--season", "2027", today="2027-11-25")
    assert "look-over" in review and "repotting" in review
    assert bench("check", folder=folder).code == 0
