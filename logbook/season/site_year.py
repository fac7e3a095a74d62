"""One site's year: its calendar, climate, frosts and marks, put together once and then asked."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from ..collection.model import Settings, Site
from ..horticulture.knowledge import Knowledge
from .cache import Cache
from .calendar import Calendar
from .climate import Climate
from .frost import FrostDates
from .learning import Seen, Sighting
from .marks import Marks, typed_months


class SiteYear:
    """What holds for every tree of a garden. Knows no tree; what was seen on trees is passed in."""

    def __init__(self, settings: Settings, knowledge: Knowledge, seen: Iterable[Seen] = ()) -> None:
        """`seen` are the signs logged in this garden."""
        self.place: Site | None = settings.site
        normals = settings.site.normals if settings.site else None
        self.climate = Climate(normals) if normals else None
        frosts = FrostDates(settings.site, self.climate)
        self.calendar = Calendar(bool(settings.site and settings.site.southern), self.climate, frosts)
        self.marks = Marks(
            self.calendar,
            frosts,
            knowledge.groups,
            lambda group: group not in knowledge.sets["deciduous"],
            settings.marks,
            typed_months(normals, settings.months),
            (Sighting(*one, self.calendar.season_seen(one.day)) for one in seen),
        )
        self.cache = Cache()

    @property
    def southern(self) -> bool:
        """Whether the seasons are those of the southern half."""
        return self.calendar.southern

    def season_of(self, day: date) -> int:
        """The season a day belongs to."""
        return self.calendar.season_of(day)
