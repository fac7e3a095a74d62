"""The text of a new `collection.yaml`, which explains itself to whoever opens it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from ..values import dataclass
from .yaml_editor import entry_text

TEMPLATE = """# A bonsai collection: this file, and one file a tree in trees/. Plain text, yours to edit.
# Check it after editing: benchleaf check
format: 1
title: {title}

# Where a code on a tag leads: {{tag}} becomes 014, {{file}} becomes trees/014.yaml. benchleaf pages makes a page for each tree;
# put the address here where you lay them. Without a link the code holds the bare tag, and a phone shows it as text.
# link: "https://trees.example.org/{{tag}}.html"

# metric, or us: inches, °F and feet in these files, letter paper.
units: {units}

# How 3/4 is read in typed notes: day-month (3 April) or month-day (4 March).
date_order: {order}

# Where the trees stand. Dates are computed from twelve monthly means of the daily minimum and maximum.
# Your national weather service publishes them as "climate normals" or "climatological normals" for a station near
# you; take 1991-2020 or newer, {degrees}, January first. They cost nothing and are asked for once.
# Without them works are still offered, by their signs alone. benchleaf normals FILE reads any table into this file; four
# numbers will do to begin with, night and day: benchleaf normals --january -3 4 --july 15 27
{site}

# The time you have on which days: benchleaf plan puts due works on them.
{days}

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
    """What is known of a garden on its first day but its normals. `elevation` is in its own unit, frost dates as `04-24`."""

    title: str
    units: str = "metric"
    latitude: float | None = None
    longitude: float | None = None
    elevation: float | None = None
    last_frost: str = ""
    first_frost: str = ""
    bench_days: Mapping[str, str] = field(default_factory=dict)


def settings_text(known: Beginning) -> str:
    """The file's text."""
    us = known.units == "us"
    days = ", ".join(f"{day}: {hours}" for day, hours in known.bench_days.items())
    return TEMPLATE.format(
        title=entry_text({"t": known.title})[4:-1],
        units=known.units,
        site=NO_SITE if known.latitude is None else _site(known),
        order="month-day" if us else "day-month",
        degrees="°F" if us else "°C",
        days=f"bench_days: {{{days}}}" if days else "# bench_days: {sat: 3h, wed: 90min}",
    )


def _site(known: Beginning) -> str:
    """The site's lines."""
    rest = f"  longitude: {known.longitude:g}\n" if known.longitude is not None else ""
    rest += f"  elevation: {known.elevation:g}\n" if known.elevation is not None else ""
    frosts = {"last": known.last_frost, "first": known.first_frost}
    said = ", ".join(f"{name}: {day}" for name, day in frosts.items() if day)
    rest += f"  frost: {{{said}}}\n" if said else ""
    return SITE.format(latitude=f"{known.latitude:g}", rest=rest)
