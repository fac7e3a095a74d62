"""Every key that a file of the collection may hold, declared once: a model's attribute with its kind, doc and words."""

from __future__ import annotations

from .aims import ROLES, Branch, Targets, TrunkTarget
from .declare import NOWHERE, apart, key, place_of, record, record_of
from .entry import ENTRY, FEED_FORM, POT_SHAPES, ROUND_SHAPES, SOURCE_FORM, TROUBLES, Entry, Intention, Pot
from .found import MEASURES, Found
from .site import (
    COLLECTION,
    DAYS,
    OWN_WORK_NAME,
    UNITS,
    Frost,
    MonthMean,
    Months,
    Normals,
    Settings,
    Site,
    StandingPlace,
    hours_of,
)
from .tree import ENDINGS, TREE, Ended, Origin, Tree

__all__ = [
    "COLLECTION",
    "DAYS",
    "ENDINGS",
    "ENTRY",
    "FEED_FORM",
    "MEASURES",
    "NOWHERE",
    "OWN_WORK_NAME",
    "POT_SHAPES",
    "ROLES",
    "ROUND_SHAPES",
    "SOURCE_FORM",
    "TREE",
    "TROUBLES",
    "UNITS",
    "Branch",
    "Ended",
    "Entry",
    "Found",
    "Frost",
    "Intention",
    "MonthMean",
    "Months",
    "Normals",
    "Origin",
    "Pot",
    "Settings",
    "Site",
    "StandingPlace",
    "Targets",
    "Tree",
    "TrunkTarget",
    "apart",
    "hours_of",
    "key",
    "place_of",
    "record",
    "record_of",
]
