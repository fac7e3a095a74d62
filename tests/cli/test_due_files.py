"""Calendar and table of due work; the season table."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import icalendar

from ..conftest import Answer


def test_calendar_is_rfc_5545(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """RFC 5545, read back with the icalendar package: all-day windows, no alarms, stable and unique UIDs."""
    for name, today in (("a.ics", "2026-11-25"), ("b.ics", "2026-12-20")):
        assert bench("due", "--all", "--ics", tmp_path / name, "--today", today, folder=demo).code == 0
    first, second = (icalendar.Calendar.from_ical((tmp_path / n).read_bytes()) for n in ("a.ics", "b.ics"))
    events = list(first.walk("VEVENT"))
    assert len(events) > 20
    uids = [str(e["UID"]) for e in events]
    assert len(set(uids)) == len(uids)
    for event in events:
        start, end = event.decoded("DTSTART"), event.decoded("DTEND")
        assert type(start) is date and type(end) is date and start < end
        assert not event.walk("VALARM")
    later = {str(e["UID"]) for e in second.walk("VEVENT")}
    stay = {str(e["UID"]) for e in events if e.decoded("DTEND") > date(2026, 12, 20)}
    assert len(stay) > 20 and stay <= later, "what is open still keeps its name"
    raw = (tmp_path / "a.ics").read_bytes()
    assert all(len(line) <= 75 for line in raw.split(b"\r\n")), "lines are folded at 75 octets"
    bench("due", "--all", "--ics", tmp_path / "c.ics", "--today", "2026-11-25", folder=demo)
    assert (tmp_path / "c.ics").read_bytes() == raw


def test_a_phone_holds_what_costs_most_to_miss(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """At most three entries of a tree's own, wire coming off first; shelter in and out and the bench days for the garden."""
    assert bench("due", "--ics", tmp_path / "d.ics", "--today", "2026-11-25", folder=demo).code == 0
    events = list(icalendar.Calendar.from_ical((tmp_path / "d.ics").read_bytes()).walk("VEVENT"))
    told = [str(event["SUMMARY"]) for event in events]
    own = [words.split(" ")[0] for words in told if words[:3].isdigit()]
    assert own and max(own.count(tag) for tag in set(own)) <= 3
    assert next(words for words in told if words.startswith("004")).endswith("wire off 1, 2, 3 by today")
    assert not any("measuring" in words or "photograph" in words for words in told)
    comes_in, goes_out = ([e for e in events if str(e["UID"]).startswith(f"shelter-{way}")] for way in ("in", "out"))
    for side in (comes_in, goes_out):
        tags = [tag for e in side for tag in str(e["SUMMARY"]).partition(": ")[2].split(" ")]
        assert len(tags) == len(set(tags)) >= 10, "every tree that is sheltered once, a few days for the garden"
        assert len(side) <= 5 and all(e.decoded("DTEND") - e.decoded("DTSTART") == timedelta(days=1) for e in side)
    assert "001: before a night under -6 °C" in " ".join(str(e["DESCRIPTION"]) for e in comes_in)
    days = [e for e in events if str(e["UID"]).startswith("bench-day-")]
    assert days and "001 Ferryman: needle thinning" in str(days[0]["DESCRIPTION"])


def test_table(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    bench("due", "--csv", tmp_path / "d.csv", "--today", "2026-11-25", folder=demo)
    rows = list(csv.DictReader((tmp_path / "d.csv").open(encoding="utf-8")))
    assert {"001", "011"} <= {r["tag"] for r in rows} and all(
        r["sign"] or r["what" if "what" in r else "work"] for r in rows
    )


def test_season_tells_what_is_not_there(demo: Path, bench: Callable[..., Answer]) -> None:
    data = json.loads(bench("season", "--today", "2026-11-25", "--json", folder=demo).out)
    assert data["season"] == 2027
    assert (
        data["groups"]["tropical"]["swell"]["day"] is None and "warmth" in data["groups"]["tropical"]["swell"]["why"]
    )
    words = bench("season", "--today", "2026-11-25", folder=demo).out
    assert "growing weeks" in words and "last frost 10 %" in words and "1991-2020" in words
    assert "did you mean 'maple'?" in bench("season", "--group", "mapel", folder=demo).err


def test_reasons_are_in_the_collections_own_degrees(demo: Path, bench: Callable[..., Answer]) -> None:
    settings = demo / "collection.yaml"
    text = settings.read_text("utf-8")
    assert "units: metric" in text
    settings.write_text(text.replace("units: metric", "units: us"), encoding="utf-8")
    normals = [line for line in text.splitlines() if "tmin:" in line or "tmax:" in line]
    for line in normals:
        name, _, numbers = line.partition(": ")
        warm = [f"{float(n) * 1.8 + 32:.1f}" for n in numbers.strip("[] ").split(",")]
        settings.write_text(
            settings.read_text("utf-8").replace(line, f"{name}: [{', '.join(warm)}]"), encoding="utf-8"
        )
    settings.write_text(
        settings.read_text("utf-8").replace("coldest_night: -14", "coldest_night: 7"), encoding="utf-8"
    )
    for path in (demo / "trees").glob("*.yaml"):  # their measures are in mm: leave them out
        rows = [r for r in path.read_text("utf-8").splitlines() if "measured" not in r and "targets" not in r]
        path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    for tag in ("001", "003", "010", "011"):
        told = bench("due", "--why", tag, "--today", "2026-11-25", folder=demo).out
        bare = told.replace("°C·d)", "")
        assert "°F" in told and "°C" not in bare, told
