"""Every verb that looks at a garden, on any day of the year and in any climate: an answer, and never a fault of its own.

Pages once failed on the days of spring alone. The ordinary suite walks a slanting line through verbs, sites and days; the soak all of them.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterable, Sequence
from datetime import date, timedelta
from itertools import product
from pathlib import Path

import pytest

from logbook.collection.fields import TREE
from logbook.collection.units import METRIC, US

from ..conftest import DEMO, INLAND, Answer, mirrored
from ..paper.gardens import stress

Bench = Callable[..., Answer]
FLAT, HOT, COLD = (  # monthly lows and highs, °C, invented: the equator, a desert, beyond the polar circle
    ([23] * 12, [31] * 12),
    ([5, 6, 9, 13, 18, 23, 26, 26, 22, 16, 9, 5], [19, 21, 25, 30, 35, 40, 42, 41, 38, 31, 24, 19]),
    ([-22, -21, -16, -8, 0, 6, 9, 7, 2, -5, -14, -20], [-12, -10, -3, 4, 12, 18, 21, 18, 12, 3, -6, -11]),
)
SITES: dict[str, tuple[float | None, tuple[Sequence[float], Sequence[float]] | None, str]] = {
    "north": (47.9, (INLAND.tmin, INLAND.tmax), "metric"),
    "south": (-38.0, (mirrored(INLAND).tmin, mirrored(INLAND).tmax), "metric"),
    "equator": (1.2, FLAT, "metric"),
    "desert": (33.0, HOT, "us"),
    "polar": (66.0, COLD, "metric"),
    "no temperatures": (52.0, None, "metric"),
    "no site": (None, None, "us"),
}
VERBS = tuple(
    line.strip()
    for line in """
    sheets --draft -o {out}.pdf
    sheets --draft --large --tag {tag} -o {out}.pdf
    sheets --draft --booklet -o {out}.pdf
    sheets --draft --season-card --tag {tag} -o {out}.pdf
    walk --draft -o {out}.pdf
    walk --draft --first-look -o {out}.pdf
    cards season -o {out}.pdf
    cards minder -o {out}.pdf
    cards roll -o {out}.pdf
    cards crib -o {out}.pdf
    cards wall -o {out}.pdf
    cards ahead -o {out}.pdf
    cards repotting -o {out}.pdf
    cards review -o {out}.pdf
    dossier {tag} -o {out}.pdf
    due --why {tag}
    due --json
    due --ics {out}.ics
    due --csv {out}.csv
    ahead
    season
    water
    growth
    review
    review --stock {day}
    plan --saturday 4h
    history {tag}
    compare trunk
    pages -o {out}-pages
    pages --own --one {out}.html
    handover {tag} --dry-run
    check --deep
    """.splitlines()
    if line.strip()
)
FIRST = date(2026, 11, 25)
DAYS = (*(FIRST + timedelta(days=16 * n) for n in range(23)), date(2028, 2, 29), date(2031, 6, 1), date(2040, 12, 31))
UNSAID = re.compile(r"\bNone\b|\{[a-z_]+\}|\bnan\b|\binf\b")  # what a value looks like that nobody put into words


@pytest.fixture(scope="module")
def gardens(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The demo's trees, and some heavy ones, at every site."""
    return {name: garden(tmp_path_factory.mktemp("garden"), *site) for name, site in SITES.items()}


def garden(
    folder: Path, latitude: float | None, normals: tuple[Sequence[float], Sequence[float]] | None, units: str
) -> Path:
    (folder / "trees").mkdir()
    months = ""
    if normals:
        months = (
            f", normals: {{tmin: {[round(v, 1) for v in normals[0]]}, tmax: {[round(v, 1) for v in normals[1]]}}}"
        )
    site = f"site: {{latitude: {latitude}{months}}}\n" if latitude is not None else ""
    head = 'format: 1\ntitle: Any garden\nlink: "https://trees.example/{file}"\n'
    (folder / "collection.yaml").write_text(f"{head}units: {units}\n{site}", encoding="utf-8")
    if units == "metric":
        for path in (DEMO / "trees").glob("*.yaml"):
            shutil.copy(path, folder / "trees")
    for tree in stress()[::12]:
        said = {**TREE.written(tree, US if units == "us" else METRIC), "tag": f"{tree.tag}x"}
        (folder / "trees" / f"{tree.tag}x.yaml").write_text(json.dumps(said, ensure_ascii=False), encoding="utf-8")
    return folder


def faults(bench: Bench, gardens: dict[str, Path], room: Path, calls: Iterable[tuple[str, str, date]]) -> list[str]:
    """What went wrong in these calls."""
    wrong = []
    for number, (verb, site, day) in enumerate(calls):
        folder = gardens[site]
        tags = sorted(path.stem for path in (folder / "trees").glob("*.yaml"))
        words = verb.format(out=room / f"o{number}", tag=tags[number * 7 % len(tags)], day=day).split()
        told = bench(*words, "--today", day.isoformat(), folder=folder)
        odd = UNSAID.search(told.all)
        if told.code not in (0, 1, 3) or "fault of its own" in told.err or odd:
            wrong.append(f"{site}, {day}: {' '.join(words)}: {told.code} {odd and odd[0]} {told.err[-300:]}")
    return wrong


@pytest.mark.long
def test_a_slanting_line_through_verbs_sites_and_days(bench: Bench, gardens: dict[str, Path], tmp_path: Path) -> None:
    names = list(SITES)
    calls = [(verb, names[n % len(names)], DAYS[n * 5 % len(DAYS)]) for n, verb in enumerate(VERBS * 2)]
    assert {site for _, site, _ in calls} == set(names) and len({day for _, _, day in calls}) == len(DAYS)
    wrong = faults(bench, gardens, tmp_path, calls)
    assert not wrong, "\n".join(wrong)


@pytest.mark.soak
@pytest.mark.parametrize("site", SITES)
def test_every_verb_on_every_day(site: str, bench: Bench, gardens: dict[str, Path], tmp_path: Path) -> None:
    wrong = faults(bench, gardens, tmp_path, ((verb, site, day) for verb, day in product(VERBS, DAYS)))
    assert not wrong, "\n".join(wrong)
