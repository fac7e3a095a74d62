"""Marks that can't be computed but were seen before, as the flowers of most kinds: the usual day, and how sure it is.

A mark of one year is good for ±12 days, of two for ±10; from the third on the years' own scatter joins in. Both figures fit a spread
of 6.5 days from year to year, which stands in the estimate with the weight of two years.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import fmean

from .estimator import WITHIN_80

USUAL_SPREAD, ITS_WEIGHT = 6.5, 2  # days; years
ONE_YEAR, TWO_YEARS = 12.0, 10.0


def remembered(days: Sequence[float]) -> tuple[float, float]:
    """(mean, half the 80 % band) of a mark's days, one a year, counted from any fixed day of the year. Needs one day at least."""
    mean, years = fmean(days), len(days)
    if years <= 2:
        return mean, ONE_YEAR if years == 1 else TWO_YEARS
    own = sum((d - mean) ** 2 for d in days)
    variance = (ITS_WEIGHT * USUAL_SPREAD**2 + own) / (ITS_WEIGHT + years - 1)
    return mean, WITHIN_80 * math.sqrt(variance * (1 + 1 / years))
