"""The text of a new `collection.yaml`, which explains itself to whoever opens it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..diagnostics import stop
from .yaml_editor import entry_text

TEMPLATE = """# A bonsai collection: this file, and one file a tree in trees/. Plain text, yours to edit.
# Check it after editing: benchleaf check
format: 1
title: {title}

# Where a code on a tag leads: {{file}} becomes trees/014.yaml, {{tag}} becomes 014. Put your own address here, for
# instance of a shared folder or a repository. Without a link the code holds the bare tag, and a phone shows it as text.
# link: "https://trees.example.org/{{file}}"

# metric, or us: inches, °F and feet in these files, letter paper.
units: {units}

# How 3/4 is read in typed notes: day-month (3 April) or month-day (4 March).
date_order: {order}

# Where the trees stand. Dates are computed from twelve monthly means of the daily minimum and maximum.
# Your national weather service publishes them as "climate normals" or "climatological normals" for a station near
# you; take 1991-2020 or newer, {degrees}, January first. They cost nothing and are asked for once.
# Without them works are still offered, by their signs alone. benchleaf normals FILE reads any table into this file; four
# numbers will do to begin with, night and day: normals: {{january: [-3, 4], july: [15, 27]}}
{site}

# Usual frost dates you know of yourself (month-day) win over the computed ones:
#   frost: {{last: 04-24, first: 10-16}}    (inside site:)
# Species the tool does not know, with the group they grow like:
# species:
#   Exampleus arboreus: {{group: elm}}
"""

SITE = """site:
  latitude: {latitude}          # degrees; south of the equator negative
{rest}  # normals:
  #   years: 1991-2020
  #   tmin: [-3.4, -2.5, 1.2, 5.1, 9.8, 13.4, 15.1, 14.8, 10.9, 7.0, 2.2, -2.1]
  #   tmax: [3.6, 6.4, 11.6, 16.4, 21.2, 25.0, 27.1, 26.8, 21.5, 15.4, 8.9, 4.0]
  #   coldest_night: -13          # average coldest night of a year, if you know it: the dates get better"""

NO_SITE = """# site:
#   latitude: 46.1                # degrees; south of the equator negative
#   longitude: 14.5
#   elevation: 310
#   normals:
#     years: 1991-2020
#     tmin: [-3.4, -2.5, 1.2, 5.1, 9.8, 13.4, 15.1, 14.8, 10.9, 7.0, 2.2, -2.1]
#     tmax: [3.6, 6.4, 11.6, 16.4, 21.2, 25.0, 27.1, 26.8, 21.5, 15.4, 8.9, 4.0]
#     coldest_night: -13          # average coldest night of a year, if you know it: the dates get better"""


@dataclass(frozen=True, slots=True)
class Beginning:
    """What is known of a garden on its first day. Numbers are in its own unit; the monthly means begin with January."""

    title: str
    units: str = "metric"
    latitude: float | None = None
    longitude: float | None = None
    elevation: float | None = None
    tmin: Sequence[float] = ()
    tmax: Sequence[float] = ()
    years: str = ""
    coldest_night: float | None = None


def settings_text(known: Beginning) -> str:
    """The file's text. Raises ProblemsFound where the warm months are those of the other half of the earth."""
    us = known.units == "us"
    return TEMPLATE.format(
        title=entry_text({"t": known.title})[4:-1],
        units=known.units,
        site=NO_SITE if known.latitude is None else _site(known),
        order="month-day" if us else "day-month",
        degrees="°F" if us else "°C",
    )


def _site(known: Beginning) -> str:
    """The site's lines, with the monthly means where they are known."""
    rest = f"  longitude: {known.longitude:g}\n" if known.longitude is not None else ""
    rest += f"  elevation: {known.elevation:g}\n" if known.elevation is not None else ""
    if not known.tmax:
        return SITE.format(latitude=f"{known.latitude:g}", rest=rest)
    _check_hemisphere(known.latitude or 0.0, known.tmax)
    rows = [
        f"site:\n  latitude: {known.latitude:g}          # degrees; south of the equator negative\n{rest}  normals:",
        f"    years: {known.years}" if known.years else "    # years: 1991-2020",
        f"    tmin: [{', '.join(f'{m:g}' for m in known.tmin)}]",
        f"    tmax: [{', '.join(f'{m:g}' for m in known.tmax)}]",
    ]
    rows.append(
        f"    coldest_night: {known.coldest_night:g}"
        if known.coldest_night is not None
        else "    # coldest_night: -13          # average coldest night of a year, if you know it: the dates get better"
    )
    return "\n".join(rows)


def _check_hemisphere(latitude: float, high: Sequence[float]) -> None:
    """Raises ProblemsFound where the warm months are those of the other half of the earth."""
    gap = sum(high[5:8]) / 3 - (high[11] + high[0] + high[1]) / 3
    if abs(latitude) > 23.5 and abs(gap) > 2.0 and (gap > 0) != (latitude > 0):
        half, warm = ("north", "December to February") if latitude > 0 else ("south", "June to August")
        raise stop(
            f"latitude {latitude:g} is {half} of the equator, but the warm months are {warm}",
            hint="south of the equator the latitude is negative; and January comes first",
        )
