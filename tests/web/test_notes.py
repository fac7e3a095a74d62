"""What is ticked and written on a page comes back through `reconcile`: as typed, once, several trees in one walk, and nothing twice."""

from __future__ import annotations

import json
import shutil
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
import yaml

from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar
from logbook.intake.grammar.lines import read_notes
from logbook.planning.planner import plan_tree
from logbook.storage.printed import Ledger
from logbook.web.facts import line_of

from ..conftest import DEMO, TODAY, Answer, garden_at, snapshot
from ..paper.gardens import generated, stress
from .browser import Browser
from .gardens import photo

TYPED = "moss gone yellow; <b>\"north\" & 'south'</b> — é 夕霧, 3 % </textarea>"


def touch(browser: Browser, words: str, tag: str = "") -> None:
    """Touch the first button that is shown and says this; a label, where it is one."""
    inside = f"article[id='{tag}'] " if tag else ""
    keys = browser.driver.find_elements("css selector", f"{inside}.key")
    found = next(key for key in keys if key.is_displayed() and key.text.replace("\n", " ").startswith(words))
    browser.run(
        "arguments[0].scrollIntoView({block: 'center'})", found
    )  # what waits stands over the foot of the screen
    found.click()


def lines_on(browser: Browser) -> str:
    return str(browser.run("return document.querySelector('[data-lines]').value"))


def write(browser: Browser, text: str) -> None:
    touch(browser, "WRITE A LINE")
    field = browser.driver.switch_to.active_element
    assert field.get_attribute("data-text") is not None, "one touch leads to the place to write"
    browser.tell("Input.insertText", text=text)
    touch(browser, "KEEP THE LINE")


def set_day(browser: Browser, day: str) -> None:
    browser.run(
        "const d = document.querySelector('[data-day]'); d.value = arguments[0]; d.dispatchEvent(new Event('change', {bubbles: true}))",
        day,
    )


def saved(browser: Browser) -> Path:
    for _ in range(100):
        found = [path for path in browser.downloads.iterdir() if path.suffix == ".txt"]
        if found:
            return browser.downloaded(found[0].name)
        time.sleep(0.05)
    raise AssertionError("nothing was saved")


@pytest.fixture
def clean(browser: Browser, demo_pages: Path) -> Browser:
    for path in browser.downloads.iterdir():
        path.unlink()
    browser.open(demo_pages / "own" / "index.html")
    browser.forget()
    return browser


def test_a_walk_comes_back(clean: Browser, demo_pages: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """Two trees; one touch for the first job, one for a look, one for a score; a line as it was typed, to the byte."""
    clean.open(demo_pages / "own" / "004.html")
    set_day(clean, "2026-11-24")
    touch(clean, "DONE")
    touch(clean, "4 ")
    write(clean, TYPED)
    clean.open(demo_pages / "own" / "001.html")
    touch(clean, "LOOKED, WELL")
    clean.open(demo_pages / "own" / "index.html")
    touch(clean, "SAVE")
    path = saved(clean)
    head, tail = "tree 004\n2026-11-24 cleaning sprays\n2026-11-24 vigour 4\n", "tree 001\n2026-11-24 looked\n"
    assert path.read_bytes() == f"{head}2026-11-24 {TYPED}\n{tail}".encode()
    folder = tmp_path / "garden"
    shutil.copytree(DEMO, folder)
    told = bench("reconcile", path, "--yes", "--today", TODAY, folder=folder)
    assert told.code == 0, told.all
    log = yaml.safe_load((folder / "trees" / "004.yaml").read_text("utf-8"))["log"]
    assert [{k: v for k, v in entry.items() if k != "date"} for entry in log[-3:]] == [
        {"work": "cleaning sprays"},
        {"vigour": 4},
        {"note": TYPED},
    ]
    assert (next((folder / "notes").glob("*.txt"))).read_bytes() == path.read_bytes()
    before = snapshot(folder / "trees")
    again = bench("reconcile", path, "--yes", "--today", TODAY, folder=folder)
    assert again.code == 0 and snapshot(folder / "trees") == before


def test_a_touch_too_many_does_nothing(clean: Browser, demo_pages: Path) -> None:
    """Twice the same is once; another score takes the place of the first; the last is taken back."""
    clean.open(demo_pages / "own" / "004.html")
    set_day(clean, "2026-11-24")
    for words in ("DONE", "DONE", "2 ", "4 "):
        touch(clean, words)
    assert lines_on(clean) == "tree 004\n2026-11-24 cleaning sprays\n2026-11-24 vigour 4\n"
    pressed = "return [...document.querySelectorAll('[aria-pressed=true]')].map(e => e.dataset.line)"
    assert clean.run(pressed) == ["cleaning sprays", "vigour 4"]
    touch(clean, "TAKE BACK THE LAST")
    assert lines_on(clean) == "tree 004\n2026-11-24 cleaning sprays\n" and clean.run(pressed) == ["cleaning sprays"]
    clean.open(demo_pages / "own" / "004.html")
    assert clean.run("return document.querySelector('[data-day]').value") == "2026-11-24", "a day is set once"
    assert clean.run(pressed) == ["cleaning sprays"]


def test_what_was_saved_can_be_brought_back(clean: Browser, demo_pages: Path) -> None:
    clean.open(demo_pages / "own" / "004.html")
    touch(clean, "LOOKED")
    text = lines_on(clean)
    touch(clean, "SAVE")
    assert saved(clean).read_text("utf-8") == text and lines_on(clean) == ""
    touch(clean, "BRING BACK")
    assert lines_on(clean) == text


def test_one_file_from_the_disk(clean: Browser, demo_pages: Path) -> None:
    """Opened from disk, two trees by their number; all ticks come back as lines."""
    clean.open(demo_pages / "own.html")
    set_day(clean, "2026-11-24")
    for tag, words in (("004", "DONE"), ("001", "5 ")):
        field = clean.driver.find_element("css selector", "[data-find]")
        field.clear()
        field.send_keys(f"{tag}\n")
        touch(clean, words, tag)
    assert lines_on(clean) == "tree 004\n2026-11-24 cleaning sprays\ntree 001\n2026-11-24 vigour 5\n"


def test_a_browser_that_keeps_nothing_says_so(clean: Browser, demo_pages: Path) -> None:
    """At once, where one looks; the lines stand there to be copied."""
    no_store = "Storage.prototype.setItem = function () { throw new DOMException('full', 'QuotaExceededError') }"
    added = clean.tell("Page.addScriptToEvaluateOnNewDocument", source=no_store)
    try:
        clean.open(demo_pages / "own" / "004.html")
        told = clean.driver.find_element("css selector", "[data-said]")
        assert "keeps nothing" in told.text and told.location["y"] < 568
        set_day(clean, "2026-11-24")
        touch(clean, "LOOKED")
        assert lines_on(clean) == "tree 004\n2026-11-24 looked\n"
        assert "keeps nothing" in clean.driver.find_element("css selector", "[data-kept]").text
    finally:
        clean.tell("Page.removeScriptToEvaluateOnNewDocument", identifier=added["identifier"])


def test_a_photograph_gets_its_name_and_its_line(clean: Browser, demo_pages: Path, tmp_path: Path) -> None:
    clean.open(demo_pages / "own" / "004.html")
    set_day(clean, "2026-11-24")
    (tmp_path / "IMG_1.JPG").write_bytes(b"picture")
    for _ in range(2):
        clean.driver.find_element("css selector", "[data-photo]").send_keys(str(tmp_path / "IMG_1.JPG"))
    assert (
        lines_on(clean)
        == "tree 004\n2026-11-24 photo photos/004-2026-11-24.jpg\n2026-11-24 photo photos/004-2026-11-24-2.jpg\n"
    )
    for name in ("004-2026-11-24.jpg", "004-2026-11-24-2.jpg"):
        assert clean.downloaded(name).read_bytes() == b"picture"


def test_what_the_photo_button_hands_back_is_understood(
    clean: Browser, demo_pages: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    """By its name: `photos` files it under its tree and day. By its line: `reconcile` logs it, and once it lies in photos/ nothing is amiss."""
    clean.open(demo_pages / "own" / "004.html")
    set_day(clean, "2026-11-24")
    (tmp_path / "IMG_1.JPG").write_bytes(photo("SECRET", (800, 600)))
    clean.driver.find_element("css selector", "[data-photo]").send_keys(str(tmp_path / "IMG_1.JPG"))
    (tmp_path / "notes.txt").write_text(lines_on(clean), encoding="utf-8")
    picture, name = clean.downloaded("004-2026-11-24.jpg"), "photos/004-2026-11-24.jpg"
    for way in ("name", "line"):
        shutil.copytree(DEMO, tmp_path / way)
    filed = bench("photos", picture, "--yes", "--json", "--today", TODAY, folder=tmp_path / "name")
    (found,) = json.loads(filed.out)["photos"]
    assert (found["tag"], found["day"]) == ("004", "2026-11-24") and json.loads(filed.out)["filed"]
    assert b"SECRET" not in (tmp_path / "name" / found["photo"]).read_bytes()
    told = bench("reconcile", tmp_path / "notes.txt", "--yes", "--today", TODAY, folder=tmp_path / "line")
    assert told.code == 0, told.all
    log = yaml.safe_load((tmp_path / "line" / "trees" / "004.yaml").read_text("utf-8"))["log"]
    assert log[-1] == {"date": date(2026, 11, 24), "photo": name}
    (tmp_path / "line" / "photos").mkdir(exist_ok=True)
    shutil.copy(picture, tmp_path / "line" / name)
    for way in ("name", "line"):
        assert bench("check", "--today", TODAY, folder=tmp_path / way).code == 0
        made = bench("pages", "-o", tmp_path / f"pages-{way}", "--today", TODAY, folder=tmp_path / way)
        assert made.code == 0 and "24 Nov 2026" in (tmp_path / f"pages-{way}" / "004.html").read_text("utf-8")
        assert len(list((tmp_path / f"pages-{way}" / "photos").glob("*.jpg"))) == 1


def test_no_button_says_what_a_note_could_not() -> None:
    """Each job's line is read back as that job, its branches with it; words of a grower's own as that intention."""
    trees = [*stress(), *generated(150, 5)]
    garden, grammar, seen = garden_at(trees=trees), Grammar(shipped_knowledge(), Ledger()), set()
    for tree in trees:
        for job in plan_tree(tree, garden, date.fromisoformat(TODAY)).jobs:
            line = line_of(job)
            if not line or line in seen:
                assert line or ";" in job.own
                continue
            seen.add(line)
            (read,) = read_notes(f"tree {tree.tag}\n{TODAY} {line}\n", grammar)
            branches = {"branches": job.branches} if job.branches else {}
            assert list(map(dict, read.parts)) == [
                {"did": job.own} if job.record is None else {"work": job.work, **branches}
            ]
            assert not read.question and not read.fault
    assert len(seen) > 400


def test_the_lines_are_plain_json_of_nothing_but_what_was_touched(clean: Browser, demo_pages: Path) -> None:
    """What is kept in the browser is four words a line; damaged, it is none, and the page still works."""
    clean.open(demo_pages / "own" / "004.html")
    set_day(clean, "2026-11-24")
    touch(clean, "LOOKED")
    key = "return Object.keys(localStorage).find(k => /own\\/$/.test(k))"
    kept = json.loads(clean.run(f"return localStorage.getItem((() => {{ {key} }})())"))
    assert kept == [["004", "2026-11-24", "looked", "looked"]]
    clean.run(f"localStorage.setItem((() => {{ {key} }})(), '{{damaged')")
    clean.open(demo_pages / "own" / "004.html")
    touch(clean, "LOOKED")
    assert lines_on(clean).endswith(" looked\n")


def shown(browser: Browser, words: str) -> list[str]:
    """The buttons that are shown and begin so."""
    keys = browser.driver.find_elements("css selector", ".key")
    return [key.get_attribute("data-line") or "" for key in keys if key.is_displayed() and key.text.startswith(words)]


def test_what_waits_stands_at_the_foot_of_every_screen(clean: Browser, demo_pages: Path) -> None:
    """What was kept is seen at once, with a way back and a way on, wherever on the page it was touched; nothing covers a fresh page."""
    clean.open(demo_pages / "own" / "004.html")
    bar = clean.driver.find_element("css selector", "[data-bar]")
    assert not bar.is_displayed()
    set_day(clean, "2026-11-24")
    write(clean, "moss gone yellow")
    top = clean.run("return arguments[0].getBoundingClientRect().top", bar)
    assert bar.is_displayed() and top > 400 and "moss gone yellow" in bar.text and "to hand in: 1" in bar.text
    clean.open(demo_pages / "own" / "001.html")
    assert "to hand in: 1" in clean.driver.find_element("css selector", "[data-bar]").text
    clean.driver.find_element("css selector", "[data-waiting]").click()
    assert clean.driver.find_element("css selector", "[data-lines]").is_displayed()
    clean.driver.find_element("css selector", "[data-bar] [data-back]").click()
    assert lines_on(clean) == ""


def test_no_work_is_ticked_long_before_its_days(clean: Browser, demo_pages: Path) -> None:
    """A page stands for months, and a wet finger touches much: repotting is ticked from three weeks before it opens."""
    clean.open(demo_pages / "own" / "004.html")
    set_day(clean, "2026-11-24")
    assert shown(clean, "DONE")[0] == "cleaning sprays" and "repotting" not in shown(clean, "DONE")
    set_day(clean, "2027-03-06")
    assert "repotting" not in shown(clean, "DONE")
    set_day(clean, "2027-03-08")
    assert "repotting" in shown(clean, "DONE")


def test_a_line_half_typed_is_there_again(clean: Browser, demo_pages: Path) -> None:
    clean.open(demo_pages / "own" / "004.html")
    touch(clean, "WRITE A LINE")
    clean.tell("Input.insertText", text="wire bites on 2 and")
    clean.open(demo_pages / "own" / "001.html")
    typed = "return document.querySelector('[data-text]').value"
    assert clean.run(typed) == ""
    clean.open(demo_pages / "own" / "004.html")
    assert clean.run(typed) == "wire bites on 2 and"
    touch(clean, "KEEP THE LINE")
    clean.open(demo_pages / "own" / "004.html")
    assert clean.run(typed) == ""


def test_an_old_page_says_so(clean: Browser, demo_pages: Path, tmp_path: Path) -> None:
    page = demo_pages / "own" / "004.html"
    old = tmp_path / "004.html"
    old.write_text(page.read_text("utf-8").replace('data-good="2027-', 'data-good="2020-'), encoding="utf-8")
    clean.open(page)
    assert "make it anew" not in clean.driver.find_element("css selector", "[data-said]").text
    clean.open(old)
    assert "make it anew" in clean.driver.find_element("css selector", "[data-said]").text


def test_wire_says_what_its_day_is_worth(demo_pages: Path) -> None:
    for readers in ("own", "any"):
        page = (demo_pages / readers / "004.html").read_text("utf-8")
        bar = page[page.index('<p class="bar">') : page.index("</p>", page.index('<p class="bar">'))]
        assert "OFF BY" in bar and "sooner if it marks the bark" in bar
