"""What is not installed says so in one sentence, names the extra, and leaves nothing half done."""

from __future__ import annotations

import builtins
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from logbook import extras
from logbook.paper import typesetting

from ..conftest import DEMO, TODAY, Answer

Bench = Callable[..., Answer]
ROOT = DEMO.parent
EXTRAS = ("calendar", "camera", "japanese", "pictures", "spreadsheets")
LIBRARIES = {
    "icalendar",
    "pypdfium2",
    "openpyxl",
    "cv2",
    "zxingcpp",
    "numpy",
    "fontTools",
    "noto_cjk_sans_jp_regular",
}


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """An installation without any extra, as far as imports can tell."""
    imported = builtins.__import__

    def refused(name: str, *more: Any, **named: Any) -> Any:
        if name.split(".")[0] in LIBRARIES:
            raise ModuleNotFoundError(f"No module named '{name}'", name=name)
        return imported(name, *more, **named)

    monkeypatch.setattr(builtins, "__import__", refused)
    caches = (typesetting.face, typesetting._em)
    for cached in caches:
        cached.cache_clear()
    yield
    for cached in caches:
        cached.cache_clear()


def test_every_extra_is_declared_and_named() -> None:
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["optional-dependencies"]
    assert sorted(set(declared) - {"test", "dev"}) == sorted(EXTRAS)
    assert {extras.CALENDAR, extras.CAMERA, extras.JAPANESE, extras.PICTURES, extras.SPREADSHEETS} == set(EXTRAS)


@pytest.mark.usefixtures("bare")
@pytest.mark.parametrize(
    ("words", "extra"),
    [
        (("sheets", "--tag", "004", "-o", "s.png"), "pictures"),
        (("due", "--ics", "d.ics"), "calendar"),
        (("add", "--table", "t.xlsx"), "spreadsheets"),
    ],
)
def test_each_absence_is_one_sentence(
    words: tuple[str, ...], extra: str, demo: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(demo)
    (demo / "t.xlsx").write_bytes(b"PK\x03\x04")
    before = sorted(path for path in demo.rglob("*") if path.name != ".lock")
    answer = bench(*words, "--today", TODAY)
    assert answer.code == 1 and f"needs the extra '{extra}'" in answer.err, answer.all
    assert f"python -m pip install '.[{extra}]'" in answer.err and "Traceback" not in answer.err
    after = sorted(path for path in demo.rglob("*") if path.name != ".lock")
    assert [path for path in after if path not in before and "printed" not in path.parts] == []
    assert not [path for path in after if path.suffix == ".jsonl"]


@pytest.mark.usefixtures("bare")
def test_without_the_japanese_face_all_else_is_printed_and_the_extra_is_named(
    demo: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(demo)
    answer = bench("sheets", "-o", "s.pdf", "--today", TODAY)
    assert answer.code == 0 and "11 record sheets" in answer.out, answer.all
    assert "printed as a box" in answer.err and "Japanese type is in the extra 'japanese'" in answer.err
    assert (demo / "s.pdf").stat().st_size > 10_000
