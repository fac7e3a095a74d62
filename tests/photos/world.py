"""Rolls of pictures, made up: a tag, then its tree, as somebody walks along the benches with a telephone.

Everything here is simulation; sizes and pauses are guesses of common practice, no source. Tags are those the project prints.
Trees, people and tables are drawn of noise and shapes; what a picture is of is known by how it was made, never by its pixels.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import cv2
import numpy as np
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from logbook.collection.model import Settings, Tree
from logbook.paper.layouts import layout
from logbook.paper.tags import pot_tag

from ..camera.world import painted

WIDE, HIGH = 1280, 960
LINK = "https://garden.example/{file}"
BEGIN = datetime(2027, 5, 2, 14, 0, 0)
PHONE, OTHERS = "Anycam P1", "Anycam Q7"
Rng = np.random.Generator


@dataclass
class Shot:
    """A picture and what it is of: `kind` tag, view, smear (a tag that can't be read) or other; `tag` the tree that it shows."""

    name: str
    data: bytes
    kind: str
    tag: str = ""
    moment: datetime = BEGIN


@dataclass
class Roll:
    shots: list[Shot] = field(default_factory=list)
    forgotten: int = 0  # tags that were not taken

    def put_into(self, folder: Path) -> Path:
        folder.mkdir(parents=True, exist_ok=True)
        for shot in self.shots:
            (folder / shot.name).write_bytes(shot.data)
        return folder

    def of(self, *kinds: str) -> list[Shot]:
        return [shot for shot in self.shots if shot.kind in kinds]


def tag_side(tag: str, link: str = LINK, stock: str = "tag-hanging") -> np.ndarray:
    tree = Tree(tag, (), path=f"trees/{tag}.yaml", species="Acer palmatum")
    return painted(pot_tag(tree, Settings("G", link=link), layout(stock)).front)


def ground(rng: Rng, green: bool) -> np.ndarray:
    """Leaves, soil or a table: noise of several grains in some colour."""
    tone = np.array([60, 120, 70] if green else rng.uniform(60, 190, 3), np.float32)
    made = np.tile(tone, (HIGH, WIDE, 1))
    for grain in (4, 12, 40, 160):
        rough = rng.normal(0, 1, (HIGH // grain + 2, WIDE // grain + 2)).astype(np.float32)
        made += (cv2.resize(rough, (WIDE, HIGH)) * rng.uniform(6, 26))[..., None]
    return made


def view(rng: Rng) -> np.ndarray:
    """A tree: a trunk, branches, pads of leaves, a pot, a wall behind."""
    made = ground(rng, green=rng.random() < 0.4)
    x, foot = int(WIDE * rng.uniform(0.4, 0.6)), int(HIGH * 0.78)
    bark = tuple(float(v) for v in rng.uniform(30, 90, 3))
    for _ in range(int(rng.integers(4, 9))):
        end = (int(x + rng.normal(0, 220)), int(foot - rng.uniform(150, 600)))
        cv2.line(made, (x, foot), end, bark, int(rng.integers(6, 40)), cv2.LINE_AA)
    for _ in range(int(rng.integers(60, 400))):
        at = (int(x + rng.normal(0, 230)), int(foot - 330 + rng.normal(0, 150)))
        leaf = tuple(float(v) for v in (rng.uniform(20, 70), rng.uniform(70, 170), rng.uniform(20, 80)))
        size = (int(rng.integers(4, 26)), int(rng.integers(3, 16)))
        cv2.ellipse(made, at, size, float(rng.uniform(0, 180)), 0, 360, leaf, -1, cv2.LINE_AA)
    pot = tuple(float(v) for v in rng.uniform(40, 140, 3))
    cv2.rectangle(made, (x - 260, foot), (x + 260, foot + 120), pot, -1)
    return made


def people(rng: Rng) -> np.ndarray:
    """Faces, windows, plates: rounds and squares, one in another."""
    made = ground(rng, green=False)
    for _ in range(int(rng.integers(3, 9))):
        at = (int(rng.uniform(0, WIDE)), int(rng.uniform(0, HIGH)))
        size = int(rng.integers(30, 200))
        for share in (1.0, 0.7, 0.35)[: int(rng.integers(1, 4))]:
            tone = tuple(float(v) for v in rng.uniform(20, 235, 3))
            cv2.circle(made, at, int(size * share), tone, -1, cv2.LINE_AA)
    for _ in range(int(rng.integers(0, 5))):
        a = rng.uniform(0, 0.8, 2) * (WIDE, HIGH)
        b = a + rng.uniform(40, 300, 2)
        cv2.rectangle(made, a.astype(int).tolist(), b.astype(int).tolist(), (235.0, 230.0, 225.0), 8)
    return made


def tag_picture(side: np.ndarray, rng: Rng, share: tuple[float, float] = (0.45, 0.9)) -> np.ndarray:
    """A tag held before the lens or hanging at its tree: turned, leant back, some of it in shade."""
    made = ground(rng, green=rng.random() < 0.6)
    high, wide = side.shape
    across = rng.uniform(*share) * HIGH
    scale = across / wide
    corners = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float32)
    flat = (corners - (wide / 2, high / 2)) * scale
    turn = np.radians(rng.normal(0, 12) + (90 if rng.random() < 0.3 else 0))
    spun = flat @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    lean = np.radians(rng.uniform(0, 30))
    depth = 1 + spun[:, 1:2] / (3 * across) * np.sin(lean)
    seen = spun * (1, np.cos(lean)) / depth + (WIDE * rng.uniform(0.42, 0.58), HIGH * rng.uniform(0.45, 0.55))
    move = cv2.getPerspectiveTransform(corners, seen.astype(np.float32))
    soft = cv2.GaussianBlur(side, (0, 0), max(0.3, 0.4 / scale))
    paper = cv2.warpPerspective(soft, move, (WIDE, HIGH), flags=cv2.INTER_LINEAR)
    there = cv2.warpPerspective(np.ones_like(side, np.float32), move, (WIDE, HIGH))[..., None]
    return made * (1 - there) + (paper.astype(np.float32) * 0.8 + 25)[..., None] * there


SMEARS = ("blur", "mud", "glare", "shake", "finger")


def smeared(made: np.ndarray, rng: Rng, how: str) -> np.ndarray:
    """A tag of which nobody can read the code any more."""
    if how == "blur":
        return cv2.GaussianBlur(made, (0, 0), rng.uniform(9, 14))
    if how == "shake":
        kernel = np.zeros((61, 61), np.float32)
        kernel[30] = 1 / 61
        about = cv2.getRotationMatrix2D((30, 30), float(rng.uniform(0, 180)), 1.0)
        kernel = cv2.warpAffine(kernel, about, (61, 61))
        return cv2.filter2D(made, -1, kernel / kernel.sum())
    made = made.copy()
    if how == "glare":
        for _ in range(3):
            at = (int(WIDE * rng.uniform(0.35, 0.65)), int(HIGH * rng.uniform(0.35, 0.65)))
            cv2.circle(made, at, int(rng.integers(70, 130)), (250.0, 250.0, 250.0), -1, cv2.LINE_AA)
        return cv2.GaussianBlur(made, (0, 0), 3)
    tone = (45.0, 60.0, 80.0) if how == "mud" else (140.0, 160.0, 210.0)
    for _ in range(40 if how == "mud" else 6):
        at = (int(WIDE * rng.uniform(0.2, 0.8)), int(HIGH * rng.uniform(0.2, 0.8)))
        size = int(rng.integers(14, 60)) if how == "mud" else int(rng.integers(60, 150))
        cv2.circle(made, at, size, tone, -1, cv2.LINE_AA)
    return made


def sensed(made: np.ndarray, rng: Rng) -> np.ndarray:
    """Light, blur and noise of a camera, as eight bits."""
    x = np.linspace(-1, 1, WIDE, dtype=np.float32)
    lit = made * (1 - rng.uniform(0, 0.3) * (x * np.cos(rng.uniform(0, 6)) + 1) / 2)[None, :, None]
    lit = cv2.GaussianBlur(lit, (0, 0), rng.uniform(0.4, 1.1)) + rng.normal(0, rng.uniform(2, 6), lit.shape)
    return np.clip(lit, 0, 255).astype(np.uint8)


def as_jpeg(
    picture: np.ndarray, moment: datetime | None, camera: str = PHONE, part: str = "", turned: int = 1
) -> bytes:
    """JPEG bytes as a telephone writes them: with its name, a moment and a place."""
    exif = Image.Exif()
    if moment:
        exif[0x010F], exif[0x0110], exif[0x0112] = camera.split()[0], camera, turned
        inner = exif.get_ifd(0x8769)
        inner[0x9003] = moment.strftime("%Y:%m:%d %H:%M:%S")
        if part:
            inner[0x9291] = part
        place = exif.get_ifd(0x8825)
        place[1], place[2] = "N", (IFDRational(47), IFDRational(54), IFDRational(3))
        place[3], place[4] = "E", (IFDRational(8), IFDRational(12), IFDRational(9))
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=82, **({"exif": exif} if moment else {}))
    return out.getvalue()


@dataclass(frozen=True)
class Habits:
    """How somebody takes pictures, in seconds: between a tag and its views, and from the last view of a tree to the next tag."""

    between: float = 9.0
    change: float = 95.0


def roll(
    tags: list[str],
    seed: int,
    count: int,
    *,
    rounds: int = 1,
    missing: int = 2,
    unreadable: int = 2,
    habits: Habits = Habits(),
) -> Roll:
    """`count` pictures by one telephone of these trees, walked round on so many days; what is left of the count are others' pictures.

    Names are in no order of time. In the whole roll so many tags were forgotten, and so many can't be read.
    """
    rng = np.random.default_rng(seed)
    stops = [(day, tag) for day in range(rounds) for tag in rng.permutation(tags).tolist()]
    bad = dict.fromkeys(rng.choice(np.arange(1, len(stops)), missing + unreadable, replace=False).tolist(), "missing")
    bad |= dict.fromkeys(list(bad)[:unreadable], "unreadable")
    made: list[tuple[str, str, np.ndarray, datetime, str]] = []
    now = BEGIN

    def passed(median: float, spread: float) -> None:
        nonlocal now
        now += timedelta(milliseconds=int(1000 * median * np.exp(rng.normal(0, spread))))

    for index, (number, tag) in enumerate(stops):
        if index and number != stops[index - 1][0]:
            now = BEGIN + timedelta(days=7 * number)
        passed(habits.change, 0.4)
        how = bad.get(index, "")
        if how != "missing":
            picture = tag_picture(tag_side(tag), rng)
            if how:
                picture = smeared(picture, rng, SMEARS[int(rng.integers(len(SMEARS)))])
            made.append(("smear" if how else "tag", tag, picture, now, PHONE))
        for _ in range(int(rng.integers(1, 5))):
            passed(habits.between, 0.45)
            made.append(("view", tag, view(rng), now, PHONE))
    while len(made) < count:
        made.append(("other", "", people(rng), *_meanwhile(rng, now)))
    names = rng.permutation(len(made))
    turned = {8: 1, 6: 3}
    shots = []
    for number, (kind, tag, picture, moment, camera) in zip(names, made, strict=True):
        how = int(rng.choice([1, 1, 6, 8]))
        seen = np.ascontiguousarray(np.rot90(sensed(picture, rng), turned.get(how, 0)))
        data = as_jpeg(seen, moment, camera, f"{moment.microsecond // 1000:03d}", how)
        shots.append(Shot(f"P{int(number):05d}.jpg", data, kind, tag, moment))
    return Roll([shots[int(i)] for i in rng.permutation(len(shots))], missing)


def _meanwhile(rng: Rng, end: datetime) -> tuple[datetime, str]:
    """When somebody else's picture was taken, and by what: another telephone among the trees, or this one on other days."""
    if rng.random() < 0.5:
        return BEGIN + timedelta(seconds=float(rng.uniform(0, 1) * (end - BEGIN).total_seconds())), OTHERS
    hours = float(rng.uniform(3, 60))
    return (BEGIN - timedelta(hours=hours), PHONE) if rng.random() < 0.5 else (end + timedelta(hours=hours), PHONE)
