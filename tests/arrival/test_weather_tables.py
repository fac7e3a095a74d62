"""Twenty-two ways in which daily weather arrives: read to the right days, asked about, or refused; what is broken left out and told.

The thermometer and its figures are invented. A file without a line below must be read whole.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.weather_file import Extremes, joined, merged, read_weather_file, weather_texts
from logbook.collection.weather_reader import WeatherRead, read_weather

from ..conftest import INLAND
from ..season.test_oracles import daily, data_folder

HERE = Path(__file__).resolve().parent
FILES = sorted((HERE / "weather").iterdir())
TRUTH, _ = read_weather_file((HERE / "weather.csv").read_text("utf-8"), "weather.csv")
FIRST = min(TRUTH)

ASKED: dict[str, dict[str, str]] = {
    "01": {"unit": "C"},
    "05": {"unit": "°C"},
    "07": {"unit": "C", "hours ahead": "1"},
    "12": {"unit": "celsius"},
    "14": {"unit": "F"},
    "15": {"lowest": "max °C"},
    "16": {"date order": "day-month"},
    "18": {"lowest": "column 2", "highest": "column 4", "unit": "C"},
}
REFUSED = {"17": "too few readings a day", "19": "no row with a day"}
# day of the record (0 = the first) → why it is left out
LEFT_OUT: dict[str, dict[int, str]] = {
    "08": {5: "flags", 9: "missing"},
    "10": {
        3: "missing",
        7: "above the high",
        11: "no day goes",
        13: "flagged",
        17: "broken thermometer",
        20: "differ",
    },
}
DAYS = {"14": 12, "16": 0}


def read(file: Path, answers: dict[str, str] | None = None) -> WeatherRead:
    return read_weather(file.read_text("utf-8"), file.name, answers=answers)


def check_days(found: WeatherRead, number: str) -> None:
    out = {FIRST + timedelta(days=n) for n in LEFT_OUT.get(number, {})}
    wanted = {d: e for d, e in list(TRUTH.items())[: DAYS.get(number, len(TRUTH))] if d not in out}
    if number == "16":
        wanted = {date(2027, 4, 3): Extremes(1.0, 9.0)}
    assert set(found.days) == set(wanted)
    for day, extremes in wanted.items():
        assert found.days[day] == pytest.approx(extremes, abs=0.06)  # °F printed to a tenth


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_tables_are_read_asked_about_or_refused_for_a_reason(file: Path) -> None:
    number = file.name[:2]
    found = read(file)
    if number in REFUSED:
        assert not found.days and REFUSED[number] in found.problems[-1].message and found.problems[-1].hint
        return
    if number in ASKED:
        assert not found.days and found.questions, "a doubtful table must not be read"
        answers = ASKED[number]
        assert {q.field for q in found.questions} <= set(answers)
        found = read(file, answers)
    assert not found.questions
    check_days(found, number)
    told = [p.message for p in found.problems]
    for why in LEFT_OUT.get(number, {}).values():
        assert any(why in message for message in told), (why, told)
    assert len(told) == len(LEFT_OUT.get(number, {}))
    assert all(p.place and p.place.line for p in found.problems)


def test_there_are_twenty_two() -> None:
    assert len(FILES) == 22


@pytest.mark.parametrize("number", ["01", "05", "12", "14"])
def test_the_sites_normals_tell_the_unit(number: str) -> None:
    file = next(f for f in FILES if f.name.startswith(number))
    found = read_weather(file.read_text("utf-8"), "t", normals=INLAND)
    assert not found.questions
    check_days(found, number)


def test_hours_of_greenwich_are_the_sites_by_its_longitude() -> None:
    file = next(f for f in FILES if f.name.startswith("07"))
    check_days(read_weather(file.read_text("utf-8"), "t", longitude=14.5, answers={"unit": "C"}), "07")


def test_a_broken_off_day_of_hours_is_left_out() -> None:
    rows = "".join(f"2027-03-0{d} {h:02d}:00;{h}\n" for d in (1, 2, 3) for h in range(24) if d != 3 or h < 9)
    found = read_weather("time;T °C\n" + rows, "t")
    assert set(found.days) == {date(2027, 3, 1), date(2027, 3, 2)}
    assert any("part of the day" in p.message for p in found.problems)


def test_the_collections_order_of_day_and_month_decides_what_figures_leave_open() -> None:
    text = "date,min °C,max °C\n03/04/2027,1.0,9.0\n"
    assert set(read_weather(text, "t", date_order="month-day").days) == {date(2027, 3, 4)}
    assert set(read_weather(text, "t", date_order="day-month").days) == {date(2027, 4, 3)}


def test_figures_overrule_the_usual_order_where_they_can() -> None:
    text = "date,min °C,max °C\n" + "".join(f"{d:02d}/04/2027,1.0,9.0\n" for d in range(1, 8))
    assert min(read_weather(text, "t", date_order="month-day").days) == date(2027, 4, 1)


extremes = st.tuples(st.floats(-50, 40), st.floats(0, 20)).map(
    lambda p: Extremes(round(p[0], 2), round(p[0] + p[1], 2))
)
records = st.dictionaries(st.dates(date(2020, 1, 1), date(2030, 12, 31)), extremes, max_size=40)


@given(records)
def test_what_is_written_reads_back(days: dict[date, Extremes]) -> None:
    texts = weather_texts(days)
    back = {d: e for name, text in texts.items() for d, e in read_weather_file(text, name)[0].items()}
    assert back == {d: pytest.approx(e, abs=0.0051) for d, e in days.items()}
    assert set(texts) == {f"weather/{d.year}.csv" for d in days}
    assert weather_texts(back) == texts
    assert all(not read_weather_file(text, name)[1] for name, text in texts.items())


@given(records, records)
def test_merging_tells_what_is_new_and_what_changed(known: dict[date, Extremes], new: dict[date, Extremes]) -> None:
    both, added, changed = merged(known, new)
    assert set(both) == set(known) | set(new) and set(added) == set(new) - set(known)
    assert all(d in known and both[d] == new[d] for d in changed)
    assert merged(both, new)[1:] == ([], [])


def test_faults_in_a_kept_file_are_placed_and_the_rest_stands() -> None:
    text = "date,tmin,tmax\n2027-01-01,-3,4\n2027-01-02,5,4\nnonsense\n2027-01-01,-3,4\n2027-13-01,1,2\n"
    days, problems = read_weather_file(text, "weather/2027.csv")
    assert days == {date(2027, 1, 1): Extremes(-3.0, 4.0)}
    assert [p.place.line for p in problems if p.place] == [3, 4, 5, 6]


@given(st.text(max_size=300))
def test_any_text_is_answered_and_never_a_fault(text: str) -> None:
    found = read_weather(text, "t")
    assert found.days or found.questions or found.problems


cells = st.sampled_from(
    [
        "2027-03-01",
        "2/3/27",
        "3.4",
        "-2,5",
        "",
        "NA",
        "tmax",
        "low",
        "date",
        "°F",
        "12",
        "Q",
        "25:99",
        "-9999",
        "TMIN",
    ]
)


@given(st.lists(st.lists(cells, max_size=6), max_size=10), st.sampled_from([" ", ";", ",", "\t", "|"]))
def test_any_table_is_answered_and_never_a_fault(rows: list[list[str]], separator: str) -> None:
    found = read_weather("\n".join(separator.join(r) for r in rows), "t")
    assert found.days or found.questions or found.problems
    assert all(e.tmin <= e.tmax for e in found.days.values())


@pytest.mark.parametrize("station", ["brussels", "champion", "cordoba"])
def test_thirty_years_of_a_station(station: str) -> None:
    """Daily files of the aquacrop package (MIT), as their services wrote them: every day that can be one, to the tenth."""
    file = data_folder("aquacrop") / f"{station}_climate.txt"
    found = read_weather(file.read_text("utf-8", "replace"), file.name)
    assert not found.questions and len(found.days) > 10_000
    assert {d: tuple(e) for d, e in found.days.items()} == daily(station)


def test_humidity_is_not_taken_for_the_day() -> None:
    rows = "".join(f"2027-03-{d:02d};{d / 2};{60 + d}\n" for d in range(1, 20))
    found = read_weather(rows, "t", answers={"unit": "C"})
    assert not found.days and {q.field for q in found.questions} == {"lowest", "highest"}


def test_a_warm_room_is_not_taken_for_the_garden() -> None:
    rows = "date,min °C,max °C\n" + "".join(f"2027-01-{d:02d},17.5,21.0\n" for d in range(1, 29))
    assert [q.field for q in read_weather(rows, "t", normals=INLAND).questions] == ["place"]
    assert len(read_weather(rows, "t", normals=INLAND, answers={"place": "ok"}).days) == 28
    assert len(read_weather(rows, "t").days) == 28


def test_of_two_files_the_first_counts() -> None:
    day = date(2027, 1, 1)
    one, other = {day: Extremes(-3.0, 4.0)}, {day: Extremes(0.0, 1.0), day + timedelta(days=1): Extremes(1.0, 2.0)}
    days, problems = joined([(one, []), (other, [])])
    assert days == {day: Extremes(-3.0, 4.0), day + timedelta(days=1): Extremes(1.0, 2.0)} and problems == []
