"""Pages as Chromium shows them: nothing runs over, the first screen holds what it must, nothing is asked of anybody, axe-core is silent."""

from __future__ import annotations

import time
from collections.abc import Iterable
from pathlib import Path

import pytest

from .browser import SMALL, USUAL, WIDE, Browser

BOXES = """
const shown = one => one.offsetParent !== null;
const box = one => { const b = one.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom].map(n => Math.round(n * 10) / 10); };
const first = document.querySelector('.keys');
const keys = first ? [...first.querySelectorAll('.key')].filter(shown) : [];
return {wide: document.documentElement.scrollWidth, broken: window.broken || 0,
        head: [...document.querySelectorAll('h1, .head')].filter(shown).map(box),
        keys: keys.filter(k => !('back' in k.dataset)).map(box), all: [...document.querySelectorAll('.key')].filter(shown).map(box)};
"""
APART, LEAST = 12, 56  # px, from button to button and across one


def apart(one: list[float], other: list[float]) -> float:
    """How far two boxes are from one another, px; negative where they overlap."""
    across = max(one[0], other[0]) - min(one[2], other[2])
    down = max(one[1], other[1]) - min(one[3], other[3])
    return max(across, down)


def looked_at(
    browser: Browser, page: Path, sizes: Iterable[tuple[int, int]], *, is_tree: bool, axe: bool
) -> list[str]:
    """What is wrong with a page in these windows."""
    wrong = []
    for size in sizes:
        browser.size(size)
        browser.open(page)
        seen = browser.run(BOXES)
        where = f"{page.parent.name}/{page.name} at {size[0]}"
        if seen["wide"] > size[0] or seen["broken"]:
            wrong.append(f"{where}: {seen['wide']} px wide, broken {seen['broken']}")
        wrong += [
            f"{where}: a button of {box}"
            for box in seen["all"]
            if min(box[2] - box[0], box[3] - box[1]) < LEAST - 0.05
        ]
        if is_tree and size != WIDE:
            low = max([box[3] for box in (*seen["head"], *seen["keys"])], default=0)
            wrong += [f"{where}: the first screen ends at {low}"] if low > size[1] or not seen["head"] else []
        keys = seen["keys"]
        close = [(a, b) for n, a in enumerate(keys) for b in keys[:n] if apart(a, b) < APART - 0.5]
        wrong += [f"{where}: too close {close[:2]}"] if close else []
        if size == SMALL and axe:
            wrong += [f"{where}: {told}" for told in browser.violations()]
            browser.dark(True)
            wrong += [f"{where}, dark: {told}" for told in browser.violations() if "contrast" in told]
            browser.dark(False)
    return wrong


def trees_in(folder: Path) -> list[Path]:
    return [p for p in sorted(folder.glob("*.html")) if p.name not in ("index.html", "year.html")]


@pytest.mark.long
def test_pages_of_the_demo_and_a_sample_of_the_others(
    browser: Browser, demo_pages: Path, heavy_pages: Path, hostile_pages: Path
) -> None:
    """The sweep over all of them is the soak's."""
    demo = trees_in(demo_pages / "own")
    assert len(demo) == 12
    wrong = [
        w for p in demo for w in looked_at(browser, p, (SMALL,), is_tree=p.name != "012.html", axe=p in demo[::4])
    ]
    wrong += looked_at(browser, demo[3], (USUAL, WIDE), is_tree=True, axe=False)
    for name in ("035", "015", "005"):
        wrong += looked_at(
            browser, heavy_pages / "own" / f"{name}.html", (SMALL, USUAL), is_tree=True, axe=name == "035"
        )
    for page in trees_in(hostile_pages / "own")[:3]:
        wrong += looked_at(browser, page, (SMALL,), is_tree=False, axe=False)
    for page in (
        demo_pages / "any" / "004.html",
        demo_pages / "any.html",
        *(demo_pages / "own" / f"{n}.html" for n in ("index", "year")),
    ):
        wrong += looked_at(browser, page, (SMALL, WIDE), is_tree=False, axe=True)
    assert not wrong, "\n".join(wrong)


@pytest.mark.soak
@pytest.mark.parametrize("readers", ["any", "own"])
@pytest.mark.parametrize("garden", ["demo_pages", "stress_pages", "hostile_pages"])
def test_every_page(browser: Browser, garden: str, readers: str, request: pytest.FixtureRequest) -> None:
    folder: Path = request.getfixturevalue(garden)
    hostile = garden == "hostile_pages"  # its tags take the names of the index and the year
    wrong = []
    for page in [*sorted((folder / readers).glob("*.html")), folder / f"{readers}.html"]:
        is_tree = "<body data-tag" in page.read_text("utf-8") and not hostile
        wrong += looked_at(browser, page, (SMALL, USUAL, WIDE), is_tree=is_tree, axe=True)
    assert not wrong, "\n".join(wrong)


def test_the_check_of_boxes_sees_what_is_wrong(browser: Browser, tmp_path: Path) -> None:
    """A page that runs over, with small buttons side by side, is not let through."""
    page = tmp_path / "bad.html"
    page.write_text(
        '<html><body><h1 style="width:900px;margin-top:700px">x</h1><div class="keys"><button class="key">a</button>'
        '<button class="key">b</button></div><img src="x.png"></body></html>',
        "utf-8",
    )
    told = "\n".join(looked_at(browser, page, (SMALL,), is_tree=True, axe=True))
    for what in ("px wide", "a button of", "the first screen", "too close", "image-alt", "html-has-lang"):
        assert what in told


BELOW = """
const shown = [...document.querySelectorAll('h1, h2, p, label, button, input:not(.hid), textarea')].filter(e => e.offsetParent && e.textContent + e.tagName !== 'P');
const box = e => e.getBoundingClientRect();
return [...document.querySelectorAll('input:not(.hid), textarea')].filter(e => e.offsetParent).map(e => Math.min(
    ...shown.map(o => box(o).top - box(e).bottom).filter(gap => gap > -1)));
"""


def test_nothing_touches_a_field(browser: Browser, demo_pages: Path) -> None:
    """What stands below a place to write is told apart from it: 8 px of white (a guess by eye)."""
    browser.size(USUAL)
    for page, fields in (("own/index.html", 3), ("own/004.html", 3), ("any/index.html", 1), ("own.html", 3)):
        browser.open(demo_pages / page)
        gaps = browser.run(BELOW)
        assert len(gaps) == fields and min(gaps) >= 8, (page, gaps)


def test_nothing_is_asked_of_anybody(browser: Browser, demo_pages: Path, hostile_pages: Path) -> None:
    browser.requested()
    pages = [demo_pages / "own" / "004.html", demo_pages / "own.html", demo_pages / "any" / "index.html"]
    pages += [hostile_pages / "own" / "(1).html", hostile_pages / "any" / "index.html"]
    for page in pages:
        browser.open(page)
        browser.run("document.querySelectorAll('img').forEach(i => { i.loading = 'eager'; i.scrollIntoView(); })")
        assert not browser.run("return document.cookie")
    asked = [
        url for url in browser.requested() if not url.startswith(("about:", "data:"))
    ]  # data: the browser's own icons
    homes = (f"file://{demo_pages}", f"file://{hostile_pages}")
    assert len(asked) >= len(pages) and any("/photos/" in url for url in asked)
    assert not [url for url in asked if not url.startswith(homes)]


def test_hostile_words_stay_words(browser: Browser, hostile_pages: Path) -> None:
    """Every name, note, place and file name of that garden tries to break out; all of it is text."""
    for page in [
        *trees_in(hostile_pages / "own"),
        hostile_pages / "own" / "index.html",
        hostile_pages / "own.html",
        hostile_pages / "any.html",
    ]:
        browser.open(page)
        seen = browser.run(
            "return [window.broken || 0, document.querySelectorAll('script').length, document.querySelectorAll('[onerror], [onfocus], [onmouseover], [autofocus]').length,"
            " [...document.querySelectorAll('img')].filter(i => !/^(photos\\/[0-9a-f]{20}-\\d+x\\d+\\.jpg|data:image\\/jpeg;base64,[A-Za-z0-9+\\/=]+)$/.test(i.getAttribute('src'))).length,"
            " [...document.querySelectorAll('a')].filter(a => /^javascript/i.test(a.href)).length]"
        )
        assert seen == [0, int("year" not in page.name), 0, 0, 0] or page.name == "year.html", page.name
    browser.open(hostile_pages / "own" / "50%25.html")
    text = browser.run("return document.body.textContent")
    assert (
        "{{ 7*7 }}{% raw %}{# x #}" in text
        and "</textarea></pre></style></title><img src=x onerror=window.broken=4>" in text
    )
    browser.open(hostile_pages / "own" / "index.html")
    assert "<script>window.broken=1</script>" in browser.run("return document.querySelector('h1').textContent")


def test_all_but_finding_and_writing_works_without_scripts(browser: Browser, demo_pages: Path) -> None:
    shown = "return [...document.querySelectorAll(arguments[0])].filter(e => e.offsetParent !== null).length"
    browser.scripts(False)
    browser.open(demo_pages / "own" / "004.html")
    assert "wire off 1, 2, 3" in browser.driver.find_element("css selector", "main").text
    browser.open(demo_pages / "own.html")
    browser.scripts(True)
    end = time.monotonic() + 10  # laid out when the machine has time for it
    while browser.run(shown, "article.tree") != 12 and time.monotonic() < end:
        time.sleep(0.1)
    assert browser.run(shown, "article.tree") == 12 and browser.run(shown, "button, input") == 0
    assert browser.run(shown, "article .year svg") == 11


def test_a_tree_is_found(browser: Browser, demo_pages: Path) -> None:
    """By number, with or without its zeros, by name and by species; in one file the number opens it."""
    browser.open(demo_pages / "any" / "index.html")
    field = browser.driver.find_element("css selector", "[data-find]")
    for typed, tags in (("4", ["004"]), ("slow", ["004"]), ("pinus", ["001", "008"]), ("nothing", [])):
        field.clear()
        field.send_keys(typed)
        found = browser.run(
            "return [...document.querySelectorAll('[data-words]')].filter(e => e.offsetParent).map(e => e.querySelector('b').textContent)"
        )
        assert sorted(found) == tags
    browser.open(demo_pages / "own.html")
    browser.driver.find_element("css selector", "[data-find]").send_keys("4\n")
    assert browser.run("return [location.hash, document.title]") == [
        "#004",
        "004 Slow Water: wire on 1 to 3, off by 24 August",
    ]
    assert (
        browser.run("return [...document.querySelectorAll('article.tree')].filter(e => e.offsetParent).length") == 1
    )
