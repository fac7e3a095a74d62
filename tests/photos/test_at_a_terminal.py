"""What is asked where somebody can answer: pictures that nobody could place, an archive's number, whether a tree has left."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.cli.main import module_of

from ..conftest import Answer
from ..evening.terminal import sit
from .test_pictures import at, some
from .test_rolls import TODAY, collection_of

Bench = Callable[..., Answer]
OTHER = "https://other.example/{file}"


class Typing(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    def say(text: str) -> None:
        monkeypatch.setattr("sys.stdin", Typing(text))
        monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)

    return say


def test_pictures_are_asked_in_groups(bench: Bench, tmp_path: Path, typed: Callable[[str], None]) -> None:
    folder = collection_of(tmp_path / "c", ["014", "015"])
    roll = some(tmp_path / "roll", a=at(1, "014", OTHER), b=at(9), c=at(12), d=at(20, "015"), e=at(28))
    typed("099\n014\ny\n")
    told = bench("photos", roll, *TODAY, folder=folder)
    assert told.code == 0, told.all
    assert "2 pictures, b.jpg to c.jpg: behind a code that is no tree's" in told.err
    assert "there is no living tree 099" in told.err and "filed 3 pictures under 2 trees" in told.out
    assert len(list((folder / "photos").iterdir())) == 3


def test_enter_leaves_them_alone(bench: Bench, tmp_path: Path, typed: Callable[[str], None]) -> None:
    folder = collection_of(tmp_path / "c", ["014"])
    roll = some(tmp_path / "roll", a=at(1, "014", OTHER), b=at(9))
    typed("\n")
    told = bench("photos", roll, *TODAY, folder=folder)
    assert told.code == 0 and "left alone: b.jpg" in told.out and not (folder / "photos").exists()


@pytest.mark.parametrize("away", ["later\n", "q\n", ""])
def test_whoever_leaves_is_asked_about_the_rest_again(
    bench: Bench, tmp_path: Path, typed: Callable[[str], None], away: str
) -> None:
    folder = collection_of(tmp_path / "c", ["014", "015"])
    roll = some(tmp_path / "roll", a=at(1, "014", OTHER), b=at(9), c=at(20, "015", OTHER), d=at(28))
    typed(f"014\n{away}")
    told = bench("photos", roll, *TODAY, folder=folder)
    assert told.err.count("later (or q) leaves") == 1 and "question: d.jpg" in told.out and told.code == 3
    assert "left alone: d.jpg" not in told.out
    again = bench("photos", roll, *TODAY, "--dry-run", folder=folder)
    assert "question: d.jpg" in again.out


def test_what_is_filed_leaves_the_inbox(tmp_path: Path) -> None:
    """The evening's word for it: `filed` where nothing is left to do."""
    module = module_of("photos")
    folder = collection_of(tmp_path / "c", ["014"])
    roll = some(tmp_path / "roll", a=at(1, "014"), b=at(9))
    from logbook.cli.main import _parser

    def run(*more: str) -> object:
        options = _parser("photos").parse_args(["-C", str(folder), "photos", str(roll), *TODAY, *more])
        return module.run(options).data["filed"]

    assert run("--dry-run") is False and run() is False and run("--yes") is True and run("--yes") is True


def test_a_handover_and_its_arrival(tmp_path: Path) -> None:
    old, new = collection_of(tmp_path / "a", ["014"]), collection_of(tmp_path / "b", ["014"])
    seen = sit(old, ["y", "given"], "handover", "014", *TODAY)
    assert (
        seen.code == 0
        and not seen.left
        and "014: given 2027-06-01" in seen.screen.replace("014 Acer palmatum:", "014:")
    )
    assert "ended: {date: 2027-06-01, how: given}" in (old / "trees/014.yaml").read_text()
    seen = sit(new, ["020", "y"], "add", "--handover", str(old / "014.zip"), *TODAY)
    assert seen.code == 0 and not seen.left and (new / "trees/020.yaml").is_file(), seen.screen
