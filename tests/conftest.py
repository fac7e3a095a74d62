"""Shared helpers: small collections made in the test, and the command run inside the process."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from logbook.cli.main import run as run_command
from logbook.collection.model import Normals, Settings, Site, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.wording import Wording
from logbook.season.reasons import Reason
from logbook.season.site_year import SiteYear

settings.register_profile("suite", deadline=None, suppress_health_check=[HealthCheck.too_slow], max_examples=40)
settings.load_profile("suite")

DEMO = Path(__file__).resolve().parent.parent / "demo_collection"
TODAY = "2026-11-25"

# an invented site: inland, 47.9° N
INLAND = Normals(
    tmin=(-3.6, -3.2, 0.1, 3.7, 8.1, 11.6, 13.4, 13.1, 9.2, 5.3, 0.6, -2.5),
    tmax=(2.6, 4.6, 9.8, 14.8, 19.2, 22.7, 24.8, 24.5, 19.5, 13.6, 7.0, 3.3),
    years="1991-2020",
    coldest_night=-14.0,
)


@dataclass
class Answer:
    code: int
    out: str
    err: str

    @property
    def all(self) -> str:
        return self.out + self.err


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--renew-goldens", action="store_true", help="keep what pages look like now as the goldens")
    parser.addoption("--renew-tables", action="store_true", help="write the README's tables anew from the registers")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long ones first."""
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


@pytest.fixture
def bench(capsys: pytest.CaptureFixture[str]) -> Callable[..., Answer]:
    """Run the command in this process: bench("check", folder=...)."""

    def call(*words: object, folder: Path | None = None) -> Answer:
        arguments = [*(["-C", str(folder)] if folder else []), *(str(w) for w in words)]
        capsys.readouterr()
        try:
            code = run_command(arguments)
        except SystemExit as stop:
            code = int(stop.code or 0)
        captured = capsys.readouterr()
        return Answer(code, captured.out, captured.err)

    return call


@pytest.fixture
def demo(tmp_path: Path, bench: Callable[..., Answer]) -> Path:
    """A fresh copy of the demo collection."""
    folder = tmp_path / "demo"
    assert bench("start", "--demo", folder).code == 0
    return folder


def make_collection(
    folder: Path, trees: dict[str, str] | None = None, settings_text: str = "format: 1\ntitle: Test\n"
) -> Path:
    """A collection on disk: tag → tree text."""
    (folder / "trees").mkdir(parents=True, exist_ok=True)
    (folder / "collection.yaml").write_text(settings_text, encoding="utf-8")
    for tag, text in (trees or {}).items():
        (folder / "trees" / f"{tag}.yaml").write_text(text, encoding="utf-8")
    return folder


def site_year(normals: Normals | None = INLAND, latitude: float = 47.9, **more: object) -> SiteYear:
    return garden_at(normals, latitude, **more).site


def garden_at(
    normals: Normals | None = INLAND, latitude: float = 47.9, trees: Iterable[Tree] = (), **more: object
) -> Garden:
    """A garden with the shipped knowledge; `more` are keys of its settings."""
    site = Site(latitude=latitude, normals=normals)
    return Garden(Settings("Test", site=site, **more), shipped_knowledge(), trees)  # type: ignore[arg-type]


def say(reasons: Reason | Iterable[Reason]) -> str:
    """Reasons in words, as a metric collection has them."""
    return Wording().reasons([reasons] if isinstance(reasons, Reason) else reasons)


def mirrored(normals: Normals) -> Normals:
    """The same climate half a year later, for the other hemisphere."""
    return Normals(
        normals.tmin[6:] + normals.tmin[:6], normals.tmax[6:] + normals.tmax[:6], normals.years, normals.coldest_night
    )


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def day(text: str) -> date:
    return date.fromisoformat(text)


os.environ.setdefault("PYTHONHASHSEED", "0")
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # or each worker, and each command of its own, compiles all anew
for threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "OPENCV_FOR_THREADS_NUM"):
    os.environ.setdefault(threads, "1")  # there is a worker for each core: more threads only wait for each other
