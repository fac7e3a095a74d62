"""`collection.yaml`: the site and its climate, the grower's own numbers and days. Every key of it is declared here once."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from ... import escapes
from ..few_normals import guessed
from ..kinds import (
    DEGREES,
    ELEVATION,
    LENGTH,
    TEMPERATURE,
    AsWritten,
    Context,
    Converted,
    Field,
    Flag,
    Later,
    Listing,
    MonthDay,
    Named,
    Number,
    Pattern,
    Record,
    Table,
    Text,
    Values,
    Whole,
    Word,
)
from ..units import METRIC, US, Units, plain
from ..yaml_reader import Mapping as MappingNode
from ..yaml_reader import Sequence as SequenceNode
from .declare import apart, key, record, record_of
from .shared import GROUP, numbers, temperature

OWN_WORK_NAME = "a work of your own"
UNITS = {"metric": METRIC, "us": US}
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
Months = tuple[float, ...]
YearDay = tuple[int, int]


def hours_of(text: str) -> float | None:
    """`3h`, `90min` as hours; None where it is no time within a day."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(h|min)", text)
    if not found or not 0 < float(found[1]) <= (24 if found[2] == "h" else 1440):
        return None
    return float(found[1]) / (1 if found[2] == "h" else 60)


QUARTERS = ("january", "april", "july", "october")
FEW = ("january", "july")


def _normals_are_sound(values: Values, context: Context, node: MappingNode) -> bool:
    """Whether they are twelve months, or two or four; nights colder than days, and the coldest night than any month's."""
    few = [name for name in QUARTERS if name in values]
    if few and ({"tmin", "tmax"} & set(values) or few not in (list(FEW), list(QUARTERS))):
        context.fault(
            node,
            "normals are twelve nights and twelve days, or those of two months, or of four",
            "give tmin and tmax; or january and july; or january, april, july and october: [night, day] each",
        )
        return False
    if few:
        return _few_are_sound(values, few, context, node)
    missing = next((name for name in ("tmin", "tmax") if name not in values), "")
    if missing:
        what = "minimums" if missing == "tmin" else "maximums"
        context.fault(
            node, f"normals lacks '{missing}'", f"add: {missing}: … (twelve monthly mean {what}, January first)"
        )
        return False
    sound = _nights_are_colder(values, context, node)
    return _coldest_is_coldest(values, min(values["tmin"]), context, node) and sound


def _few_are_sound(values: Values, few: list[str], context: Context, node: MappingNode) -> bool:
    for name in few:
        if values[name][0] > values[name][1]:
            context.fault(
                node.items[name], f"{name}: the night is warmer than the day", "write [night, day], mean temperatures"
            )
            return False
    return _coldest_is_coldest(values, min(values[name][0] for name in few), context, node)


def _nights_are_colder(values: Values, context: Context, node: MappingNode) -> bool:
    sound = True
    nights = node.items["tmin"]
    assert isinstance(nights, SequenceNode)
    for month, (low, high) in enumerate(zip(values["tmin"], values["tmax"], strict=True)):
        if low > high:
            context.fault(
                nights.items[month],
                f"month {month + 1}: the mean minimum is above the mean maximum",
                "tmin holds the nights, tmax the days, January first",
            )
            sound = False
    return sound


def _coldest_is_coldest(values: Values, lowest: float, context: Context, node: MappingNode) -> bool:
    coldest = values.get("coldest_night")
    if coldest is not None and coldest > lowest:
        context.fault(
            node.items["coldest_night"],
            "the coldest night is warmer than the coldest month's mean minimum",
            "give the average lowest reading of a year, as hardiness zones do",
        )
        return False
    return True


def _pair(month: str) -> Listing[float]:
    return Listing(temperature(f"{month}'s mean night and day"), f"{month}'s mean night and day", exactly=2)


@record("normals", _normals_are_sound)
class Normals:
    """Twelve monthly means of the daily minimum and maximum, °C, January first; or those of two or four months.

    `guessed` is empty, or says from how many numbers the twelve were guessed.
    """

    tmin: Months = key(
        Listing(temperature("a monthly mean minimum"), "the monthly mean minimums", exactly=12),
        "twelve monthly mean minimums, January first",
        default=(),
    )
    tmax: Months = key(
        Listing(temperature("a monthly mean maximum"), "the monthly mean maximums", exactly=12),
        "twelve monthly mean maximums, January first",
        default=(),
    )
    years: str = key(
        Pattern("a span of years", r"\d{4}-\d{4}", "as in 1991-2020"),
        "the years they cover",
        default="",
    )
    coldest_night: float | None = key(
        temperature("the coldest night"), "average coldest night of the year", default=None
    )
    january: Months = key(_pair("January"), "January's mean night and day, where no twelve are known", default=())
    april: Months = key(_pair("April"), "April's mean night and day", default=())
    july: Months = key(_pair("July"), "July's mean night and day", default=())
    october: Months = key(_pair("October"), "October's mean night and day", default=())
    guessed: str = apart(default="")

    @classmethod
    def of_months(cls, pairs: Mapping[int, tuple[float, float]], latitude: float, years: str = "") -> Normals:
        """Twelve months from (night, day) of January and July, or of April and October too; latitude in degrees."""
        given = cls(
            years=years,
            january=pairs.get(1, ()),
            april=pairs.get(4, ()),
            july=pairs.get(7, ()),
            october=pairs.get(10, ()),
        )
        return given.completed(latitude)

    def completed(self, latitude: float) -> Normals:
        """With all twelve months, the missing ones guessed; itself where they are there. Latitude in degrees."""
        given = {1: self.january, 4: self.april, 7: self.july, 10: self.october}
        pairs = {month: (pair[0], pair[1]) for month, pair in given.items() if pair}
        twelve = guessed(pairs, latitude) if pairs and not self.tmin else None
        if twelve is None:
            return self
        how = "from four numbers" if len(pairs) == 2 else "from eight numbers"
        return replace(self, tmin=twelve[0], tmax=twelve[1], guessed=how)


@record("frost dates")
class Frost:
    """The grower's own usual frost dates, as month and day."""

    last: YearDay | None = key(MonthDay(), "usual last frost of spring", default=None)
    first: YearDay | None = key(MonthDay(), "usual first frost of autumn", default=None)


def _complete_normals(values: Values, _context: Context, _node: MappingNode) -> bool:
    """Months that are not given are guessed, which wants the latitude."""
    if "normals" in values:
        values["normals"] = values["normals"].completed(values["latitude"])
    return True


@record("a site", _complete_normals)
class Site:
    """Where the trees stand: degrees, metres."""

    latitude: float = key(Number("latitude", -90, 90, unit="°"), "degrees, south negative")
    longitude: float | None = key(Number("longitude", -180, 180, unit="°"), "degrees, west negative", default=None)
    elevation_m: float | None = key(
        Number("elevation", -450, 6000, quantity=ELEVATION, unit=" m"),
        "above the sea",
        default=None,
        name="elevation",
    )
    normals: Normals | None = key(record_of(Normals), "twelve monthly means", default=None)
    frost: Frost = key(record_of(Frost), "your own frost dates; they win over the computed ones", default=Frost())

    @property
    def last_frost(self) -> YearDay | None:
        """The usual day of the last frost in spring, as the settings give it."""
        return self.frost.last

    @property
    def first_frost(self) -> YearDay | None:
        """The usual day of the first frost in autumn, as the settings give it."""
        return self.frost.first

    @property
    def southern(self) -> bool:
        """Whether the site lies south of the equator."""
        return self.latitude < 0


def _place_says_something(values: Values, context: Context, node: MappingNode) -> bool:
    """Whether a place differs from the garden, and has a climate of its own only with its latitude."""
    if not values:
        context.fault(node, "a place says nothing", "add: warmer: 3, frost_free: true, or latitude: and normals:")
    elif "normals" in values and "latitude" not in values:
        context.fault(node, "a place with normals lacks 'latitude'", "add: latitude: … (degrees, south negative)")
    else:
        return _complete_normals(values, context, node)
    return False


@record("a place", _place_says_something)
class StandingPlace:
    """A bench, a tunnel or another garden where trees stand under another sky than the site's: °C, degrees."""

    warmer: float | None = key(
        Number("degrees warmer", -20, 30, quantity=DEGREES, unit=" °C"), "warmer than the garden by", default=None
    )
    frost_free: bool = key(Flag(), "no frost reaches it", default=False)
    since: YearDay | None = key(MonthDay(), "the day of the year from which it is so", default=None, name="from")
    until: YearDay | None = key(MonthDay(), "the day of the year to which it is so", default=None, name="to")
    latitude: float | None = key(
        Number("latitude", -90, 90, unit="°"), "degrees, south negative, of another garden", default=None
    )
    normals: Normals | None = key(record_of(Normals), "twelve monthly means of another garden", default=None)


@record("a month's means")
class MonthMean:
    """A month's mean daily minimum and maximum, °C."""

    tmin: float = key(temperature("a mean minimum"), "mean minimum")
    tmax: float = key(temperature("a mean maximum"), "mean maximum")


OWN_SPECIES = Record(
    "a species",
    (Field("group", GROUP, "how it grows", True),),
    lambda values, _context, _node: str(values["group"]),
    lambda group: {"group": group},
)
_DEGREE_DAYS = Number("degree-days", 1, 5000)
GROUP_NUMBERS = numbers(
    "a group's numbers",
    (
        Field("swell", _DEGREE_DAYS, "degree-days to swelling buds"),
        Field("open", _DEGREE_DAYS, "degree-days to open leaves"),
        Field("hardened", _DEGREE_DAYS, "degree-days to hardened shoots"),
        Field("flower", _DEGREE_DAYS, "degree-days to flowers"),
        Field(
            "root_limit", Number("a root limit", -40, 20, quantity=TEMPERATURE, unit=" °C"), "what its roots stand"
        ),
        Field(
            "thickening",
            Number("thickening", 0.1, 20, quantity=LENGTH, unit=" mm"),
            "what a small branch gains in a year",
        ),
    ),
)


def _link_names_a_tree(values: Values, context: Context, node: MappingNode) -> bool:
    link = values.get("link", "")
    message, hint = escapes.link_fault(link) if link else ("", "")
    if message:
        context.fault(node.items["link"], message, hint)
    return not message


@record("a collection", _link_names_a_tree)
class Settings:
    """`collection.yaml`."""

    format: int = key(Whole("the format", 1, 1), "1", default=1, required=True, kw_only=True)
    title: str = key(Text("a title"), "what you call the collection")
    link: str = key(
        Text("a link"),
        "what the code on a tag opens: the address of a tree's page, as benchleaf pages makes them, with {tag} in it",
        default="",
    )
    units: Units = key(Named(Word("units", tuple(UNITS)), UNITS), "metric or us", default=METRIC)
    site: Site | None = key(record_of(Site), "where the trees stand", default=None)
    bench_days: Mapping[str, float] = key(
        Table(
            Converted("a time", hours_of, lambda hours: f"{plain(hours)}h", "write 3h or 90min"),
            "bench days",
            names=Word("a weekday", DAYS),
        ),
        "the time you have",
        default_factory=dict,
    )
    species: Mapping[str, str] = key(
        Table(OWN_SPECIES, "own species"), "own species and their growth groups", default_factory=dict
    )
    groups: Mapping[str, Mapping[str, float]] = key(
        Table(GROUP_NUMBERS, "groups' numbers", names=GROUP),
        "your own numbers for a group",
        default_factory=dict,
    )
    works: Mapping[str, AsWritten] = key(
        Table(Later(OWN_WORK_NAME), "works"),
        "your own numbers for a work, or works of your own",
        default_factory=dict,
    )
    places: Mapping[str, StandingPlace] = key(
        Table(record_of(StandingPlace), "places"),
        "benches and places with another warmth, or another site",
        default_factory=dict,
    )
    date_order: str = key(
        Word("a date order", ("day-month", "month-day")),
        "how 3/4 is read; where it is missing, the month comes first in us units, else such a day is asked about",
        default="",
    )
    marks: Mapping[str, Mapping[str, YearDay]] = key(
        Table(Table(MonthDay(), "marks", names=Word("a mark", named="marks")), "marks of groups", names=GROUP),
        "your own dates for a group's marks",
        default_factory=dict,
    )
    months: Mapping[str, MonthMean] = key(
        Table(
            record_of(MonthMean),
            "months",
            key_form=r"\d{4}-(?:0[1-9]|1[0-2])",
            key_hint="write year-month, as in 2027-03",
        ),
        "this year's monthly means as they come",
        default_factory=dict,
    )


COLLECTION = record_of(Settings)
