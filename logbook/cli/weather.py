"""Daily weather of your own: a thermometer's or a weather service's table, understood, shown and taken into weather/.

Any common table will do: two temperatures a day, or readings through the day; the separator, the words in its head, the order of day and
month, °F and decimal commas are found out. What is left open is asked, and nothing is written before you agree. Each year's springs
are then worked out from its own days.

examples:
  benchleaf weather thermometer.csv
  benchleaf weather station.txt --answer "date order=day-month" --yes
  benchleaf weather thermometer.csv --dry-run
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from datetime import date
from typing import TypedDict

from ..collection.weather_file import Days, Extremes, merged
from ..collection.weather_folder import spliced_texts
from ..collection.weather_reader import WeatherRead, read_weather
from ..diagnostics import counted
from ..intake.service import refusals
from ..storage.store import Edit, NewFile, NewText, Store
from .asking import (
    agreed,
    answer_argument,
    asked,
    can_ask,
    question_data,
    questions_told,
    table_text,
    understood_told,
)
from .common import Opened, json_argument, today_argument
from .results import DONE, PROBLEMS, QUESTION, Result
from .writing import writing

MOST_SHOWN = 3


class QuestionData(TypedDict):
    """A question left open, answered by --answer FIELD=VALUE."""

    field: str
    question: str
    choices: list[str]


class WeatherData(TypedDict):
    """What was understood, what is open, and the days: new to the collection, changed, there already; the files written."""

    understood: dict[str, str]
    questions: list[QuestionData]
    new: int
    changed: int
    there: int
    files: list[str]


SHAPE = WeatherData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("table", metavar="FILE", help="the table, or - for standard input")
    answer_argument(parser)
    parser.add_argument("--dry-run", action="store_true", help="show what was understood; write nothing")
    parser.add_argument("--yes", action="store_true", help="take it in without asking")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Read a table of days, show it and take it in. Raises ProblemsFound where the file can't be had."""
    text, shown = table_text(options.table)
    with writing(options) as (store, opened):
        answers = dict(options.answer)
        found = _read(text, shown, answers, opened)
        if found.questions and can_ask(options, options.table):
            found = _read(text, shown, answers | asked(found.questions), opened)
        lines = [*store.told(), f"{shown}:", *understood_told(found.understood)]
        if found.questions or not found.days:
            return _not_taken(found, lines)
        return _taken(store, opened, options, found, lines)


def _read(text: str, shown: str, answers: Mapping[str, str], opened: Opened) -> WeatherRead:
    settings = opened.collection.settings
    site = settings.site
    return read_weather(
        text,
        shown,
        answers=answers,
        date_order=settings.date_order,
        longitude=site.longitude if site else None,
        normals=site.normals if site else None,
    )


def _not_taken(found: WeatherRead, lines: list[str]) -> Result:
    told = [*lines, *questions_told(found.questions), "nothing was written"]
    code = QUESTION if found.questions else PROBLEMS
    return Result(code, tuple(told), _data(found, 0, 0, []), found.problems)


def _taken(store: Store, opened: Opened, options: argparse.Namespace, found: WeatherRead, lines: list[str]) -> Result:
    known: Days = dict(opened.collection.weather)
    days = {day: e for day, e in found.days.items() if day <= opened.today}
    _, added, changed = merged(known, days)
    lines = [*lines, *_days_told(known, days, added, changed), *_to_come(found, opened.today)]
    if not added and not changed:
        return Result(DONE, (*lines, "nothing to write"), _data(found, 0, 0, []), found.problems)
    if not agreed(options, options.table, lines, "take these days into weather/?"):
        told = (*lines, "nothing was written: run again with --yes")
        return Result(QUESTION, told, _data(found, len(added), len(changed), []), found.problems)
    edits = _edits(store, {day: days[day] for day in (*added, *changed)})
    outcome = store.commit(store.prepare(edits).all_or_none(), opened.today)
    problems = (*found.problems, *refusals(outcome))
    files = [edit.path for edit in edits if not outcome or edit.path not in outcome.refused]
    done = f"{'would write' if options.dry_run else 'wrote'} {', '.join(files)}"
    code = PROBLEMS if refusals(outcome) else DONE
    return Result(code, (*lines, done), _data(found, len(added), len(changed), files), problems)


def _edits(store: Store, days: Mapping[date, Extremes]) -> list[Edit]:
    """The files of the years that change: days spliced in, all other lines as they stand."""

    def standing(path: str) -> str | None:
        raw = store.disk.read(path)
        return None if raw is None else raw.decode("utf-8", "replace")

    edits: list[Edit] = []
    for path, (old, new) in spliced_texts(days, standing).items():
        edits.append(NewFile(path, new) if old is None else NewText(path, old, new))
    return edits


def _days_told(
    known: Mapping[date, Extremes], new: Mapping[date, Extremes], added: list[date], changed: list[date]
) -> list[str]:
    there = len(new) - len(added) - len(changed)
    lines = [
        f"  {counted(len(added), 'new day')}, {counted(len(changed), 'changed day')}, {counted(there, 'day')} there already"
    ]
    for day in changed[:MOST_SHOWN]:
        lines.append(f"  changed: {day}  {_pair(known[day])} becomes {_pair(new[day])}")
    return [*lines, f"  and {len(changed) - MOST_SHOWN} more changed"] if len(changed) > MOST_SHOWN else lines


def _pair(day: Extremes) -> str:
    return f"{day.tmin:g} to {day.tmax:g} °C"


def _to_come(found: WeatherRead, today: date) -> list[str]:
    ahead = [day for day in found.days if day > today]
    return [f"  {counted(len(ahead), 'day')} after today left out: no forecast is kept"] if ahead else []


def _data(found: WeatherRead, new: int, changed: int, files: list[str]) -> dict[str, object]:
    return {
        "understood": dict(found.understood),
        "questions": question_data(found.questions),
        "new": new,
        "changed": changed,
        "there": len(found.days) - new - changed,
        "files": files,
    }
