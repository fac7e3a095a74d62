"""Monthly means of your site, at any time: any table a station publishes, or four numbers, or eight; shown, then put into collection.yaml.

Without a table give January and July, night and day; April and October besides make it better. What was guessed says so, and its bands are
wider. The coldest night of a usual year, which hardiness zones tell, makes frost dates twice as good.

examples:
  benchleaf normals station.txt
  benchleaf normals --january -3 4 --july 15 27 --coldest-night -13
  benchleaf normals station.txt --dry-run
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypedDict

from ..collection.load import SETTINGS_FILE, settings_read
from ..collection.loose_table import Asked
from ..collection.normals_reader import NormalsRead
from ..collection.settings_editor import with_normals
from ..collection.units import METRIC
from ..diagnostics import stop
from ..horticulture.loader import shipped_knowledge
from ..intake.service import refusals
from ..storage.store import NewText, Store
from .asking import (
    agreed,
    answer_argument,
    asked,
    can_ask,
    question_data,
    questions_told,
    table_text,
)
from .common import Opened, json_argument, today_argument
from .normals_given import (
    COLDEST,
    latitude_in,
    month_arguments,
    months_given,
    normals_given,
    normals_told,
    with_the_rest,
)
from .results import DONE, PROBLEMS, QUESTION, Result
from .weather import QuestionData
from .writing import writing


class NormalsData(TypedDict):
    """What was understood and what is open; twelve nights and days in °C; `guessed` says from how many numbers, or nothing."""

    understood: dict[str, str]
    questions: list[QuestionData]
    tmin: list[float]
    tmax: list[float]
    guessed: str
    written: bool


SHAPE = NormalsData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("table", metavar="FILE", nargs="?", help="the table, or - for standard input")
    month_arguments(parser)
    parser.add_argument(
        "--latitude", type=latitude_in, metavar="DEGREES", help="where the collection has none; south negative"
    )
    answer_argument(parser)
    parser.add_argument("--dry-run", action="store_true", help="show what was understood; write nothing")
    parser.add_argument("--yes", action="store_true", help="write it without asking")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Read normals, show them and write them. Raises ProblemsFound for what can't be had or makes no sense."""
    _must_be_one_way(options)
    text, shown = table_text(options.table) if options.table else ("", "")
    if not (Path(options.folder) / SETTINGS_FILE).exists():
        return _before_start(options, text, shown)
    with writing(options) as (store, opened):
        return _run(store, opened, options, text, shown)


def _must_be_one_way(options: argparse.Namespace) -> None:
    if bool(options.table) == bool(months_given(options)):
        raise stop(
            "give a table, or January and July, or all four months",
            hint="benchleaf normals station.txt, or: benchleaf normals --january -3 4 --july 15 27",
        )


def _before_start(options: argparse.Namespace, text: str, shown: str) -> Result:
    """Without a collection the reading is shown, and where it goes."""
    found = normals_given(options, text, shown, dict(options.answer), options.latitude, "", METRIC)
    lines = [*normals_told(found, shown, METRIC), *questions_told(found.questions)]
    code = QUESTION if found.questions else DONE if found.normals else PROBLEMS
    ends = "no collection here yet: start one with benchleaf start FOLDER --latitude … , then run this in it"
    return Result(code, (*lines, ends), _data(found, written=False), found.problems)


def _run(store: Store, opened: Opened, options: argparse.Namespace, text: str, shown: str) -> Result:
    site, units = opened.collection.settings.site, opened.units
    answers = dict(options.answer)
    latitude = _said_latitude(answers, site.latitude if site else options.latitude)
    unit = "F" if units.us else "C"
    found = normals_given(options, text, shown, answers, latitude, unit, units)
    if latitude is None and not found.questions:
        found = replace(found, questions=(Asked("latitude", "at which latitude is the garden (south negative)?"),))
    if found.questions and can_ask(options, options.table or ""):
        answers |= asked(found.questions)
        latitude = _said_latitude(answers, latitude)
        found = normals_given(options, text, shown, answers, latitude, unit, units)
    latitude = _said_latitude(answers, latitude)
    lines = [*store.told(), *normals_told(found, shown, units)]
    if latitude is None or found.normals is None:
        told = [*lines, *questions_told(found.questions), "nothing was written"]
        code = QUESTION if found.questions else PROBLEMS
        return Result(code, tuple(told), _data(found, written=False), found.problems)
    return _written(store, opened, options, found, (lines, latitude))


def _said_latitude(answers: Mapping[str, str], latitude: float | None) -> float | None:
    """The latitude known, else as it was answered. Raises ProblemsFound for an answer that is none."""
    said = answers.get("latitude")
    if latitude is not None or not said:
        return latitude
    try:
        return latitude_in(said)
    except argparse.ArgumentTypeError:
        raise stop(f"'{said}' is no latitude", hint="degrees from -90 to 90, south negative") from None


def _written(
    store: Store,
    opened: Opened,
    options: argparse.Namespace,
    found: NormalsRead,
    shown: tuple[list[str], float],
) -> Result:
    (lines, latitude), settings = shown, opened.collection.settings
    assert found.normals is not None
    normals = with_the_rest(found, options, settings.site, opened.units)
    lines += [COLDEST] if normals.coldest_night is None else []
    raw = store.disk.read(SETTINGS_FILE)
    old = (raw or b"").decode("utf-8", "strict")
    new = with_normals(old, normals, opened.units, lambda data: settings_read(data, shipped_knowledge()), latitude)
    if new == old:
        return Result(DONE, (*lines, "these normals stand there already"), _data(found, written=False))
    if not agreed(options, options.table or "", lines, f"write these normals into {SETTINGS_FILE}?"):
        told = (*lines, "nothing was written: run again with --yes")
        return Result(QUESTION, told, _data(found, written=False), found.problems)
    outcome = store.commit(store.prepare([NewText(SETTINGS_FILE, old, new)]).all_or_none(), opened.today)
    problems = (*found.problems, *refusals(outcome))
    done = f"{'would write' if options.dry_run else 'wrote'} them into {SETTINGS_FILE}"
    code = PROBLEMS if refusals(outcome) else DONE
    return Result(code, (*lines, done), _data(found, written=not options.dry_run), problems)


def _data(found: NormalsRead, *, written: bool) -> dict[str, object]:
    months: Sequence[Sequence[float]] = (found.normals.tmin, found.normals.tmax) if found.normals else ((), ())
    return {
        "understood": dict(found.understood),
        "questions": question_data(found.questions),
        "tmin": list(months[0]),
        "tmax": list(months[1]),
        "guessed": found.guessed,
        "written": written,
    }
