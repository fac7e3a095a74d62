"""Every page that the tool prints, by the verbs that print it: for what must hold on all paper, whatever its kind."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from PIL import Image

from logbook.cli import common
from logbook.cli.main import run
from logbook.collection.dates import read_when
from logbook.collection.model import Branch, Collection, Entry, Tree
from logbook.collection.units import US, Units
from logbook.paper import pdf
from logbook.paper.page import Page, Paper

Loader = Callable[..., Collection]
TREES = ("001", "004", "007")  # with papers of their own
STOCKS = ("hanging", "stake", "sticker", "wrap")
PHOTOS = {"004": ("2023-06-14", "2024-06-20", "2026-07-02"), "007": ("2025-01-09", "2026-01-12")}


@dataclass(frozen=True, slots=True)
class Printed:
    """What one command printed."""

    command: tuple[str, ...]
    pages: tuple[Page, ...]


def commands(units: Units, today: str, tags: Sequence[str] = TREES) -> Iterator[tuple[str, ...]]:
    """Every kind of page on the paper of these units; `tags` have tags, dossiers and display cards."""
    us = units is US
    pocket, walks = ("pocket-quarter-letter", ("walk-letter",)) if us else ("pocket-a6", ("walk-a4", "walk-a5"))
    dossier, end = ("dossier-letter", "-letter") if us else ("dossier-a4", "")
    some = tuple(part for tag in tags for part in ("--tag", tag))
    yield "sheets", "--season-card", *some
    yield "sheets", "--booklet", *some
    yield "sheets", "--draft", "--more", *some
    for name in walks:
        for more in ((), ("--all",), ("--first-look",), ("--draft",)):
            yield "walk", "--layout", name, *more
    yield "walk", "--large", "--first-look"
    for card in ("season", "wiring", "repotting", "crib", "minder", "years"):
        for name in (pocket, dossier):
            yield "cards", card, "--layout", name
    yield "cards", "wiring", "--metal", "copper", *some
    yield "cards", "minder", "--from", today, "--to", f"{int(today[:4]) + 1}{today[4:]}"
    yield "cards", "display", *some
    for name in (pocket, dossier):
        yield "cards", "review", "--season", "2026", "--layout", name
    yield "cards", "wall"
    yield "cards", "wall", "--by", "group"
    for name in (walks[0], dossier):
        yield "cards", "roll", "--heirs", "--value", "--layout", name
    yield "cards", "roll", "--draft"
    for name in (pocket, dossier):
        yield "cards", "ahead", "--layout", name
    yield "cards", "scale"
    yield "plan", "-o"
    yield "plan", "--draft", "--weeks", "12", "--layout", pocket, "-o"
    for stock in STOCKS:
        yield "tags", "--layout", f"tag-{stock}{end}", *some
    for tag in tags:
        yield "dossier", tag, "--layout", dossier
        yield "dossier", tag, "--public", "--layout", dossier


def prints(command: Sequence[str], folder: Path, today: str) -> int:
    """Run one of them."""
    out = folder / "page.pdf"
    words = list(command) if command[-1] == "-o" else [*command, "-o"]
    seed = ["--seed", "1"] if takes_seed(command) else []
    return run(["-C", str(folder), *words, str(out), "--today", today, *seed])


def takes_seed(command: Sequence[str]) -> bool:
    """Whether it draws serials."""
    return command[0] in ("sheets", "walk", "cards", "plan")


def all_pages(
    folder: Path, monkeypatch: pytest.MonkeyPatch, wanted: Iterable[tuple[str, ...]], today: str
) -> Iterator[Printed]:
    """The pages of these commands, as they were drawn."""
    drawn: list[Page] = []

    def kept(papers: Iterable[Paper], *_: object) -> bytes:
        drawn.extend(placed.page for paper in papers for placed in paper.placed)
        return b"%PDF-1.4\n"

    monkeypatch.setattr(pdf, "render", kept)
    for command in wanted:
        drawn.clear()
        assert prints(command, folder, today) == 0, command
        yield Printed(command, tuple(drawn))


def collection_of(
    monkeypatch: pytest.MonkeyPatch, units: Units, trees: Callable[[Collection], Sequence[Tree]]
) -> None:
    """Let the verbs read other trees, in these units, than those on disk."""
    before: Loader = common.load

    def loaded(*given: object, **more: object) -> Collection:
        made = before(*given, **more)
        return replace(made, settings=replace(made.settings, units=units), trees=tuple(trees(made)))

    monkeypatch.setattr(common, "load", loaded)


def with_photos(folder: Path, trees: Iterable[Tree]) -> list[Tree]:
    """Some of them with pictures, and one with a branch that is drawn."""
    (folder / "photos").mkdir(exist_ok=True)
    made = []
    for tree in trees:
        days = PHOTOS.get(tree.tag, ())
        log = list(tree.log)
        for day in days:
            name = f"photos/{tree.tag}-{day}.jpg"
            Image.new("L", (400, 300), 160).save(folder / name)
            log.append(Entry(read_when(day), photo=name))
        branches = tree.branches or ((Branch("1", 3, 90.0, diameter=7.0),) if days else ())
        log.sort(key=lambda entry: entry.date.earliest)
        made.append(replace(tree, log=tuple(log), branches=branches))
    return made
