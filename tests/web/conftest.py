"""Pages made once, and the browser to look at them with."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from logbook.cli.main import run

from ..conftest import DEMO, TODAY
from ..paper.gardens import stress
from .browser import Browser, browser_or_skip
from .gardens import hostile, on_disk


@pytest.fixture
def browser() -> Browser:
    return browser_or_skip()


def made(collection: Path, *words: object) -> None:
    assert run(["-C", str(collection), "pages", *map(str, words), "--today", TODAY]) == 0


def pages_of(collection: Path, folder: Path) -> Path:
    """Both sets of pages, and both single files."""
    made(collection, "-o", folder / "any")
    made(collection, "--own", "-o", folder / "own")
    made(collection, "--one", folder / "any.html")
    made(collection, "--own", "--one", folder / "own.html")
    return folder


@pytest.fixture(scope="session")
def demo_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    shutil.copytree(DEMO, folder / "garden")
    return pages_of(folder / "garden", folder)


@pytest.fixture(scope="session")
def stress_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("stress")
    return pages_of(on_disk(folder / "garden", stress()), folder)


@pytest.fixture(scope="session")
def heavy_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three of the sixty whose first screen is the fullest."""
    folder = tmp_path_factory.mktemp("heavy")
    made(on_disk(folder / "garden", [stress()[n - 1] for n in (5, 15, 35)]), "--own", "-o", folder / "own")
    return folder


@pytest.fixture(scope="session")
def hostile_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    return pages_of(hostile(folder / "garden"), folder)
