"""Care through every door: the same shelter, with its night, on the walk list, the bench days, the season's and the minder's card."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from ..conftest import Answer

WINTER, SUMMER = "2026-11-25", "2027-06-02"


def words_of(pdf: Path) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(pdf).pages)


@pytest.mark.parametrize(
    "verb",
    [("walk",), ("plan",), ("cards", "season"), ("cards", "minder", "--from", "2026-12-20", "--to", "2027-01-04")],
    ids=lambda verb: " ".join(verb[:2]),
)
def test_shelter_stands_on_every_list_with_its_night(
    verb: tuple[str, ...], demo: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    """A black pine in the open is watched for from -6 °C on (species.csv, common practice), a fig comes in before 5 °C."""
    draft = [] if verb[0] == "cards" else ["--draft"]
    answer = bench(*verb, *draft, "-o", tmp_path / "x.pdf", "--today", WINTER, folder=demo)
    assert answer.code == 0, answer.err
    words = words_of(tmp_path / "x.pdf")
    assert "winter shelter" in words and "before a night under" in words and "-6 °C" in words and "5 °C" in words


def test_bench_days_tell_the_care_beside_them(demo: Path, bench: Callable[..., Answer]) -> None:
    data = json.loads(bench("plan", "--today", SUMMER, "--json", folder=demo).out)
    care = {row["what"]: row for row in data["care"]}
    assert {"feeding", "pest watch"} <= set(care) and care["feeding"]["tags"]
    assert "feeding" in bench("plan", "--today", SUMMER, folder=demo).out


def test_the_night_is_a_number_for_programs(demo: Path, bench: Callable[..., Answer]) -> None:
    data = json.loads(bench("due", "--today", WINTER, "--json", folder=demo).out)
    nights = {
        tree["tag"]: [job["night_c"] for job in tree["care"] if job["work"] == "winter shelter"]
        for tree in data["trees"]
    }
    assert nights["001"] == [-6.0] and nights["011"] == [5.0]


def test_trees_that_pass_a_rust_to_one_another_are_told_once(
    demo: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    """Junipers and apples share Gymnosporangium rusts: The Morton Arboretum, "Cedar rust diseases" (sources.yaml: MAR)."""
    assert bench("cards", "season", "-o", tmp_path / "s.pdf", "--today", WINTER, folder=demo).code == 0
    assert words_of(tmp_path / "s.pdf").count("can pass a disease to one another") == 1
    for tag, told in (("004", True), ("009", True), ("001", False)):
        out = bench("due", "--why", tag, "--today", WINTER, folder=demo).out
        assert ("004 and 009 can pass a disease" in out) is told
