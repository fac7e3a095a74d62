"""Thirst: how many days after a thorough watering a pot should be looked at. A time to check, never an order to water.

days = V·AW·p / (ET0·Kc·A), 1 mm on 1 m² being 1 litre. ET0: Hargreaves, FAO-56 equation 52, from the normals (measured 12 % mean
error against daily Penman–Monteith). AW 0.25 of the pot's volume, p 0.5 of that, Kc 1.2: from memory, unmeasured. One logged
weighing (wet and dry) replaces V·AW·p for that pot.
"""

from __future__ import annotations

import math

AVAILABLE_SHARE = 0.25
DEPLETED_SHARE = 0.5
CROP_FACTOR = 1.2
MM2_PER_M2 = 1e6
FARTHEST_DAYS = 14.0


def canopy_m2(crown_mm: float | None, surface_mm2: float | None) -> float | None:
    """The area that gives off water, m²: the crown seen from above, or the pot's opening where that is larger or alone known."""
    crown = math.pi / 4 * crown_mm**2 if crown_mm else 0.0
    area = max(crown, surface_mm2 or 0.0)
    return area / MM2_PER_M2 if area else None


def store_litres(pot_litres: float | None, wet_kg: float | None = None, dry_kg: float | None = None) -> float | None:
    """Litres a pot gives before it should be looked at: weighed where it was, else a share of its volume."""
    if wet_kg and dry_kg and wet_kg > dry_kg:
        return wet_kg - dry_kg
    return pot_litres * AVAILABLE_SHARE * DEPLETED_SHARE if pot_litres else None


def check_every_days(store_litres: float, et0_mm_a_day: float, canopy_m2: float) -> float:
    """Days until that store is used in ordinary weather of the month; never more than two weeks."""
    use = et0_mm_a_day * CROP_FACTOR * canopy_m2
    return min(FARTHEST_DAYS, store_litres / use) if use > 0 else FARTHEST_DAYS


def every_told(days: float) -> str:
    """`twice a day`, `daily`, `every 3 days`: rounded down, since dry comes sooner than expected."""
    if days < 0.75:
        return "twice a day"
    if days < 2:
        return "daily"
    return f"every {math.floor(days)} days" if days < FARTHEST_DAYS else "every two weeks"
