"""Two ways to add up spring's warmth, and the step from one to the other.

The plain sum counts °C·d above 0 °C from 1 March (south: 1 September); every figure in species.csv is one, since that
is what was measured and published. The weighted sum counts degrees above 2 °C from 1 February (south: 1 August), each
day's share times (day length in hours / 12)^5.
"""

from __future__ import annotations

from bisect import bisect_left

# Pairs (plain, weighted): the medians of 58 sites of the PhenoCam network with daily Daymet temperatures, on the day
# on which the plain sum was reached. Own computation; good to a few days at any one site.
PAIRS = (
    (0, 0), (70, 63), (100, 94), (120, 118), (140, 140), (160, 165), (190, 204), (200, 219), (220, 247), (240, 271),
    (250, 286), (260, 300), (290, 344), (340, 431), (350, 445), (360, 463), (400, 534), (430, 598), (450, 631),
    (550, 855), (700, 1229), (770, 1431), (800, 1517), (850, 1673), (900, 1815), (1000, 2104), (1100, 2437),
    (1500, 3602), (2000, 4846),
)  # fmt: skip
FARTHEST = PAIRS[-1][0]


def weighted_sum(plain: float) -> float:
    """The weighted sum that is reached on the day a plain sum (°C·d, 0 to 2000) is; between the pairs, a straight line.

    Raises ValueError outside that span: nothing was measured there.
    """
    if not 0 <= plain <= FARTHEST:
        raise ValueError(f"no weighted sum is known for {plain} °C·d")
    at = max(1, bisect_left(PAIRS, (plain, 0)))
    (low, first), (high, second) = PAIRS[at - 1], PAIRS[min(at, len(PAIRS) - 1)]
    return first + (second - first) * (plain - low) / (high - low)
