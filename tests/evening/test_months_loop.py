"""A month of somebody who was told one word: five photographs, two walk lists and a dozen lines come in, the next walk list goes out.

Counted are the keys besides the notes themselves: Enter for what is likeliest, and nothing else.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from ..conftest import Answer
from ..photos.test_pictures import at, some
from .terminal import sit

LINK = "https://quarrylane.example/{file}"  # the link of the demo
MOST_KEYS = 8
DAY = "2027-05-05"


@pytest.mark.long
def test_a_month(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    walks = []
    for day in ("2027-04-03", "2027-04-17"):
        told = bench("walk", "-o", tmp_path / f"{day}.pdf", "--today", day, "--json", folder=demo)
        walks.append(json.loads(told.out)["serial"])
    roll = some(tmp_path / "roll", a=at(1, "003", LINK), b=at(2), c=at(3), d=at(10, "004", LINK), e=at(11))
    (demo / "inbox").mkdir(exist_ok=True)
    for picture in roll.iterdir():
        (demo / "inbox" / picture.name).write_bytes(picture.read_bytes())
    notes = [
        f"walk {walks[0]}",
        "003 4 apr done; vigour 4",
        "004 4 apr looked",
        "005 buds swelling",
        "006 fed 6-6-6",
        f"walk {walks[1]}",
        "003 18 apr moss gone yellow on the north side",
        "007 18 apr looked, all well",
        "009 trunk 38.5",
        "tree 8",
        "20 apr repotted roots light",
        "wired 1 2 copper 2.5",
        "tree 010",
        "20 apr trimmed",
        "21 apr moved to east 2",
        "21 apr shelter off",
    ]
    keys = ["", "", "", "", "", "", ""]  # read, file, type | an empty line ends, write, print, leave
    sat = sit(demo, [*keys[:3], *notes, *keys[3:]], "--day", DAY)
    assert sat.code == 0 and not sat.left and "Traceback" not in sat.screen, sat.screen
    assert len(keys) <= MOST_KEYS
    assert "filed 3 pictures under 2 trees" in sat.screen, sat.screen
    assert len(list((demo / "photos").glob("00*-2027-*.jpg"))) == 3 and (demo / "inbox" / "read" / DAY).is_dir()
    assert "wrote " in sat.screen and (demo / "print" / f"walk {DAY}.pdf").is_file()
    log = (demo / "trees" / "008.yaml").read_text("utf-8")
    assert "2027-04-20" in log and "work: repotting" in log and "work: wiring" in log
    again = bench("waiting", "--today", DAY, folder=demo)
    assert json.loads(bench("waiting", "--json", "--today", DAY, folder=demo).out)["audit"]["balanced"], again.out
