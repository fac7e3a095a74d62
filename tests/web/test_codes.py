"""The code on a pot, as a telephone sees it, opens the page of that tree, for each form of link that is told of."""

from __future__ import annotations

import functools
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import cv2
import numpy as np
import pytest
import zxingcpp

from logbook.collection.model import Settings, Tree
from logbook.paper.sheet.sheets import sheet_code, tree_link

from ..conftest import DEMO, TODAY, Answer
from .browser import Browser

OLD = 'link: "https://quarrylane.example/{file}"'


class Quiet(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Nothing."""


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    """A folder, and its address on this machine."""
    (tmp_path / "web").mkdir()
    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=str(tmp_path / "web")))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield tmp_path / "web", f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()


def photographed(picture: Path) -> str:
    """What a reader makes of a print that is tilted by 25°, turned, blurred, and lit from one side."""
    page = cv2.imread(str(picture), cv2.IMREAD_GRAYSCALE)
    page = cv2.resize(page, None, fx=3, fy=3, interpolation=cv2.INTER_CUBIC)
    page = cv2.copyMakeBorder(page, 60, 60, 60, 60, cv2.BORDER_CONSTANT, value=200)
    high, wide = page.shape
    corners = np.float32([[0, 0], [wide, 0], [wide, high], [0, high]])
    seen = np.float32(
        [[0.1 * wide, 0.06 * high], [0.92 * wide, 0.12 * high], [wide * 0.98, 0.9 * high], [0.02 * wide, 0.97 * high]]
    )
    tilted = cv2.warpPerspective(page, cv2.getPerspectiveTransform(corners, seen), (wide, high), borderValue=170)
    light = np.linspace(0.55, 1.0, wide)[None, :]
    noisy = cv2.GaussianBlur(tilted, (0, 0), 2.5) * light + np.random.default_rng(1).normal(0, 4, tilted.shape)
    found = zxingcpp.read_barcodes(np.clip(noisy, 0, 255).astype(np.uint8))
    assert len({one.text for one in found}) == 1
    return found[0].text


@pytest.mark.parametrize("form", ["{tag}.html", "{file}", "a/tree-{tag}.html", "a/{tag}", "trees.html#{tag}"])
def test_a_code_opens_its_trees_page(
    form: str, served: tuple[Path, str], tmp_path: Path, browser: Browser, bench: Callable[..., Answer]
) -> None:
    web, address = served
    folder = tmp_path / "garden"
    shutil.copytree(DEMO, folder)
    settings = (folder / "collection.yaml").read_text("utf-8")
    assert OLD in settings
    (folder / "collection.yaml").write_text(settings.replace(OLD, f'link: "{address}/{form}"'), encoding="utf-8")
    where = web / "a" if form.startswith("a/") else web
    words = ("--one", where / "trees.html") if "#" in form else ("-o", where)
    assert bench("pages", *words, "--today", TODAY, folder=folder).code == 0
    assert bench("tags", "--tag", "007", "-o", tmp_path / "tag.png", folder=folder).code == 0
    read = photographed(tmp_path / "tag-1.png")
    assert read == f"{address}/{form}".replace("{tag}", "007").replace("{file}", "trees/007.yaml")
    browser.requested()
    browser.open(read)
    for _ in range(50):
        if browser.driver.title.startswith("007 "):
            break
        time.sleep(0.05)
    assert browser.driver.title.startswith("007 The Old Satsuki from the Ropewalk Garden Sale")
    tags = "return [...document.querySelectorAll('.tag')].filter(e => e.offsetParent).map(e => e.textContent)"
    assert browser.run(tags) == ["007"]
    asked = [url for url in browser.requested() if not url.startswith(("about:", "data:"))]
    assert asked and all(url.startswith(address) for url in asked)


def test_ticks_on_a_host_are_kept_between_its_pages(
    served: tuple[Path, str], tmp_path: Path, browser: Browser, bench: Callable[..., Answer]
) -> None:
    """From a host as from the disk: two trees, one walk."""
    web, address = served
    assert bench("pages", "--own", "-o", web, "--today", TODAY, folder=DEMO).code == 0
    for tag in ("004", "001"):
        browser.open(f"{address}/{tag}.html")
        browser.driver.find_element("css selector", "[data-line='looked']").click()
    lines = str(browser.run("return document.querySelector('[data-lines]').value")).split("\n")
    assert [line for line in lines if line.startswith("tree")] == ["tree 004", "tree 001"] and tmp_path


def test_odd_tags_are_written_as_addresses_are() -> None:
    """RFC 3986: what is no plain letter or figure of an address is percent-encoded; the bare tag stays as it is."""
    linked = Settings("x", link="https://trees.example.org/{tag}.html")
    for tag, told in (
        ("014", "014"),
        ("014b", "014b"),
        ("é9", "%C3%A99"),
        ("50%25", "50%2525"),
        ("a&b=1", "a%26b%3D1"),
    ):
        assert tree_link(linked, Tree(tag, ())) == f"https://trees.example.org/{told}.html"
        assert tree_link(Settings("x"), Tree(tag, ())) == tag
    assert sheet_code(linked, Tree("é9", ()), "00142-4") == "https://trees.example.org/%C3%A99.html#00142-4"
