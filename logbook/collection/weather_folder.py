"""The `weather/` folder of a collection: files of the tool's own form, and tables that somebody laid there as they came."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

from ..diagnostics import Place, Problem, ProblemsFound
from ..storage.disk import names_in
from .fields import Settings
from .weather_file import HEADER, Days, Extremes, joined, read_weather_file, spliced, weather_texts
from .weather_reader import read_weather
from .yaml_reader import decoded, file_bytes

WEATHER_FOLDER = "weather"
TABLES = (".csv", ".txt", ".tsv", ".dat")
HAND_OVER = "hand it over with: benchleaf weather FILE"


def read_folder(folder: Path, instead: Mapping[str, bytes | None], settings: Settings) -> tuple[Days, list[Problem]]:
    """All days of the folder, and what of it can't be read (warnings: dates are worked out from what can)."""
    known = {name: data for name, data in instead.items() if name.startswith(f"{WEATHER_FOLDER}/")}
    there, faults = _names(folder)
    names = {f"{WEATHER_FOLDER}/{name}" for name in there if not name.startswith(".")} | set(known)
    days, problems = joined(
        _read(folder, name, known, settings) for name in sorted(names) if known.get(name, b"") is not None
    )
    return days, [*faults, *problems]


def _names(folder: Path) -> tuple[list[str], list[Problem]]:
    """What the folder holds; hidden files belong to editors and syncing programs."""
    try:
        return names_in(folder / WEATHER_FOLDER), []
    except FileNotFoundError:
        return [], []
    except OSError as error:
        told = f"the folder can't be read: {(error.strerror or str(error)).lower()}"
        return [], [Problem(told, Place(f"{WEATHER_FOLDER}/"), "no day of it counts until it can be", "warning")]


def _read(
    folder: Path, shown: str, known: Mapping[str, bytes | None], settings: Settings
) -> tuple[Days, list[Problem]]:
    if not shown.casefold().endswith(TABLES):
        return {}, [Problem("this is no table of days", Place(shown), HAND_OVER, "warning")]
    try:
        text = decoded(known.get(shown) or file_bytes(folder / shown, shown), shown)
    except ProblemsFound as found:
        return {}, [Problem(p.message, p.place or Place(shown), p.hint, "warning") for p in found.problems]
    return read_weather_file(text, shown) if _is_own(text) else _loose(text, shown, settings)


def _loose(text: str, shown: str, settings: Settings) -> tuple[Days, list[Problem]]:
    """A table as it came: its days where nothing is open, else what is asked."""
    site = settings.site
    found = read_weather(
        text,
        shown,
        date_order=settings.date_order,
        longitude=site.longitude if site else None,
        normals=site.normals if site else None,
    )
    problems = [Problem(p.message, p.place or Place(shown), p.hint, "warning") for p in found.problems]
    asked = [Problem(q.question, Place(shown, max(1, q.row)), HAND_OVER, "warning") for q in found.questions]
    days: dict[date, Extremes] = dict(found.days)
    return days, [*problems, *asked]


def spliced_texts(
    days: Mapping[date, Extremes], standing: Callable[[str], str | None]
) -> dict[str, tuple[str | None, str]]:
    """By path: the old text (None where there is none) and the new, of every year's file that these days change.

    A table that somebody laid under that name as it came is left alone; the days go into a file beside it.
    """
    found: dict[str, tuple[str | None, str]] = {}
    for path, text in weather_texts(days).items():
        name, old = path, standing(path)
        if old is not None and not _is_own(old):
            # before the other in order, so that its days count
            name = f"{path.removesuffix('.csv')}+.csv"
            old = standing(name)
        mine = {day: e for day, e in days.items() if f"{day.year:04d}" == Path(path).stem}
        found[name] = (old, text if old is None else spliced(old, mine))
    return found


def _is_own(text: str) -> bool:
    first = next(iter(text.removeprefix("\ufeff").splitlines()), "")
    return first.strip().casefold() == HEADER
