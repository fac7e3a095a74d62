"""The verbs and cards of the tree's numbers, by the command line alone."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from ..conftest import Answer

Bench = Callable[..., Answer]
TODAY = ["--today", "2026-11-25"]


def text(path: Path) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(path).pages)


def test_wire_and_pot_need_no_collection(tmp_path: Path, bench: Bench) -> None:
    found = json.loads(bench("wire", "12", "--tip", "6", "--length", "300", "--json", folder=tmp_path).out)
    assert found["wire"] == {"name": "4 mm", "mm": 4.0, "count": 1} and found["cut_mm"] == pytest.approx(
        524.8, abs=0.1
    )
    inches = json.loads(
        bench("wire", "0.5in", "--length", "12in", "--metal", "copper", "--json", folder=tmp_path).out
    )
    assert inches["wire"]["name"] == "8ga" and inches["cut_mm"] > 12 * 25.4
    assert "guy wire" in bench("wire", "90", folder=tmp_path).out
    assert bench("wire", "thick", folder=tmp_path).code == 2
    assert bench("wire", "6", "--tip", "9", folder=tmp_path).code == 1
    words = ["pot", "rectangle", "300x200x80", "--base", "270x170", "--mix", "pumice 2 lava 1", "--json"]
    pot = json.loads(bench(*words, folder=tmp_path).out)
    assert pot["litres"] == 4.224 and pot["soil_litres"] == {"pumice": 3.238, "lava": 1.619}
    assert "measure inside" in bench("pot", "oval", "300x220x60", "--outer", folder=tmp_path).out
    assert bench("pot", "oval", "300x60", folder=tmp_path).code == 1
    assert bench("pot", "round", "250x90", "--mix", "pumice", folder=tmp_path).code == 2


def test_growth_and_water(demo: Path, bench: Bench) -> None:
    growth = bench("growth", "--tag", "003", *TODAY, folder=demo)
    assert "trunk 50.5 mm of 60 mm, about" in growth.out and "+3.82 mm a year" in growth.out
    data = json.loads(bench("growth", "--json", *TODAY, folder=demo).out)
    assert next(t for t in data["trees"] if t["tag"] == "003")["trunk"]["mm_a_year"] == pytest.approx(3.82, abs=0.01)
    water = json.loads(bench("water", "--json", *TODAY, folder=demo).out)
    fig = next(t for t in water["trees"] if t["tag"] == "011")
    assert fig["how"] == "from its weighing" and fig["days"]["2027-06"] < fig["days"]["2027-10"]


def test_the_cards_of_a_session(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "c.pdf"
    assert bench("cards", "wiring", "--metal", "copper", "-o", out, *TODAY, folder=demo).code == 0
    said = text(out)
    assert "Wiring: copper" in said and "6ga" in said and "Have ready" in said and "guard your eyes" in said
    assert bench("cards", "repotting", "--bag", "14", "-o", out, *TODAY, folder=demo).code == 0
    said = text(out)
    assert said.index("Orchard wall crab") < said.index("Brume") < said.index("Slow Water"), "by their windows"
    assert (
        "6.4 L?" in said and "akadama 4.9 L" in said and "measure the pot inside" in said and "bags of 14.0 L" in said
    )
    words = ["--from", "2027-07-10", "--to", "2027-07-24"]
    assert bench("cards", "minder", *words, "-o", out, *TODAY, folder=demo).code == 0
    said = text(out)
    assert "10 Jul 2027 to 24 Jul 2027" in said and "poisonous" in said and "Do not feed" in said
    assert "indoors" not in said, "in July the fig stands outside"
    assert "ALL: look" in said and "But these" in said and said.count("Where they stand") == 1
    assert said.count("007") == 1 + said.count("007", said.index("Where they stand")) + (
        "007" in said.partition("Mind")[0]
    )
    wrong = bench("cards", "minder", "--from", "2027-07-24", "--to", "2027-07-10", "-o", out, *TODAY, folder=demo)
    assert wrong.code == 1 and "before the first" in wrong.err
    assert bench("cards", "repotting", "--bag", "none", folder=demo).code == 2


def test_the_sheet_tells_when_the_trunk_is_there(demo: Path, tmp_path: Path, bench: Bench) -> None:
    bench("sheets", "--tag", "003", "-o", tmp_path / "s.pdf", *TODAY, folder=demo)
    words = text(tmp_path / "s.pdf")
    assert "50.5 mm" in words and "of 60 mm" in words and "about spring 2029" in words
