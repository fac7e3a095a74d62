"""Pictures of sheets: fitting the rule for boxes, judging it, and the time it takes. Run by hand.

    python -m tests.bench.camera --tune        # the weights for logbook/camera/tick_boxes.py, from the tuning seeds
    python -m tests.bench.camera --judge       # what the reader gets right on the judging seeds, told as it comes
    python -m tests.bench.camera               # milliseconds a picture against OpenCV's own decode and warp
    python -m tests.bench.camera --real DIR    # pictures somebody took: DEVELOPERS.md says how

All but the last is simulated (tests/camera/world.py). The judging seeds are never looked at while the reader is changed.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np

from logbook.camera import tick_boxes
from logbook.camera.pictures import pictures_in
from logbook.camera.sheet_reader import SeenPage, read_picture, read_pictures
from logbook.storage.printed import load_ledger

from ..camera.world import MARKED, SEVERITIES, Leaf, Written, as_bytes, leaves, ledger_of, pictures

LAYOUTS = ("pocket-a6", "pocket-a7", "pocket-3x5in", "pocket-quarter-letter", "walk-a4", "walk-a5", "walk-letter")
TUNING, JUDGING = 1_000, 900_000  # added to the number of a batch of pictures
A_BATCH = 8
GOAL = {"scan": 0.999, "easy": 0.999, "mid": 0.999, "hard": 0.995}


@lru_cache(maxsize=1)
def pages() -> list[Leaf]:
    """Pages with boxes, each layout; serials differ by layout."""
    found = leaves(LAYOUTS, scored=False)
    return [leaf for leaf in found if any(s.kind in ("job", "vigour") for s in leaf.spots)]


def batch(severity: str, seed: int) -> list[tuple[str, ...]]:
    """What became of each box, line and sheet in one batch of pictures, as rows to be counted."""
    ledger = ledger_of(pages())
    rows: list[tuple[str, ...]] = []
    for picture, written in pictures(pages(), severity, seed, A_BATCH):
        seen, _ = read_picture(picture, "picture", ledger)
        rows += judged(seen, written)
    return rows


def judged(seen: list[SeenPage], written: list[Written]) -> Iterator[tuple[str, ...]]:
    found = {(page.sheet.serial, page.page): page for page in seen}
    for one in written:
        page = found.pop((one.leaf.sheet.serial, one.leaf.page), None)
        yield ("sheet", "right" if page else "refused")
        if page is None:
            continue
        for key, kind in one.marks.items():
            said, truth = page.boxes[key], kind in MARKED
            yield ("box", kind, "asked" if said is None else "right" if said == truth else "wrong")
        for key, truth in one.lines.items():
            said = page.lines[key]
            yield (
                "line",
                "written" if truth else "blank",
                "asked" if said is None else "right" if said == truth else "wrong",
            )
    for _ in found:
        yield ("sheet", "wrong")


def judge(counts: Mapping[str, int], seed: int) -> bool:
    fine = True
    with ProcessPoolExecutor(2) as pool:
        for severity, count in counts.items():
            seeds = [seed + n for n in range(-(-count // A_BATCH))]
            rows = Counter(row for made in pool.map(batch, [severity] * len(seeds), seeds) for row in made)
            fine &= told(severity, rows)
    return fine


def told(severity: str, rows: Counter[tuple[str, ...]]) -> bool:
    boxes = {
        fate: sum(n for row, n in rows.items() if row[0] == "box" and row[2] == fate)
        for fate in ("right", "wrong", "asked")
    }
    total = max(1, sum(boxes.values()))
    accepted = max(1, boxes["right"] + boxes["wrong"])
    share, asked = boxes["right"] / accepted, boxes["asked"] / total
    fine = share >= GOAL[severity] and asked <= 0.05 and not rows["sheet", "wrong"]
    print(
        f"{severity}: {total} boxes, of those decided {share:.4%} right ({boxes['wrong']} wrong), {asked:.2%} asked"
    )
    print(
        f"  sheets: {rows['sheet', 'right']} right, {rows['sheet', 'refused']} refused, {rows['sheet', 'wrong']} wrong"
    )
    lost, shown = rows["line", "written", "wrong"], rows["line", "blank", "wrong"]
    written = sum(n for row, n in rows.items() if row[:2] == ("line", "written"))
    blank = sum(n for row, n in rows.items() if row[:2] == ("line", "blank"))
    print(
        f"  lines: {lost} of {written} written ones taken for blank, {shown} of {blank} blank ones shown; {rows['line', 'blank', 'asked'] + rows['line', 'written', 'asked']} not seen"
    )
    odd = {" ".join(row[1:]): n for row, n in rows.items() if row[0] == "box" and row[2] != "right"}
    print(f"  not right, by what was drawn: {dict(sorted(odd.items()))}")
    return fine


def measures(severity: str, seed: int) -> list[tuple[float, ...]]:
    """Measures of boxes with their truth behind them."""
    kept: list[tuple[float, ...]] = []
    looks: list[tick_boxes.Look] = []
    plain = tick_boxes.look_at_boxes

    def noted(*words: object) -> list[tick_boxes.Look]:
        made = plain(*words)  # type: ignore[arg-type]
        looks.extend(made)
        return made

    from logbook.camera import sheet_reader

    sheet_reader.look_at_boxes = noted
    ledger = ledger_of(pages())
    for picture, written in pictures(pages(), severity, seed, A_BATCH):
        for page in read_picture(picture, "picture", ledger)[0]:
            one = next(w for w in written if (w.leaf.sheet.serial, w.leaf.page) == (page.sheet.serial, page.page))
            ours = [x for x in looks if (x.spot.kind, x.spot.id, x.spot.tag) in page.boxes][: len(page.boxes)]
            kept += [
                (*x.features, float(one.marks[x.spot.kind, x.spot.id, x.spot.tag] in MARKED))
                for x in ours
                if x.features
            ]
            del looks[: len(page.boxes)]
    return kept


def tune(count: int) -> None:
    """Logistic regression by Newton's method with a small ridge, on the measures as the rule bends them."""
    with ProcessPoolExecutor(2) as pool:
        jobs = [(s, TUNING + n) for s in SEVERITIES for n in range(-(-count // A_BATCH))]
        rows = np.array([row for made in pool.map(measures, *zip(*jobs, strict=True)) for row in made])
    x, y = np.sqrt(np.maximum(rows[:, :-1], 0)), rows[:, -1]
    mean, spread = x.mean(axis=0), x.std(axis=0)
    z = np.hstack([np.ones((len(x), 1)), (x - mean) / spread])
    ridge = np.array([1e-3, *[0.05] * x.shape[1]])
    weights = np.zeros(z.shape[1])
    for _ in range(80):
        p = 1 / (1 + np.exp(-z @ weights))
        weights += np.linalg.solve((z.T * (p * (1 - p))) @ z + np.diag(ridge), z.T @ (y - p) - ridge * weights)
    p = 1 / (1 + np.exp(-z @ weights))
    scaled = weights[1:] / spread
    print(f"{len(y)} boxes, {int(y.sum())} marked")
    print("WEIGHTS =", tuple(round(float(w), 3) for w in scaled))
    print("INTERCEPT =", round(float(weights[0] - (scaled * mean).sum()), 3))
    for low, high in ((0.03, 0.9), (0.02, 0.95), (0.01, 0.98), (0.005, 0.99)):
        wrong = int(((p >= high) & (y == 0)).sum() + ((p <= low) & (y == 1)).sum())
        print(f"  asked between {low} and {high}: {wrong} wrong, {((p > low) & (p < high)).mean():.2%} asked")


def timed(count: int) -> None:
    """The reader against OpenCV decoding the same file and warping it once, in this run."""
    ledger = ledger_of(pages())
    for severity in SEVERITIES:
        ours, floor = [], []
        sheets = 0
        for picture, written in pictures(pages(), severity, TUNING, count):
            sheets = len(written)
            raw = as_bytes(picture, quality=85)
            begun = time.perf_counter()
            decoded = cv2.imdecode(np.frombuffer(raw, np.uint8), cv2.IMREAD_COLOR)
            high, wide = decoded.shape[:2]
            cv2.warpPerspective(decoded, np.eye(3), (wide, high), flags=cv2.INTER_LINEAR)
            floor.append(time.perf_counter() - begun)
            begun = time.perf_counter()
            read_pictures(pictures_in(raw, "p.jpg"), ledger)
            ours.append(time.perf_counter() - begun)
        print(
            f"{severity}: {np.median(ours) * 1000:.0f} ms a picture of {sheets} sheet(s), "
            f"{np.median(np.array(ours) / np.array(floor)):.2f} × OpenCV's decode and warp of it ({np.median(floor) * 1000:.0f} ms)"
        )


def real(folder: Path) -> bool:
    """Pictures in `folder`, with `truth.json` (file → serial → ticked boxes and written lines) and the ledger in `printed/`."""
    ledger = load_ledger(folder)
    truth = json.loads((folder / "truth.json").read_text("utf-8"))
    rows: Counter[tuple[str, ...]] = Counter()
    for name, sheets in truth.items():
        seen, problems = read_pictures(pictures_in((folder / name).read_bytes(), name), ledger)
        for problem in problems:
            print(f"  {problem.told() if hasattr(problem, 'told') else problem.message}")
        found = {page.sheet.serial: page for page in seen}
        rows.update(("sheet", "right" if serial in found else "refused") for serial in sheets)
        rows.update(("sheet", "wrong") for serial in found if serial not in sheets)
        for serial, told_of in sheets.items():
            page = found.get(serial)
            for (kind, ident, tag), said in page.boxes.items() if page else ():
                name_of = (
                    f"{kind} {ident}" if f"{kind} {ident} {tag}" not in told_of["ticked"] else f"{kind} {ident} {tag}"
                )
                ticked = name_of in told_of["ticked"]
                rows[
                    "box",
                    "tick" if ticked else "empty",
                    "asked" if said is None else "right" if said == ticked else "wrong",
                ] += 1
            for (kind, ident, _), said in page.lines.items() if page else ():
                wrote = f"{kind} {ident}" in told_of["written"]
                rows[
                    "line",
                    "written" if wrote else "blank",
                    "asked" if said is None else "right" if said == wrote else "wrong",
                ] += 1
    return told("hard", rows)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--tune", action="store_true")
    parser.add_argument("--judge", action="store_true")
    parser.add_argument("--rehearse", action="store_true", help="judge on the tuning seeds")
    parser.add_argument("--real", type=Path, metavar="DIR")
    parser.add_argument("--first", type=int, default=0, metavar="N", help="begin with the N-th batch of seeds")
    parser.add_argument("--only", choices=SEVERITIES, action="append", help="only this severity")
    parser.add_argument("--count", type=int, default=0, help="pictures of each severity")
    options = parser.parse_args()
    if options.real:
        return 0 if real(options.real) else 1
    if options.tune:
        tune(options.count or 64)
        return 0
    if options.judge or options.rehearse:
        count = options.count or (240 if options.judge else 40)
        seed = (JUDGING if options.judge else TUNING + 500) + options.first
        return 0 if judge(dict.fromkeys(options.only or SEVERITIES, count), seed) else 1
    timed(options.count or 6)
    return 0


if __name__ == "__main__":
    sys.exit(main())
