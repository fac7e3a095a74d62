"""The fillable form: a sheet's pages each by itself, with fields where the ledger says lines and boxes are.

A field's name carries the serial, the kind and the line or letter, so that several sheets can share a file.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..storage.printed import SEEN, Sheet, Spot, field_name
from .imposition import Leaf
from .page import Input, Page
from .sheet.sheets import RecordSheet

LINE_INSET_MM = 1.2


def form_leaves(sheet: RecordSheet) -> Iterator[Leaf]:
    """Every page of a sheet as a leaf of its own, the written-on ones with their fields. A draft has none."""
    pages = [page for leaf in sheet.leaves for page in leaf]
    for number, page in enumerate(pages, start=1):
        if page is not None:
            yield (_with_fields(page, sheet.sheet, number) if sheet.sheet else page), None


def _with_fields(page: Page, sheet: Sheet, number: int) -> Page:
    fields = tuple(_field(spot, sheet) for spot in sheet.spots if spot.page == number and spot.kind not in SEEN)
    return replace(page, items=(*page.items, *fields))


def _field(spot: Spot, sheet: Sheet) -> Input:
    name = field_name(sheet.serial, spot.kind, spot.id)
    tip = f"{spot.kind} {spot.id}"
    if spot.kind in ("job", "vigour"):
        return Input(spot.x, spot.y, spot.width, spot.height, name, True, tip, "fields")
    return Input(
        spot.x, spot.y + LINE_INSET_MM, spot.width, spot.height - LINE_INSET_MM - 0.2, name, False, tip, "fields"
    )
