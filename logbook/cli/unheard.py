"""Signs in the log that move no date, each with why: told, so that none is ever ignored in silence."""

from __future__ import annotations

from ..collection.dates import day_told
from ..diagnostics import errors_in
from ..season.estimator import FAR_DAYS
from .common import Opened


def teach_nothing(opened: Opened) -> list[str]:
    """A line for each sign that teaches nothing, and one for each tree whose file could not be read."""
    far = [
        f"{s.tag} saw {s.mark} {day_told(s.day)}: more than {FAR_DAYS} days from what is computed, so it moves no date; is the day right?"
        for s in opened.site.lessons.far
    ]
    paths = dict.fromkeys(
        p.place.path for p in errors_in(opened.collection.problems) if p.place and p.place.path.startswith("trees/")
    )
    return [
        *far,
        *(
            f"{path} is left out until it is mended (see: benchleaf check): nothing seen on it moves a date"
            for path in paths
        ),
    ]
