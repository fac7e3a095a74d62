"""Collections on disk for pages: sixty heavy trees, and one whose every word is made to break out of a page.

All of it is invented.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from pathlib import Path

import yaml
from PIL import Image

from logbook.collection.fields.tree import TREE
from logbook.collection.model import Tree
from logbook.collection.units import METRIC
from logbook.collection.yaml_editor import file_with

from ..conftest import make_collection

SITE = """site:
  latitude: 47.9
  longitude: 9.3
  normals:
    tmin: [-3.6, -3.2, 0.1, 3.7, 8.1, 11.6, 13.4, 13.1, 9.2, 5.3, 0.6, -2.5]
    tmax: [2.6, 4.6, 9.8, 14.8, 19.2, 22.7, 24.8, 24.5, 19.5, 13.6, 7.0, 3.3]
    coldest_night: -14
"""
SETTINGS = f"format: 1\ntitle: Test garden\n{SITE}"


def on_disk(folder: Path, trees: Iterable[Tree], settings: str = SETTINGS) -> Path:
    """These trees as a collection's files."""
    texts = {}
    for tree in trees:
        keys = {key: value for key, value in TREE.written(tree, METRIC).items() if key != "log"}
        texts[tree.tag] = file_with(keys, [dict(e) for e in TREE.written(tree, METRIC)["log"]]).replace(
            "trouble: pest}", "trouble: pests}"
        )
    return make_collection(folder, texts, settings)


BREAKS = "<script>window.broken=1</script>"
ATTRIBUTE = "\" onmouseover='window.broken=2' autofocus onfocus=window.broken=3 x=\""
CLOSES = "</textarea></pre></style></title><img src=x onerror=window.broken=4>"
TEMPLATE = "{{ 7*7 }}{% raw %}{# x #}"
LONG = "W" * 120
TURNED = "\u202eevil\u202c"
HOSTILE_NAMES = (
    BREAKS,
    ATTRIBUTE,
    CLOSES,
    TEMPLATE,
    LONG,
    TURNED,
    "javascript:window.broken=5",
    "&lt;b&gt;&amp;",
    "夕霧 ünïcødé 🌲",
)
HOSTILE_TAGS = ("index", "year", "a&b=1", "50%25", "(1)", "é9", "夕1", "{tag}", "x+y@z", "-->9")


def hostile(folder: Path) -> Path:
    """A garden in which every word that a grower may choose is made to break a page."""
    settings = {
        "format": 1,
        "title": f"{CLOSES}{BREAKS}",
        "link": "https://trees.example.org/{tag}.html",
        "works": {
            "moss care": {
                "groups": "all",
                "window": "open / open + 10 / midsummer",
                "sign": BREAKS,
                "typed": ["moss done"],
            }
        },
        "site": yaml.safe_load(SITE)["site"],
    }
    texts = {
        tag: yaml.safe_dump(_hostile_tree(n, tag), allow_unicode=True)
        for n, tag in enumerate(HOSTILE_TAGS)
        if ">" not in tag
    }
    made = make_collection(folder, texts, yaml.safe_dump(settings, allow_unicode=True))
    picture = photo(f"{BREAKS} at 47.123456, 9.654321", (1100, 800))
    for n in range(len(HOSTILE_TAGS)):
        place = folder / _photo(n)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(picture)
    return made


def _photo(number: int) -> str:
    return f'photos/{number} "><img src=x onerror=window.broken=6>.jpg'


def _hostile_tree(number: int, tag: str) -> dict[str, object]:
    name = HOSTILE_NAMES[number % len(HOSTILE_NAMES)]
    other = HOSTILE_NAMES[(number + 3) % len(HOSTILE_NAMES)]
    return {
        "tag": tag,
        "name": name,
        "species": "Acer palmatum",
        "cultivar": other,
        "style": other,
        "bench": other,
        "aim": f"{CLOSES} {name}",
        "front": name,
        "value": other,
        "provenance": name,
        "branches": [{"id": n, "clock": n, "height": 40 * n, "note": BREAKS} for n in range(1, 5)],
        "log": [
            {"date": "2024-04-01", "found": {"stage": "ramification", "vigour": 4}, "note": f"{other} {CLOSES}"},
            {"date": "2025-06-01", "work": "wiring", "note": BREAKS},
            {"date": "2026-10-01", "photo": _photo(number), "note": f"{ATTRIBUTE} {BREAKS}"},
            {"date": "2026-10-02", "intend": f"{CLOSES} {name}"},
            {"date": "2026-10-03", "intend": {"what": f"shorten {BREAKS}", "by": "2027-04"}},
        ],
    }  # fmt: skip


def photo(secret: str, size: tuple[int, int] = (1600, 1200)) -> bytes:
    """A picture as a camera writes it: with a place, a maker and a comment in its metadata."""
    image = Image.effect_noise(size, 60).convert("RGB")
    exif = Image.Exif()
    exif[0x010F] = secret  # maker
    exif[0x9286] = secret  # comment
    exif.get_ifd(0x8825)[29] = secret  # a part of the GPS data
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif, comment=secret.encode(), quality=60)
    return out.getvalue()
