"""Living with it for years: a place's normals pasted, trees taken from trees, merged, compared, looked back on; no question twice."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from logbook.collection.normals_reader import read_normals_table

from ..conftest import Answer, snapshot

Bench = Callable[..., Answer]
TODAY = ["--today", "2026-11-25"]
LOW = (-3.4, -2.5, 1.2, 5.1, 9.8, 13.4, 15.1, 14.8, 10.9, 7.0, 2.2, -2.1)
HIGH = (3.6, 6.4, 11.6, 16.4, 21.2, 25.0, 27.1, 26.8, 21.5, 15.4, 8.9, 4.0)
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def rows(form: str) -> str:
    return "".join(
        form.format(n=n, m=m, a=a, b=b) for n, (m, a, b) in enumerate(zip(MONTHS, LOW, HIGH, strict=True), 1)
    )


PASTED = {
    "rows with months": rows("{m} {a} {b}\n"),
    "rows with numbers of months": rows("{n} {a} {b}\n"),
    "rows with tabs and a head": "month\tmin °C\tmax °C\n" + rows("{m}\t{a}\t{b}\n"),
    "days before nights": rows("{m}; {b}; {a}\n"),
    "decimal commas": rows("{m} {a} {b}\n").replace(".", ","),
    "long minus signs": rows("{m} {a} {b}\n").replace("-", "−"),
    "two rows": "min " + " ".join(map(str, LOW)) + "\nmax " + " ".join(map(str, HIGH)) + "\n",
    "two rows, days first, yearly means": f"High {' '.join(map(str, HIGH))} 15.5\nLow {' '.join(map(str, LOW))} 5.8\n",
    "two lists": f"tmin: [{', '.join(map(str, LOW))}]\ntmax: [{', '.join(map(str, HIGH))}]\n",
}


@pytest.mark.parametrize("text", PASTED.values(), ids=PASTED.keys())
def test_normals_as_they_are_pasted(text: str) -> None:
    found = read_normals_table(text, "t", unit="C")
    assert (found.low, found.high) == (LOW, HIGH)


def test_normals_in_fahrenheit() -> None:
    text = "".join(f"{m} {a * 1.8 + 32:.1f} {b * 1.8 + 32:.1f}\n" for m, a, b in zip(MONTHS, LOW, HIGH, strict=True))
    found = read_normals_table(text, "t", unit="F", answers={"unit": "F"}).normals
    assert found and found.tmin == pytest.approx(LOW, abs=0.06) and found.tmax == pytest.approx(HIGH, abs=0.06)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no monthly means found"),
        (rows("{m} {a} {b}\n").replace("Jun 13.4 25.0\n", ""), "months are missing: nights of Jun; days of Jun"),
        (rows("{m} {a} {b}\n").replace("13.4 25.0", "35.4 25.0"), "month 6: the nights (35.4) are warmer"),
        ("min max " + " ".join(map(str, LOW)) + "\n" + " ".join(map(str, HIGH)), "names nights and days both"),
    ],
)
def test_normals_that_are_none(text: str, said: str) -> None:
    found = read_normals_table(text, "t", unit="C")
    told = [*(p.message for p in found.problems), *(q.question for q in found.questions)]
    assert found.normals is None and any(said in words for words in told), told


def test_a_collection_with_its_climate_from_the_start(tmp_path: Path, bench: Bench) -> None:
    pasted = tmp_path / "station.txt"
    pasted.write_text(PASTED["rows with months"], encoding="utf-8")
    folder = tmp_path / "new"
    words = ["start", folder, "--latitude", "46.1", "--elevation", "310", "--normals", pasted, "--years", "1991-2020"]
    assert bench(*words, "--coldest-night", "-13").code == 0
    assert bench("check", folder=folder).code == 0
    assert "monthly normals 1991-2020" in bench("season", *TODAY, folder=folder).out
    us = tmp_path / "us"
    text = "".join(f"{m} {a * 1.8 + 32:.1f} {b * 1.8 + 32:.1f}\n" for m, a, b in zip(MONTHS, LOW, HIGH, strict=True))
    pasted.write_text(text, encoding="utf-8")
    assert bench("start", us, "--units", "us", "--latitude", "46.1", "--normals", pasted).code == 0
    metric, other = (json.loads(bench("season", "--json", *TODAY, folder=f).out)["site"] for f in (folder, us))
    assert metric["growth end"]["day"][:7] == other["growth end"]["day"][:7]
    assert bench("start", tmp_path / "x", "--normals", pasted).code == 1
    warm = bench("start", tmp_path / "y", "--latitude", "46", "--normals", pasted, "--coldest-night", "90")
    assert warm.code == 1 and not (tmp_path / "y" / "collection.yaml").exists()


def test_a_layer_knows_its_parent_and_its_parent_knows_it(demo: Path, bench: Bench) -> None:
    answer = bench("add", "031", "--from", "002", "--name", "Little Brume", *TODAY, folder=demo)
    assert answer.code == 0 and "added 031, layer of 002" in answer.out
    text = (demo / "trees" / "031.yaml").read_text("utf-8")
    assert "species: Acer palmatum" in text and "cultivar: Kiyohime" in text
    assert 'origin: {kind: layer, date: 2026-11-25, parent: "002"}' in text
    assert 'new: "031"' in (demo / "trees" / "002.yaml").read_text("utf-8")
    before = snapshot(demo)
    assert "there already" in bench("add", "031", "--from", "002", "--name", "Little Brume", *TODAY, folder=demo).out
    assert {p: d for p, d in snapshot(demo).items() if p != ".lock"} == {
        p: d for p, d in before.items() if p != ".lock"
    }
    assert bench("check", folder=demo).code == 0
    assert bench("add", "032", "--from", "099", folder=demo).code == 1


def test_trees_planted_together(demo: Path, bench: Bench) -> None:
    assert bench("end", "009", "--how", "merged", "--into", "003", *TODAY, folder=demo).code == 0
    assert 'merged: "009"' in (demo / "trees" / "003.yaml").read_text("utf-8")
    assert "how: merged" in (demo / "trees" / "009.yaml").read_text("utf-8")
    assert bench("check", folder=demo).code == 0
    assert bench("end", "001", "--how", "sold", "--into", "003", folder=demo).code == 1
    assert bench("end", "001", "--how", "merged", "--into", "001", folder=demo).code == 1


def test_looking_back(demo: Path, bench: Bench) -> None:
    made = json.loads(bench("review", "--json", *TODAY, folder=demo).out)
    assert (made["season"], made["first"], made["last"]) == (2026, "2025-10-15", "2026-10-14")
    assert made["works"]["wiring"] == 2 and ["001", "repotting"] in made["missed"]
    assert {"tag": "005", "before": 3.0, "after": 2.0} in made["vigour"]
    assert made["wires_in_time"] + len(made["wires_late"]) == 2
    said = bench("review", *TODAY, folder=demo).out
    assert "due and not done:" in said and "46.5 mm → 50.5 mm" in said
    now = bench("review", "--season", "2027", *TODAY, folder=demo).out
    assert "due and not done" not in now, "a season that goes on has missed nothing yet"
    assert "0 visits to 1 tree" in bench("review", "--season", "1950", *TODAY, folder=demo).out
    assert bench("review", "--season", "1066", folder=demo).code == 1
    table = bench("compare", "trunk", *TODAY, folder=demo).out
    assert "2020" in table and "27.5 mm" in table and "50.5 mm" in table
    assert (
        "your garden runs 5 days ahead of what is computed, by 3 signs logged this season: "
        in bench("season", "--today", "2026-05-25", folder=demo).out
    )


def test_no_question_is_asked_twice_in_a_season(demo: Path, tmp_path: Path, bench: Bench) -> None:
    def asked(today: str, *more: str) -> bool:
        out = tmp_path / "s.pdf"
        answer = bench("sheets", "--tag", "006", *more, "-o", out, "--today", today, folder=demo)
        text = "\n".join(page.extract_text() for page in pypdf.PdfReader(out).pages)
        return answer.code == 0 and "Please note" in text

    assert asked("2026-11-25") and not asked("2026-11-26") and not asked("2027-06-01")
    assert asked("2027-11-25"), "a season later it is asked once more"
    assert (
        "nothing to print"
        in bench(
            "sheets", "--tag", "006", "--changed", "-o", tmp_path / "s.pdf", "--today", "2027-11-25", folder=demo
        ).out
    )


def test_a_year_ago_on_the_walk_list(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "w.pdf"
    bench("walk", "--draft", "-o", out, "--today", "2026-11-05", folder=demo)
    assert "a year ago: needle thinning 8 Nov 2025" in " ".join(pypdf.PdfReader(out).pages[0].extract_text().split())


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion(shell: str, bench: Bench, tmp_path: Path) -> None:
    said = bench("completion", shell)
    assert said.code == 0 and "reconcile" in said.out and "benchleaf" in said.out
    if shell == "bash":
        script = tmp_path / "c.sh"
        ask = "COMP_WORDS=(benchleaf sheets --ch); COMP_CWORD=2; _benchleaf; echo ${COMPREPLY[@]}"
        script.write_text(f"{said.out}\n{ask}\n", encoding="utf-8")
        done = subprocess.run(["bash", script], capture_output=True, text=True, check=True)
        assert done.stdout.split() == ["--changed"]


def test_a_crib_for_the_pocket(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "c.pdf"
    assert bench("cards", "crib", "-o", out, *TODAY, folder=demo).code == 0
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(out).pages)
    assert "How a note is typed" in text and "10ga 2.59" in text and "Take care" in text


def test_the_review_and_the_years_on_paper(demo: Path, tmp_path: Path, bench: Bench) -> None:
    from PIL import Image

    out = tmp_path / "c.pdf"
    assert bench("cards", "review", "-o", out, *TODAY, folder=demo).code == 0
    text = "".join(page.extract_text() for page in pypdf.PdfReader(out).pages)
    assert "Season 2026" in text and "46.5 mm → 50.5 mm" in text and "repotting: 001" in text
    assert bench("cards", "review", "--season", "2090", "-o", out, *TODAY, folder=demo).code == 1
    assert bench("cards", "years", "-o", out, *TODAY, folder=demo).code == 1, "no photos yet"
    (demo / "photos").mkdir(exist_ok=True)
    rows = ""
    for day in ("2021-04-12", "2023-04-17", "2024-10-02"):
        Image.new("RGB", (80, 60)).save(demo / "photos" / f"{day}.jpg")
        rows += f"  - {{date: {day}, photo: photos/{day}.jpg}}\n"
    tree = demo / "trees" / "003.yaml"
    tree.write_text(tree.read_text("utf-8").rstrip() + "\n" + rows, encoding="utf-8")
    assert bench("cards", "years", "-o", out, "--layout", "dossier-a4", *TODAY, folder=demo).code == 0
    text = "".join(page.extract_text() for page in pypdf.PdfReader(out).pages)
    assert "12 Apr 2021" in text and "17 Apr 2023" in text and "2 Oct 2024" not in text


def test_quarters_of_the_year() -> None:
    from datetime import date

    from logbook.paper.season_review import quarter_of

    assert quarter_of(date(2026, 12, 5), southern=False) == ("winter", 2027)
    assert quarter_of(date(2026, 12, 5), southern=True) == ("summer", 2027)
    assert quarter_of(date(2026, 4, 5), southern=True) == ("autumn", 2026)


def test_what_needs_no_tree_is_printed_without_one(tmp_path: Path, bench: Bench) -> None:
    folder = tmp_path / "empty"
    bench("start", folder, "--latitude", "47")
    for words in (["tags", "--spare", "3"], ["cards", "crib"], ["cards", "season"], ["cards", "scale"]):
        assert bench(*words, "-o", tmp_path / "x.pdf", *TODAY, folder=folder).code == 0, words
    assert bench("sheets", "-o", tmp_path / "x.pdf", *TODAY, folder=folder).code == 1


def test_a_tree_with_a_fault_is_not_called_absent(demo: Path, tmp_path: Path, bench: Bench) -> None:
    (demo / "trees" / "013.yaml").write_text('tag: "013"\nindoors: foo\nlog: []\n', encoding="utf-8")
    for words in (
        ["sheets", "--tag", "013", "-o", tmp_path / "x.pdf"],
        ["growth", "--tag", "013"],
        ["history", "013"],
    ):
        answer = bench(*words, *TODAY, folder=demo)
        assert answer.code == 1 and "there is no tree" not in answer.err and "trees/013.yaml:2" in answer.err, words


def test_the_public_dossier_holds_none_of_the_growers_words(demo: Path, tmp_path: Path, bench: Bench) -> None:
    tree = demo / "trees" / "003.yaml"
    text = tree.read_text("utf-8")
    lines = [row for row in text.splitlines() if not row.startswith("aim:")]
    tree.write_text("\n".join(["aim: for a friend at 4 Hill Road", *lines]) + "\n", encoding="utf-8")
    assert bench("end", "003", "--how", "sold", *TODAY, folder=demo).code == 0
    out = tmp_path / "d.pdf"
    for public, there in (([], True), (["--public"], False)):
        assert bench("dossier", "003", *public, "-o", out, *TODAY, folder=demo).code == 0
        said = "".join(page.extract_text() for page in pypdf.PdfReader(out).pages)
        assert ("Hill Road" in said) is there and ("sold" in said) is there


def test_normals_in_another_order_or_of_the_other_half(tmp_path: Path, bench: Bench) -> None:
    named = rows("{m} {a} {b}\n").splitlines()
    turned = read_normals_table("\n".join([*named[6:], *named[:6], "Year 5.8 15.5"]), "t", unit="C")
    assert (turned.low, turned.high) == (LOW, HIGH)
    twice = read_normals_table("\n".join([*named[:11], named[0]]), "t", unit="C")
    assert twice.normals is None and any("twice" in p.message for p in twice.problems)
    pasted = tmp_path / "station.txt"
    pasted.write_text("\n".join(named), encoding="utf-8")
    answer = bench("start", tmp_path / "south", "--latitude", "-42.9", "--normals", pasted)
    assert answer.code == 1 and "south of the equator, but July is the warmer" in answer.err
    assert bench("start", tmp_path / "north", "--latitude", "42.9", "--normals", pasted).code == 0
    assert bench("start", tmp_path / "north" / "trees", "--latitude", "42.9").code == 1, "inside a collection"
