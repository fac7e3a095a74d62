"""The verbs `weather` and `normals`: shown, asked, written through the store, taken out again by `undo`."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from logbook.collection.load import load, settings_read
from logbook.collection.model import Normals
from logbook.collection.settings_editor import with_normals
from logbook.collection.units import METRIC, US
from logbook.collection.weather_file import HEADER, Extremes, spliced
from logbook.diagnostics import ProblemsFound
from logbook.horticulture.loader import shipped_knowledge

from ..conftest import INLAND, Answer, make_collection, snapshot

Bench = Callable[..., Answer]
TODAY = ("--today", "2026-11-25")
SITE = "format: 1\ntitle: Test\nsite: {latitude: 47.9}\n"
TREE = 'tag: "001"\nspecies: Acer palmatum\nlog:\n  - {date: 2024-04-01, work: repotting}\n'
TABLE = "".join(f"{m} {a} {b}\n" for m, (a, b) in enumerate(zip(INLAND.tmin, INLAND.tmax, strict=True), 1))


def days_of(first: str, count: int, low: float = 1.0) -> str:
    start = date.fromisoformat(first)
    rows = (f"{(start + timedelta(days=n)):%d.%m.%Y};{low + n % 5:.1f};{low + 9 + n % 3:.1f}" for n in range(count))
    return "day;lowest °C;highest °C\n" + "\n".join(rows).replace(".0;", ",0;") + "\n"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    make_collection(tmp_path / "c", {"001": TREE}, SITE)
    return tmp_path


def test_weather_is_shown_first_and_written_by_years(home: Path, bench: Bench) -> None:
    (home / "days.csv").write_text(days_of("2025-12-20", 40), encoding="utf-8")
    folder, before = home / "c", snapshot(home / "c" / "trees")
    shown = bench("weather", home / "days.csv", *TODAY, folder=folder)
    assert shown.code == 3 and "parted by semicolons" in shown.out and "run again with --yes" in shown.out
    tried = bench("weather", home / "days.csv", "--dry-run", *TODAY, folder=folder)
    assert tried.code == 0 and "would write weather/2025.csv, weather/2026.csv" in tried.out
    assert not (folder / "weather").exists()
    done = bench("weather", home / "days.csv", "--yes", *TODAY, folder=folder)
    assert done.code == 0 and "40 new days, 0 changed days, 0 days there already" in done.out
    assert (folder / "weather/2025.csv").read_text("utf-8").startswith(f"{HEADER}\n2025-12-20,1,10\n")
    again = bench("weather", home / "days.csv", "--yes", *TODAY, folder=folder)
    assert again.code == 0 and "nothing to write" in again.out
    assert bench("undo", "--yes", *TODAY, folder=folder).code == 0
    assert not list((folder / "weather").glob("*.csv")) and snapshot(folder / "trees") == before


def test_changed_days_are_told_and_all_else_of_the_file_stays(home: Path, bench: Bench) -> None:
    folder = home / "c"
    (folder / "weather").mkdir()
    kept = f"{HEADER}\n# moved to the north wall in March\n2026-03-02,1,9\nno day at all\n2026-03-04,0,8\n"
    (folder / "weather/2026.csv").write_text(kept, encoding="utf-8")
    (home / "new.csv").write_text(
        "date,tmin °C,tmax °C\n2026-03-02,2,9\n2026-03-03,1.5,7\n2026-03-09,4,11\n", "utf-8"
    )
    done = bench("weather", home / "new.csv", "--yes", *TODAY, folder=folder)
    assert "changed: 2026-03-02  1 to 9 °C becomes 2 to 9 °C" in done.out
    assert (folder / "weather/2026.csv").read_text("utf-8") == (
        f"{HEADER}\n# moved to the north wall in March\n2026-03-02,2,9\nno day at all\n2026-03-03,1.5,7\n2026-03-04,0,8\n2026-03-09,4,11\n"
    )
    bench("undo", "--yes", *TODAY, folder=folder)
    assert (folder / "weather/2026.csv").read_text("utf-8") == kept
    told = bench("check", *TODAY, folder=folder)
    assert "weather/2026.csv:4" in told.err and "expected three values" in told.err


def test_a_services_own_file_may_lie_in_the_folder(home: Path, bench: Bench) -> None:
    folder = home / "c"
    (folder / "weather").mkdir()
    (folder / "weather/2026.csv").write_text(days_of("2026-01-01", 100), encoding="utf-8")
    known = load(folder, shipped_knowledge()).weather
    assert len(known) == 100 and known[date(2026, 1, 1)] == Extremes(1.0, 10.0)
    (home / "new.csv").write_text("date,tmin °C,tmax °C\n2026-01-01,-2,3\n2026-05-01,4,15\n", encoding="utf-8")
    own = (folder / "weather/2026.csv").read_bytes()
    assert bench("weather", home / "new.csv", "--yes", *TODAY, folder=folder).code == 0
    assert (folder / "weather/2026.csv").read_bytes() == own
    known = load(folder, shipped_knowledge()).weather
    assert len(known) == 101 and known[date(2026, 1, 1)] == Extremes(-2.0, 3.0)


def test_what_is_open_is_asked_and_nothing_is_written(home: Path, bench: Bench) -> None:
    folder = home / "c"
    (home / "open.csv").write_text(
        "date,low,high\n" + "".join(f"0{m}/0{m + 1}/2026,1,9\n" for m in range(1, 9)), "utf-8"
    )
    before = snapshot(folder)
    told = bench("weather", home / "open.csv", "--json", *TODAY, folder=folder)
    data = json.loads(told.out)
    if data["questions"]:
        assert told.code == 3 and snapshot(folder).keys() - {".benchleaf.lock"} >= before.keys()
    fields = {q["field"] for q in data["questions"]}
    (home / "unit.csv").write_text("date,low,high\n2026-03-02,10,20\n2026-03-03,11,21\n", "utf-8")
    bare = make_collection(home / "bare", {"001": TREE})
    asked = json.loads(bench("weather", home / "unit.csv", "--json", *TODAY, folder=bare).out)
    for question in asked["questions"]:
        answer = f"{question['field']}={question['choices'][0]}"
        assert bench("weather", home / "unit.csv", "--yes", "--answer", answer, *TODAY, folder=bare).code == 0
    assert fields <= {"date order", "unit", "place"}
    assert "expected FIELD=VALUE" in bench("weather", home / "unit.csv", "--answer", "C", folder=bare).err
    assert bench("weather", home / "nowhere.csv", folder=bare).code == 1


def test_days_to_come_are_left_out(home: Path, bench: Bench) -> None:
    (home / "ahead.csv").write_text("date,tmin °C,tmax °C\n2026-11-24,1,5\n2026-12-24,0,3\n", encoding="utf-8")
    done = bench("weather", home / "ahead.csv", "--yes", *TODAY, folder=home / "c")
    assert "1 day after today left out" in done.out and "1 new day" in done.out


def test_normals_of_a_table(home: Path, bench: Bench) -> None:
    folder = home / "c"
    (home / "station.txt").write_text(TABLE, encoding="utf-8")
    shown = bench("normals", home / "station.txt", *TODAY, folder=folder)
    assert shown.code == 3 and "-3.6 °C" in shown.out and (folder / "collection.yaml").read_text("utf-8") == SITE
    done = bench(
        "normals",
        home / "station.txt",
        "--coldest-night",
        "-14",
        "--years",
        "1991-2020",
        "--yes",
        *TODAY,
        folder=folder,
    )
    assert done.code == 0 and "wrote them into collection.yaml" in done.out
    site = load(folder, shipped_knowledge()).settings.site
    assert site is not None and site.normals == INLAND
    again = bench("normals", home / "station.txt", "--yes", *TODAY, folder=folder)
    assert "stand there already" in again.out or "wrote" in again.out
    bench("undo", "--yes", *TODAY, folder=folder)


def test_four_numbers_say_that_the_rest_is_guessed(home: Path, bench: Bench) -> None:
    folder = home / "c"
    done = bench("normals", "--january", "-3", "4", "--july", "15", "27", "--yes", *TODAY, folder=folder)
    assert done.code == 0 and "guessed from four numbers" in done.out and "--coldest-night" in done.out
    assert "january: [-3, 4]" in (folder / "collection.yaml").read_text("utf-8")
    assert "guessed from four numbers: bands are wider" in bench("season", *TODAY, folder=folder).out
    more = ["--january", "-3", "4", "--april", "5", "16", "--july", "15", "27", "--october", "7", "15"]
    assert bench("normals", *more, "--yes", *TODAY, folder=folder).code == 0
    assert "guessed from eight numbers" in bench("due", "--why", "001", *TODAY, folder=folder).out
    assert bench("undo", "--yes", *TODAY, folder=folder).code == 0
    assert "october" not in (folder / "collection.yaml").read_text("utf-8")


def test_wrong_numbers_are_refused_in_words(home: Path, bench: Bench) -> None:
    folder = home / "c"
    for words, told in (
        (["--january", "4", "-3", "--july", "15", "27"], "the night is warmer than the day"),
        (["--january", "-3", "4"], "give a table, or January and July"),
        (["--july", "15", "27", "--october", "1", "2"], "give a table, or January and July"),
        (["--january", "-3", "4", "--july", "15", "27", "--coldest-night", "9"], "the coldest night is warmer"),
    ):
        answer = bench("normals", *words, "--yes", *TODAY, folder=folder)
        assert answer.code == 1 and told in answer.err, words
    assert (folder / "collection.yaml").read_text("utf-8") == SITE


def test_without_a_site_the_latitude_is_asked(tmp_path: Path, bench: Bench) -> None:
    folder = make_collection(tmp_path / "c", {"001": TREE})
    months = ["--january", "-3", "4", "--july", "15", "27"]
    asked = bench("normals", *months, "--yes", *TODAY, folder=folder)
    assert asked.code == 3 and "--answer 'latitude=VALUE'" in asked.out
    assert bench("normals", *months, "--answer", "latitude=46.1", "--yes", *TODAY, folder=folder).code == 0
    assert "latitude: 46.1" in (folder / "collection.yaml").read_text("utf-8")


def test_before_a_collection_is_begun(tmp_path: Path, bench: Bench) -> None:
    told = bench("normals", "--january", "-3", "4", "--july", "15", "27", "--latitude", "46", *TODAY, folder=tmp_path)
    assert told.code == 0 and "no collection here yet" in told.out and not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "text",
    [
        "format: 1\ntitle: T\nsite:\n  latitude: 47.9   # mine\n# behind\nlink: 'x/{tag}'\n",
        "format: 1\ntitle: T\nsite:\n    latitude: 47.9\n    normals:\n        tmin: [0,0,0,0,0,0,0,0,0,0,0,0]\n        tmax:\n          - 9\n"
        + "          - 9\n" * 11
        + "        # a remark of mine\n    frost: {last: 04-24}\n",
        "format: 1\ntitle: T\nsite: {latitude: 47.9, frost: {last: 04-24}}\n",
        "format: 1\ntitle: T\nsite: {normals: {january: [0, 5], july: [12, 20]}, latitude: 47.9}\nmonths: {2027-03: {tmin: 1, tmax: 9}}",
        "\ufeffformat: 1\r\ntitle: T\r\nsite:\r\n  latitude: 47.9\r\n",
        "format: 1\ntitle: T\n# site:\n#   latitude: 1\n",
    ],
    ids=["block", "replaced", "flow", "flow replaced", "windows", "no site"],
)
def test_normals_go_into_a_file_of_any_shape(text: str) -> None:
    def read(raw: bytes) -> object:
        return settings_read(raw, shipped_knowledge())

    new = with_normals(text, INLAND, METRIC, read, 47.9)  # type: ignore[arg-type]
    settings, faults = settings_read(new.encode(), shipped_knowledge())
    assert settings and settings.site and settings.site.normals == INLAND and not faults
    assert ("\r\n" in text) == ("\r\n" in new) and all(part in new for part in ("latitude: 47.9", "title: T"))
    for remark in ("# mine", "# behind", "# site:", "frost: {last: 04-24}"):
        assert (remark in text) == (remark in new)
    few = Normals.of_months({1: (-3.0, 4.0), 7: (15.0, 27.0)}, 47.9)
    assert "january: [" in with_normals(new, few, METRIC, read, 47.9)  # type: ignore[arg-type]


def test_a_file_of_another_shape_is_refused_with_the_lines() -> None:
    with pytest.raises(ProblemsFound) as found:
        with_normals(
            "{format: 1, title: T}", INLAND, METRIC, lambda raw: settings_read(raw, shipped_knowledge()), 47.9
        )
    assert "write them by hand" in found.value.problems[0].hint


def test_degrees_of_the_collection(tmp_path: Path, bench: Bench) -> None:
    folder = make_collection(
        tmp_path / "c", {"001": TREE}, "format: 1\ntitle: T\nunits: us\nsite: {latitude: 47.9}\n"
    )
    done = bench("normals", "--january", "26.6", "39.2", "--july", "59", "80.6", "--yes", *TODAY, folder=folder)
    assert done.code == 0 and "26.6 °F" in done.out
    assert "january: [26.6, 39.2]" in (folder / "collection.yaml").read_text("utf-8") and US.us
    site = load(folder, shipped_knowledge()).settings.site
    assert site and site.normals and site.normals.tmin[0] == pytest.approx(-3.0)


def test_splicing_days() -> None:
    text = f"{HEADER}\r\n2026-01-02,0,5\r\n"
    assert spliced(text, {date(2026, 1, 1): Extremes(1, 2), date(2026, 1, 2): Extremes(0.5, 5)}) == (
        f"{HEADER}\r\n2026-01-01,1,2\r\n2026-01-02,0.5,5\r\n"
    )


def test_this_years_weather_moves_the_dates_and_is_told(home: Path, bench: Bench) -> None:
    folder = home / "c"
    (home / "station.txt").write_text(TABLE, encoding="utf-8")
    bench("normals", home / "station.txt", "--coldest-night", "-14", "--yes", *TODAY, folder=folder)
    usual = json.loads(bench("season", "--group", "maple", "--today", "2027-03-15", "--json", folder=folder).out)
    first, rows = date(2027, 1, 1), ["date,tmin,tmax"]
    for n in range(73):
        month = (first + timedelta(days=n)).month - 1
        rows.append(f"{first + timedelta(days=n)},{INLAND.tmin[month] + 5:.1f},{INLAND.tmax[month] + 5:.1f}")
    (home / "warm.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    day = ("--today", "2027-03-15")
    assert bench("weather", home / "warm.csv", "--yes", *day, folder=folder).code == 0
    told = bench("season", "--group", "maple", *day, folder=folder).out
    assert "this year's weather to 14 Mar 2027 puts leaves" in told and "days ahead of your normals" in told
    warm = json.loads(bench("season", "--group", "maple", *day, "--json", folder=folder).out)
    marks = [data["groups"]["maple"]["open"] for data in (usual, warm)]
    assert marks[1]["day"] < marks[0]["day"] and marks[1]["band_days"] <= marks[0]["band_days"]
    why = bench("due", "--why", "001", *day, folder=folder).out
    assert "from this year's weather to 14 Mar and your monthly normals, which alone give" in why
    before = bench("season", "--group", "maple", "--today", "2027-01-01", folder=folder).out
    assert "this year's weather" not in before, "what was not known on a day is not heeded"
