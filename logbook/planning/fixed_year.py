"""The fixed year that paper draws: September to August, or March to February, whichever holds a day in its first half."""

from __future__ import annotations

from datetime import date, timedelta

from ..values import dataclass

SPRING, AUTUMN = 3, 9  # months; the same in both hemispheres: each turns where few windows are open


@dataclass(frozen=True, slots=True)
class Year:
    """Twelve fixed months, the last day included."""

    first: date
    last: date

    def holds(self, day: date) -> bool:
        """Whether a day lies in it."""
        return self.first <= day <= self.last

    @property
    def months(self) -> list[date]:
        """The first day of each month."""
        count = range(self.first.month - 1, self.first.month + 11)
        return [date(self.first.year + n // 12, n % 12 + 1, 1) for n in count]


def fixed_year(day: date) -> Year:
    """The fixed year that holds a day in its first half."""
    if SPRING <= day.month < AUTUMN:
        first = date(day.year, SPRING, 1)
    else:
        first = date(day.year - (day.month < SPRING), AUTUMN, 1)
    return Year(first, first.replace(year=first.year + 1) - timedelta(days=1))
