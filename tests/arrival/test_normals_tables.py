"""Thirty-five ways in which monthly means arrive: read to the right figures, or asked about, or refused for a reason.

The station and its figures are invented. What each file must come to stands in the tables below; a file without a line here fails.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.few_normals import guessed, guessed_band
from logbook.collection.normals_reader import NormalsRead, read_normals_table

HERE = Path(__file__).resolve().parent
FILES = sorted((HERE / "normals").iterdir())
LATITUDE = 46.0

# file number → fields asked about, and the answers after which it must be read
ASKED: dict[str, dict[str, str]] = {
    "23": {"order": "January night, January day, July night, July day"},
    "25": {"lowest": "max"},
    "26": {"unit": "C"},
    "28": {"lowest": "column 2", "highest": "column 3"},
    "30": {"yearly mean of nights": "ok"},
    "35": {},  # mean temperatures and rain: asked, and there is no answer that makes nights of them
}
REFUSED = {
    "21": "nights of Jun; days of Jun",
    "22": "nights of Sep",
    "24": "nights and days are needed apart",
    "27": "month 10: 154",
    "32": "no monthly means found",
}
GUESSED = {
    "10": "from four numbers",
    "11": "from four numbers",
    "12": "from eight numbers",
    "23": "from four numbers",
}
OTHER_FIGURES = ("26", "30")  # their own, or a fault put in


def expected() -> tuple[list[float], list[float]]:
    rows = list(csv.DictReader((HERE / "normals.csv").open(encoding="utf-8")))
    return [float(r["tmin"]) for r in rows], [float(r["tmax"]) for r in rows]


def read(file: Path, answers: dict[str, str] | None = None) -> NormalsRead:
    return read_normals_table(file.read_text("utf-8"), file.name, answers=answers, latitude=LATITUDE)


def check_figures(found: NormalsRead, number: str) -> None:
    assert found.normals is not None, found
    low, high = expected()
    if number in OTHER_FIGURES:
        return
    months = (0, 6) if number in GUESSED and GUESSED[number] == "from four numbers" else range(12)
    months = (0, 3, 6, 9) if GUESSED.get(number) == "from eight numbers" else months
    for m in months:
        # °F are printed to a tenth: 0.03 °C
        assert found.normals.tmin[m] == pytest.approx(low[m], abs=0.04)
        assert found.normals.tmax[m] == pytest.approx(high[m], abs=0.04)
    assert found.guessed == GUESSED.get(number, "")


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_tables_are_read_asked_about_or_refused_for_a_reason(file: Path) -> None:
    number = file.name[:2]
    found = read(file)
    if number in REFUSED:
        assert found.normals is None and not found.questions
        assert REFUSED[number] in found.problems[0].message and found.problems[0].hint
        return
    assert not found.problems
    if number not in ASKED:
        assert not found.questions and len(found.understood) >= 3
        check_figures(found, number)
        return
    assert found.normals is None and found.questions, "a doubtful table must not be read"
    answers = ASKED[number]
    if answers:
        assert {q.field for q in found.questions} == set(answers)
        assert all(answers[q.field] in q.choices for q in found.questions)
        check_figures(read(file, answers), number)


def test_there_are_thirty_five() -> None:
    assert len(FILES) == 35


def test_what_was_understood_can_be_shown() -> None:
    found = read(next(f for f in FILES if f.name.startswith("03")))
    told = dict(found.understood)
    assert told["nights"].startswith("Average low °C") and "Record high °C" in told["left aside"]


def test_fahrenheit_in_brackets_are_told_by_the_figures() -> None:
    found = read(next(f for f in FILES if f.name.startswith("04")))
    assert found.unit == "C"


def test_years_are_kept() -> None:
    assert read(next(f for f in FILES if f.name.startswith("06"))).normals.years == "1991-2020"  # type: ignore[union-attr]


@pytest.mark.parametrize("latitude", [46.0, -46.0])
def test_four_numbers_end_in_the_months_they_were_given_for(latitude: float) -> None:
    """South of the equator January is the warm month and the shares run from July."""
    cold, warm = (-3.0, 4.0), (15.0, 27.0)
    pairs = {1: cold, 7: warm} if latitude > 0 else {1: warm, 7: cold}
    found = guessed(pairs, latitude)
    assert found is not None
    for at, months in enumerate(found):
        assert months[0] == pairs[1][at] and months[6] == pairs[7][at]
        assert all(min(cold[at], warm[at]) <= m <= max(cold[at], warm[at]) for m in months)
    spring = 3 if latitude > 0 else 9
    assert found[1][spring] == pytest.approx(4.0 + 0.515 * 23.0, abs=0.006)


@given(st.lists(st.floats(-30, 30), min_size=4, max_size=4))
def test_eight_numbers_go_through_all_they_were_given(quarters: list[float]) -> None:
    found = guessed({m: (q, q + 9) for m, q in zip((1, 4, 7, 10), quarters, strict=True)}, 46.0)
    assert found is not None
    for month, value in zip((0, 3, 6, 9), quarters, strict=True):
        assert found[0][month] == pytest.approx(value, abs=0.006)
        assert found[1][month] == pytest.approx(value + 9, abs=0.006)


def test_near_the_equator_four_numbers_say_that_they_are_means_only() -> None:
    found = read_normals_table("Jan 21 30\nJul 24 32\n", "t", latitude=10.0)
    assert found.normals is not None and found.means_only
    assert any("only their means" in words for _, words in found.understood)
    assert found.normals.tmin[3] == pytest.approx(22.5)


def test_guessed_months_need_to_know_the_half_of_the_earth() -> None:
    found = read_normals_table("Jan -3 4\nJul 15 27\n", "t")
    assert [q.field for q in found.questions] == ["latitude"] and found.normals is None


def test_guessed_normals_widen_bands() -> None:
    assert guessed_band(11.0) == pytest.approx((11.0**2 + (1.28 * 4) ** 2) ** 0.5)


@given(st.text(max_size=300))
def test_any_text_is_answered_and_never_a_fault(text: str) -> None:
    found = read_normals_table(text, "t", latitude=46.0)
    assert found.normals is not None or found.questions or found.problems


@given(
    st.lists(
        st.lists(
            st.sampled_from(
                ["Jan", "Feb", "Jul", "3.4", "-2,5", "", "max", "low", "°F", "12", "1991-2020", "50 (10)"]
            ),
            max_size=14,
        ),
        max_size=14,
    ),
    st.sampled_from([" ", ";", ",", "\t", "|"]),
)
def test_any_table_is_answered_and_never_a_fault(rows: list[list[str]], separator: str) -> None:
    found = read_normals_table("\n".join(separator.join(r) for r in rows), "t", latitude=46.0)
    assert found.normals is not None or found.questions or found.problems
    if found.normals is not None:
        assert all(a <= b for a, b in zip(found.normals.tmin, found.normals.tmax, strict=True))


def test_nights_as_warm_as_days_are_never_warmer() -> None:
    found = read_normals_table("Jul Jan\n12 3.4\n12 3.4", "t", latitude=46.0).normals
    assert found is not None and all(a <= b for a, b in zip(found.tmin, found.tmax, strict=True))


@pytest.mark.parametrize("number", ["01", "10", "12"])
def test_warm_months_of_the_other_half_of_the_earth(number: str) -> None:
    file = next(f for f in FILES if f.name.startswith(number))
    found = read_normals_table(file.read_text("utf-8"), "t", latitude=-46.0)
    assert found.normals is None and "July is the warmer" in found.problems[0].message
