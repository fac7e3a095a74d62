"""From nothing to one's own paper, for two invented growers: a metric one with a spreadsheet and eight years of notes, and one in inches.

By a talk on a terminal, and by options. Goals: five commands at most, no refusal that a person would have understood.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pypdf
import pytest

from ..conftest import Answer
from ..evening.terminal import sit

TODAY = "2026-11-25"
KINDS = (
    "Japanese maple",
    "Trident maple",
    "Scots pine",
    "Chinese elm",
    "larch",
    "Shimpaku",
    "Acer campestre",
    "Hornbeam",
    "Hawthorn",
    "Olive",
)
WORKS = (
    "repotted",
    "wired 1 2 copper 2.5",
    "pruned hard",
    "defoliated",
    "fed",
    "wire off",
    "looked, all well",
    "leaves small this year",
)


def metric_table() -> str:
    """Twenty-five trees as a spreadsheet saves them in half of Europe."""
    draw = random.Random(3)
    rows = ["My trees;;;;;;;", "No;Species;Where;Last repotted;Height (cm);Stage;Health;Notes"]
    for n in range(1, 26):
        repotted = draw.choice((f"0{draw.randint(2, 5)}/2023", "spring 2022", "2021", "March 2024", ""))
        stage = draw.choice(("ramification", "refinement", "branch building", "raw"))
        health = draw.choice(("4", "3", "good", "strong", ""))
        rows.append(
            f"{n};{draw.choice(KINDS)};bench {n % 3 + 1};{repotted};{draw.randint(15, 70)};{stage};{health};{draw.choice(('leggy', '', 'scar, left'))}"
        )
    return "\r\n".join(rows) + "\r\n"


def log_of_eight_years() -> str:
    """Two hundred rows: each year every tree is fed and looked at, some are repotted in turn, wire goes on in autumn and off the next summer."""
    rows, n = ["Date;Tree;What was done"], 0
    for year in range(2019, 2027):
        for tree in range(1, 26):
            n += 1
            work, day = (
                (("wired 1 2 copper 2.5", f"14.11.{year}") if year % 2 else ("wire off", f"20.6.{year}"))
                if tree % 5 == 1
                else ("repotted", f"spring {year}")
                if (tree + year) % 4 == 0 and year < 2024
                else ("fed", f"0{tree % 3 + 5}/{year}")
                if tree % 2
                else ("leaves small this year", f"{year}")
            )
            rows.append(f"{day};{tree};{work}")
    return "\n".join(rows) + "\n"


STATION = "Month\tMean min\tMean max\n" + "".join(
    f"{m}\t{a}\t{b}\n"
    for m, a, b in zip(
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
        (-3.6, -3.2, 0.1, 3.7, 8.1, 11.6, 13.4, 13.1, 9.2, 5.3, 0.6, -2.5),
        (2.6, 4.6, 9.8, 14.8, 19.2, 22.7, 24.8, 24.5, 19.5, 13.6, 7.0, 3.3),
        strict=True,
    )
)
US_TABLE = "Tree,Type,Last Repot,Trunk Dia (in),Status\n" + "".join(
    f"{n},{kind},{year},{0.5 + n / 8:.2f},{stage}\n"
    for n, (kind, year, stage) in enumerate(
        zip(
            (
                "Japanese maple",
                "Trident maple",
                "Eastern white pine",
                "Procumbens juniper",
                "Chinese elm",
                "Ficus",
                "Bald cypress",
                "Ginkgo",
                "Boxwood",
                "Azalea",
                "Shimpaku",
                "Crabapple",
            ),
            (
                "3/14/2024",
                "2023",
                "4/2022",
                "spring 2025",
                "",
                "6/21/2024",
                "3/30/2023",
                "2024",
                "",
                "5/1/2025",
                "2021",
                "4/15/2023",
            ),
            (
                "refinement",
                "raw",
                "ramification",
                "maintenance",
                "refinement",
                "ramification",
                "raw",
                "raw",
                "",
                "ramification",
                "maintenance",
                "ramification",
            ),
            strict=True,
        ),
        start=1,
    )
)


@dataclass
class Desk:
    """A grower at a terminal: each command is counted, and everything that appeared on the screen is kept."""

    folder: Path
    commands: list[str] = field(default_factory=list)
    screen: str = ""

    def types(self, *words: str, answers: tuple[str, ...] = ()) -> str:
        """Run a command on a pseudo-terminal, answering questions as they come; returns what it showed."""
        self.commands.append(" ".join(words))
        sat = sit(self.folder, answers, *words, prompts=(b"? ", b"] ", b") ", b"table "))
        text = sat.screen
        assert sat.code == 0, text
        assert not sat.left, (sat.left, text)
        self.screen += text
        return text


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def prints(desk: Desk, garden: str, trees: int) -> None:
    """Sheets, tags and the walk list: three commands."""
    for verb in ("sheets", "tags", "walk"):
        desk.types("-C", garden, verb, "-o", f"{verb}.pdf", "--today", TODAY)
        said = "".join(page.extract_text() for page in pypdf.PdfReader(desk.folder / f"{verb}.pdf").pages)
        assert len(said) > 40 * trees if verb == "sheets" else said
    assert len(list((desk.folder / garden / "trees").iterdir())) == trees


@pytest.mark.long
def test_a_metric_grower_on_a_terminal(desk: Desk) -> None:
    (desk.folder / "trees.csv").write_bytes(b"\xef\xbb\xbf" + metric_table().encode())
    (desk.folder / "log.csv").write_text(log_of_eight_years(), encoding="cp1252")
    (desk.folder / "station.txt").write_text(STATION, encoding="utf-8")
    told = desk.types(
        "start",
        "slope",
        "--today",
        TODAY,
        answers=("Slope garden", "", "47.9, 9.4", "station.txt", "-14", "sat 3h", "trees.csv", "log.csv"),
    )
    assert "added 25 trees" in told and "error" not in told, told
    assert "wrote 200 entries" in told and "waiting" not in told, told
    prints(desk, "slope", 25)
    assert len(desk.commands) == 4


@pytest.mark.soak
def test_a_grower_in_inches_on_a_terminal(desk: Desk) -> None:
    (desk.folder / "trees.csv").write_text(US_TABLE, encoding="utf-8")
    told = desk.types(
        "start",
        "yard",
        "--today",
        TODAY,
        answers=(
            "Back yard",
            "us",
            "42.4 N, 72.5 W",
            "14 35 60 84",
            "-8",
            "",
            "trees.csv",
            "",
            "2",
            "Buxus sempervirens",
            "1",
            "4",
        ),
    )
    assert "added 12 trees" in told and "error" not in told, told
    prints(desk, "yard", 12)
    assert len(desk.commands) == 4
    text = (desk.folder / "yard/trees/1.yaml").read_text("utf-8")
    assert "repotted: 2024-03-14" in text and "trunk: 0.62" in text, text


def test_both_by_options(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """The same without a terminal: what is asked comes back with the option that answers it."""
    (tmp_path / "trees.csv").write_text(metric_table(), encoding="utf-8")
    (tmp_path / "log.csv").write_text(log_of_eight_years(), encoding="utf-8")
    (tmp_path / "station.txt").write_text(STATION, encoding="utf-8")
    (tmp_path / "us.csv").write_text(US_TABLE, encoding="utf-8")
    place = ("--latitude", "47.9", "--normals", tmp_path / "station.txt", "--coldest-night", "-14")
    brought = ("--table", tmp_path / "trees.csv", "--log", tmp_path / "log.csv", "--today", TODAY)
    told = bench("start", tmp_path / "slope", *place, *brought)
    assert told.code == 0 and "added 25 trees" in told.out, told.all
    numbers = ("--january", "14", "35", "--july", "60", "84", "--coldest-night", "-8")
    us = (
        "start",
        tmp_path / "yard",
        "--units",
        "us",
        "--latitude",
        "42.4",
        *numbers,
        "--table",
        tmp_path / "us.csv",
        "--today",
        TODAY,
    )
    first = bench(*us)
    assert first.code in (0, 3), first.all
    for folder, trees in ((tmp_path / "slope", 25), (tmp_path / "yard", 12)):
        if len(list((folder / "trees").iterdir())) < trees:
            again = bench(
                "add",
                "--table",
                tmp_path / "us.csv",
                *("--answer", "species ficus=Ficus microcarpa", "--answer", "species boxwood=Buxus sempervirens"),
                *(
                    "--answer",
                    "species azalea=Rhododendron indicum",
                    "--answer",
                    "species crabapple=Malus sylvestris",
                ),
                "--today",
                TODAY,
                folder=folder,
            )
            assert again.code == 0, again.all
        assert bench("check", folder=folder).code == 0
        for verb in ("sheets", "tags", "walk"):
            assert (
                bench(verb, "-o", tmp_path / f"{folder.name}-{verb}.pdf", "--today", TODAY, folder=folder).code == 0
            )


def test_eight_years_given_again_add_nothing(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """Nor with a row put in at the top: that row alone is new. Partial dates stay as they were written."""
    (tmp_path / "trees.csv").write_text(metric_table(), encoding="utf-8")
    (tmp_path / "log.csv").write_text(log_of_eight_years(), encoding="utf-8")
    garden = tmp_path / "slope"
    bench(
        "start",
        garden,
        "--latitude",
        "47.9",
        "--table",
        tmp_path / "trees.csv",
        "--log",
        tmp_path / "log.csv",
        "--today",
        TODAY,
    )
    before = {path.name: path.read_bytes() for path in (garden / "trees").iterdir()}
    assert any(b"date: 2020-21" in text for text in before.values()) and any(
        b"date: 2020, note" in text for text in before.values()
    )
    bench("import-log", tmp_path / "log.csv", "--yes", "--today", TODAY, folder=garden)
    assert {path.name: path.read_bytes() for path in (garden / "trees").iterdir()} == before
    head, _, rest = log_of_eight_years().partition("\n")
    (tmp_path / "log.csv").write_text(f"{head}\n14.6.2017;7;repotted\n{rest}", encoding="utf-8")
    bench("import-log", tmp_path / "log.csv", "--yes", "--today", TODAY, folder=garden)
    after = {path.name: path.read_bytes() for path in (garden / "trees").iterdir()}
    assert [name for name in after if after[name] != before[name]] == ["7.yaml"]
    told = bench("history", "7", "--today", TODAY, folder=garden).out
    assert "14 Jun 2017" in told and "repotting" in told, told


def test_what_a_stranger_tripped_over(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """Faults and questions are told in one run; a column is named by hand; an answer that answers nothing is told; abbreviations."""
    garden = tmp_path / "g"
    bench("start", garden, "--latitude", "47.9")
    table = tmp_path / "t.csv"
    table.write_text(
        "No,Kind,How tall (cm),Stage,Odd\n1,Jap. maple,30,raw material,31 cm\n2,Itoigawa juniper,20,show,\n3,moonfruit bush,12,,\n",
        encoding="utf-8",
    )
    first = bench("add", "--table", table, "--answer", "colour=x", "--today", TODAY, folder=garden)
    assert first.code == 1 and not list((garden / "trees").iterdir())
    assert "'moonfruit bush' is not known" in first.err and "--answer 'species moonfruit bush=" in first.err
    assert "question: which stage is 'show'?" in first.out and "only 'juniper' is known" in first.out
    assert "--answer 'colour': nothing asks that" in first.out and "'raw material': trunk growing" in first.out
    answers = ("stage show=refinement", "species itoigawa juniper=Juniperus chinensis", "column odd=crown")
    given = [word for answer in answers for word in ("--answer", answer)]
    then = bench("add", "--table", table, *given, "--only-good", "--today", TODAY, folder=garden)
    assert "added 2 trees" in then.out and "moonfruit" in then.err, then.all
    assert "crown: 310" in (garden / "trees/1.yaml").read_text("utf-8")
    assert (
        bench(
            "normals", "--latitude", "48°12'", "--january", "-3", "4", "--july", "15", "27", "--yes", folder=tmp_path
        ).code
        == 0
    )
