"""Winter shelter by one budget of risk: what a grower of each place does, and that no cold night is passed over.

Where trees stand and what they are sheltered from is common practice, no source; root limits come from species.csv, each with its basis.
The chance is checked against a year of nights drawn by a random number generator, not by the formula.
"""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, Found, Settings, Site, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.grounds import ByMark
from logbook.planning.model import Job, Status
from logbook.planning.planner import plan_tree
from logbook.season.climate import day_index

from .test_world import SITES

KNOWLEDGE = shipped_knowledge()
NOVEMBER = date(2026, 11, 25)
KNOWN = Entry(date=on_day(date(2026, 3, 1)), found=Found(stage="ramification", vigour=4))
GROUND, FRAME, HEATED = ByMark.ON_THE_GROUND, ByMark.IN_A_FRAME, ByMark.KEPT_ABOVE


def garden(name: str, **more: object) -> Garden:
    normals, latitude = SITES[name]
    settings = Settings(name, site=Site(latitude, normals=normals), **more)  # type: ignore[arg-type]
    return Garden(settings, KNOWLEDGE.own(settings)[0])


def shelter(place: Garden, species: str, *more: Entry, today: date = NOVEMBER, **keys: str) -> Job | None:
    plan = plan_tree(Tree("1", (KNOWN, *more), species=species, **keys), place, today)  # type: ignore[arg-type]
    return next((job for job in plan.care if job.work == "winter shelter"), None)


@pytest.mark.parametrize(
    ("site", "species", "where", "risk"),
    [
        ("inland, 48 N", "Fagus sylvatica", GROUND, ByMark.COLD_AT_ROOTS),
        ("inland, 48 N", "Larix decidua", GROUND, ByMark.COLD_AT_ROOTS),
        ("inland, 48 N", "Olea europaea", FRAME, ByMark.COLD_AT_ROOTS),
        ("inland, 48 N", "Ficus microcarpa", HEATED, ByMark.COLD_AT_ROOTS),
        ("maritime, 52 N", "Pinus thunbergii", GROUND, ByMark.ONE_WINTER_IN),
        ("mediterranean, 41 N", "Acer palmatum", GROUND, ByMark.ONE_WINTER_IN),
        ("monsoon, 22 N", "Ficus microcarpa", HEATED, ByMark.ONE_WINTER_IN),
        ("maritime, 52 N", "Larix decidua", None, None),
        ("mediterranean, 41 N", "Pinus thunbergii", None, None),
        ("mediterranean, 33 S", "Acer palmatum", None, None),
        ("equatorial, 1 N", "Ficus microcarpa", None, None),
        ("subtropical, 27 S", "Olea europaea", None, None),
    ],
)
def test_where_a_tree_spends_the_winter(site: str, species: str, where: ByMark | None, risk: ByMark | None) -> None:
    job = shelter(garden(site), species)
    if where is None:
        assert job is None
        return
    assert job is not None and job.conditions[1].code is where and job.reasons[0].code is risk


def test_a_hardy_tree_is_watched_and_not_moved_for_half_a_year() -> None:
    """A larch at 48 N is watched for in the hard months alone; a fig there stays in from autumn to spring."""
    larch, fig = shelter(garden("inland, 48 N"), "Larix decidua"), shelter(garden("inland, 48 N"), "Ficus microcarpa")
    assert larch and fig and larch.opens and larch.closes and fig.opens and fig.closes
    assert not any(r.code is ByMark.STAY_IN for r in larch.reasons) and any(
        r.code is ByMark.STAY_IN for r in fig.reasons
    )
    assert (larch.closes - larch.opens).days < 120 < 200 < (fig.closes - fig.opens).days


@pytest.mark.parametrize("site", [name for name in SITES if "equatorial" not in name])
def test_what_is_risked_outside_is_little(site: str) -> None:
    """Three hundred winters drawn at random, night by night: outside the days on watch few see a night under the mature limit."""
    place = garden(site)
    climate = place.site.climate
    assert climate is not None
    drawn = random.Random(site)
    for species in ("Fagus sylvatica", "Olea europaea", "Ficus microcarpa"):
        known = KNOWLEDGE.species_of(species)
        assert known is not None
        job = shelter(
            place, species, today=date(2026, 7, 20) if place.site.calendar.southern is False else date(2027, 1, 20)
        )
        start = date(2026, 7, 1) if not place.site.calendar.southern else date(2027, 1, 1)
        watched = (
            {job.opens + timedelta(days=n) for n in range((job.closes - job.opens).days + 1)}
            if job and job.opens and job.closes
            else set()
        )
        outside = [day for n in range(364) if (day := start + timedelta(days=n)) not in watched]
        hit = 0
        for _ in range(300):
            # nights come in spells: the departure from the mean is kept for about four nights
            departure = 0.0
            for night, day in enumerate(outside):
                departure = departure if night % 4 else drawn.gauss(0, 1)
                at = day_index(day)
                if climate.tmin[at] + departure * climate.sigma_min[at] < known.root_mature:
                    hit += 1
                    break
        assert hit / 300 <= 0.12, (species, hit)


def test_the_average_coldest_night_is_never_passed_over() -> None:
    for site, (normals, latitude) in SITES.items():
        coldest = normals.coldest_night if normals else None
        if coldest is None or abs(latitude) < 10:
            continue
        for species in KNOWLEDGE.register.all[::20]:
            if species.root_mature + 2 > coldest + 0.5:
                assert shelter(garden(site), species.name) is not None, (site, species.name)


def test_cut_roots_bear_less_for_their_first_winter() -> None:
    cut = Entry(date=on_day(date(2026, 3, 20)), work="repotting", roots="hard")
    place = garden("maritime, 52 N")
    whole, fresh = (
        shelter(place, "Larix decidua", today=date(2026, 9, 1)),
        shelter(place, "Larix decidua", cut, today=date(2026, 9, 1)),
    )
    assert whole is None
    assert fresh is not None and fresh.conditions[0].code is ByMark.IN_BEFORE, (
        "one limit all winter: the young roots'"
    )


def test_the_growers_own_limit_is_taken_as_it_is() -> None:
    own = shelter(garden("inland, 48 N", groups={"maple": {"root_limit": 3.0}}), "Acer palmatum")
    assert own is not None and own.conditions[0].values == {"limit": 3.0}


def test_without_temperatures_the_night_itself_is_told() -> None:
    place = Garden(Settings("bare", site=Site(48.0)), KNOWLEDGE)
    job = shelter(place, "Ficus microcarpa")
    assert job is not None and job.status is Status.BY_SIGN and job.conditions[1].code is HEATED


def test_a_tree_that_lives_indoors_is_not_sheltered() -> None:
    assert shelter(garden("inland, 48 N"), "Ficus microcarpa", indoors="always") is None


def test_it_is_done_once_a_winter_and_comes_again() -> None:
    done = Entry(date=on_day(date(2026, 11, 1)), work="winter shelter")
    place = garden("inland, 48 N")
    again = shelter(place, "Ficus microcarpa", done)
    assert again is not None and again.opens and again.opens > date(2027, 8, 1)
