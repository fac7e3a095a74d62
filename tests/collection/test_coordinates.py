"""Places as maps and people write them. Degrees, minutes and seconds: ISO 6709:2008, annex D, among others (from memory)."""

from __future__ import annotations

import pytest

from logbook.collection.coordinates import place_in


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("46.05", (46.05, None)),
        ("46,05", (46.05, None)),
        ("-33.9", (-33.9, None)),
        ("−33,9", (-33.9, None)),
        ("33.9 S", (-33.9, None)),
        ("33.9S", (-33.9, None)),
        ("N 46.05", (46.05, None)),
        ("46.05, 14.5", (46.05, 14.5)),
        ("46.05,14.5", (46.05, 14.5)),
        ("46.05 14.5", (46.05, 14.5)),
        ("46,05 14,5", (46.05, 14.5)),
        ("46,05; 14,5", (46.05, 14.5)),
        ("46.05 N, 14.5 E", (46.05, 14.5)),
        ("46.05N 14.5E", (46.05, 14.5)),
        ("14.5 E, 46.05 N", (46.05, 14.5)),
        ("-41.3, 174.8", (-41.3, 174.8)),
        ("40.4, -3.7", (40.4, -3.7)),
        ("46°03'N 14°30'E", (46.05, 14.5)),
        ("46°03′00″N 14°30′00″E", (46.05, 14.5)),
        ("50°40′46″N 95°48′26″W", (50.67944, -95.80722)),
        ("40° 26′ 46″ N", (40.44611, None)),
        ("46", (46.0, None)),
        ("", None),
        ("somewhere", None),
        ("95", None),
        ("46.05, 190", None),
        ("46°73'N", None),
        ("14.5 E", None),
        ("1, 2, 3", None),
    ],
)
def test_a_place(text: str, found: tuple[float, float | None] | None) -> None:
    assert place_in(text) == found
