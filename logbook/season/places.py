"""Places of a garden under another sky: a warmer bench, a tunnel that frost does not reach, another garden altogether."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from ..collection.fields import Frost
from ..collection.model import MonthMean, Normals, Settings, Site, StandingPlace
from ..collection.weather_file import Extremes
from ..values import dataclass
from .climate import MONTH_DAYS
from .weather import Weather

HERE = ""  # the garden itself, where no place is named
YearDay = tuple[int, int]
WHOLE_YEAR: tuple[YearDay, YearDay] = ((1, 1), (12, 31))
_USUAL_YEAR = 2001


@dataclass(frozen=True, slots=True)
class Sky:
    """What a place stands under: its site, its weather by day and by month, and the part of the year in which no frost reaches it."""

    site: Site | None
    weather: Weather
    months: Mapping[tuple[int, int], MonthMean]
    sheltered: tuple[YearDay, YearDay] | None = None


def skies_of(settings: Settings, weather: Weather) -> dict[str, Sky]:
    """The sky of the garden under the empty name, and of each of its places under theirs."""
    months = {(int(name[:4]), int(name[5:])): means for name, means in settings.months.items()}
    here = Sky(settings.site, weather, months)
    return {HERE: here, **{name: _sky(here, place) for name, place in settings.places.items()}}


def _sky(here: Sky, place: StandingPlace) -> Sky:
    span = (place.since or WHOLE_YEAR[0], place.until or WHOLE_YEAR[1])
    if place.latitude is not None and here.site is None:
        site: Site | None = Site(place.latitude, normals=place.normals)
    elif place.latitude is not None and here.site is not None:
        # another garden: neither this one's frost dates nor its weather are known there
        site = replace(here.site, latitude=place.latitude, longitude=None, normals=place.normals, frost=Frost())
    else:
        site = here.site
    away = place.latitude is not None
    weather, months = (Weather(), {}) if away else (here.weather, here.months)
    sky = Sky(site, weather, months, span if place.frost_free else None)
    return _warmer(sky, place.warmer, span) if place.warmer else sky


def _warmer(sky: Sky, degrees: float, span: tuple[YearDay, YearDay]) -> Sky:
    """A sky warmer by so many °C in a part of the year."""
    shares = _shares(span)
    site = sky.site
    if site is not None and site.normals is not None:
        site = replace(site, normals=_warmed(site.normals, degrees, shares), frost=Frost())
    days = {
        day: Extremes(e.tmin + degrees, e.tmax + degrees) if is_within(day, span) else e
        for day, e in sky.weather.days.items()
    }
    months = {
        key: MonthMean(m.tmin + degrees * shares[key[1] - 1], m.tmax + degrees * shares[key[1] - 1])
        for key, m in sky.months.items()
    }
    return replace(sky, site=site, weather=Weather(days), months=months)


def _warmed(normals: Normals, degrees: float, shares: tuple[float, ...]) -> Normals:
    tmin, tmax = (
        tuple(t + degrees * share for t, share in zip(months, shares, strict=True))
        for months in (normals.tmin, normals.tmax)
    )
    coldest = normals.coldest_night
    if coldest is not None:
        coldest += degrees * shares[min(range(12), key=normals.tmin.__getitem__)]
    return replace(normals, tmin=tmin, tmax=tmax, coldest_night=coldest)


def is_within(day: date, span: tuple[YearDay, YearDay]) -> bool:
    """Whether a day lies in a part of the year, which may run over its end."""
    first, last = span
    here = (day.month, day.day)
    return first <= here <= last if first <= last else here >= first or here <= last


def _shares(span: tuple[YearDay, YearDay]) -> tuple[float, ...]:
    """Of each month the share of its days within a part of the year."""
    found = []
    for month, days in enumerate(MONTH_DAYS, start=1):
        first = date(_USUAL_YEAR, month, 1)
        found.append(sum(is_within(first + timedelta(days=n), span) for n in range(days)) / days)
    return tuple(found)
