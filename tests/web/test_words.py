"""One catalogue of the pages' own words: no word stands outside, each line is used, and a longer language fits every page."""

from __future__ import annotations

import ast
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from logbook.horticulture.loader import shipped_knowledge
from logbook.paper import words as paper_catalogue
from logbook.web import render, typed_back
from logbook.web import words as catalogue

from ..conftest import DEMO
from ..paper.gardens import stress
from ..paper.test_words import LETTERS, SENTENCE, called, longer, patterns, read
from .browser import SMALL, USUAL, WIDE, Browser
from .conftest import made, pages_of
from .gardens import on_disk
from .test_in_a_browser import looked_at, trees_in

WEB = Path(catalogue.__file__).parent
TEMPLATES = {path.name: path.read_text("utf-8") for path in sorted(render.FOLDER.glob("*.html"))}
SCRIPTS = {path.name: path.read_text("utf-8") for path in sorted(render.FOLDER.glob("*.js"))}
SEEN = (
    "alt",
    "aria-description",
    "aria-label",
    "aria-roledescription",
    "label",
    "placeholder",
    "title",
)  # attributes
# what a template hands to its parts: classes, elements, slots, addresses, kinds of fields
NAMES = {
    "",
    " ",
    ", ",
    " · ",
    ": ",
    "#",
    "h1",
    "h2",
    "act",
    "two",
    "four",
    "vigour",
    "parts.html",
    "search",
    "text",
    "numeric",
}
# what a script keeps, names and hands in: notes are read by their grammar, in every language alike
KEPT = {
    "use strict",
    "benchleaf lines ",
    "tree ",
    "photo ",
    "photo photos/",
    " saved",
    " day",
    " probe",
    "text/plain",
    "aria-pressed",
    "article.tree",
}


def modules() -> list[Path]:
    """All that says something on a page; marks are read by programs, and what can't be written is told on a terminal."""
    return [
        path
        for path in sorted(WEB.glob("*.py"))
        if path.name not in ("words.py", "typed_back.py", "marks.py", "folder.py")
    ]


def said_by(name: str) -> set[str]:
    """The lines that a function is asked for in the modules, as patterns."""
    found = (node for path in modules() for node in ast.walk(ast.parse(path.read_text("utf-8"))))
    return {one for node in found if called(node) == name for one in patterns(node.args[0])}  # type: ignore[attr-defined]


# -- where words stand -------------------------------------------------------------------------------------------------


def test_no_word_stands_in_a_module() -> None:
    """By the same reading as paper's modules."""
    read_ones = [read(path) for path in modules()]
    assert sum(bool(one.free) for one in read_ones) >= 5
    for one in read_ones:
        for text in one.free:
            assert not SENTENCE.search(text) or text in catalogue.WORDS, (one.path.name, text)


class Shown(HTMLParser):
    """What a reader of a page would see of it: texts, but for commands, and what attributes say."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.inside: list[str] = []
        self.seen: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside.append(tag)
        self.seen += [value or "" for name, value in attrs if name in SEEN]

    def handle_endtag(self, tag: str) -> None:
        while self.inside and self.inside.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not self.inside or self.inside[-1] not in ("code", "style", "script"):
            self.seen.append(data)


def literal(template: str) -> tuple[list[str], list[str]]:
    """What stands in a template itself to be seen, and the texts within its expressions, names of lines left out."""
    tree = Environment().parse(template)
    said = {
        id(inner)
        for call in tree.find_all(nodes.Call)
        if isinstance(call.node, nodes.Name) and call.node.name in ("say", "paper")
        for inner in call.args[0].find_all(nodes.Const)
    } | {
        id(call.args[0])
        for call in tree.find_all(nodes.Call)
        if isinstance(call.node, nodes.Name) and call.node.name in ("say", "paper")
    }
    whole = "".join(
        part.data if isinstance(part, nodes.TemplateData) else "\0"
        for output in tree.find_all(nodes.Output)
        for part in output.nodes
    )
    texts = [one.value for one in tree.find_all(nodes.Const) if isinstance(one.value, str) and id(one) not in said]
    return Shown(whole).seen, texts


def named_in(template: str, function: str) -> Iterator[str]:
    """The lines that a template asks for."""
    for call in Environment().parse(template).find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name == function:
            first = call.args[0]
            for one in (first, *first.find_all(nodes.Const)):
                if isinstance(one, nodes.Const):
                    yield str(one.value)


@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_no_word_stands_in_a_template(name: str) -> None:
    seen, texts = literal(TEMPLATES[name])
    assert not [text for text in seen if LETTERS.search(text)]
    markup = [text for text in texts if text not in NAMES]
    assert not [text for text in markup if LETTERS.search("".join(Shown(text).seen))]


def test_the_reading_of_templates_sees_a_word() -> None:
    bad = '<p title="Nine"><b>One {{ x }}</b> {% if x %}two{% endif %}{{ key("Three") }}{{ say("four") }}</p><code>five</code>'
    seen, texts = literal(bad)
    assert [text for text in seen if LETTERS.search(text)] == ["Nine", "One \0", " two\0\0"]
    assert texts == ["Three"]


def test_no_word_stands_in_a_script() -> None:
    """Whatever is set as a text comes out of the catalogue; other texts name elements and what is kept, or are notes."""
    assert len(SCRIPTS) == 4 and not [name for name, script in SCRIPTS.items() if "//" in script]
    for name, script in SCRIPTS.items():
        bare = re.sub(r"/\*.*?\*/", "", script, flags=re.DOTALL)
        for text in re.findall(r'"((?:[^"\\]|\\.)*)"', bare):
            assert not SENTENCE.search(text) or text in KEPT or text in catalogue.WORDS or "[" in text, (name, text)
        for shown in re.findall(r"(?:textContent =|(?<!function )\bsaid\(|(?<!function )handedIn\()([^;]*);", bare):
            for text in re.findall(r'"([^"]*)"', re.sub(r'\btold\("[^"]+"', "told(", shown)):
                assert not LETTERS.search(text), (name, shown)
        assert "innerHTML" not in bare and "alert(" not in bare and "document.write" not in bare


def test_every_line_is_said_and_every_said_line_is_there() -> None:
    own, paper = said_by("say"), said_by("say_on_paper")
    own |= {"garden", "tree year"}  # titles, which the verb gives
    for template in TEMPLATES.values():
        own |= set(map(re.escape, named_in(template, "say")))
        paper |= set(map(re.escape, named_in(template, "paper")))
    for script in SCRIPTS.values():
        own |= {re.escape(name) for name in re.findall(r'\btold\("([^"]+)"', script)}
    for lines, said in ((catalogue.WORDS, own), (paper_catalogue.WORDS, paper)):
        for one in said:
            assert any(re.fullmatch(one, name) for name in lines), f"there is no line '{one}'"
    for name in catalogue.WORDS:
        assert any(re.fullmatch(one, name) for one in own), f"no page says '{name}'"


def test_what_is_typed_back_is_no_line() -> None:
    """The grammar reads it, so it stays in every language."""
    words = set(shipped_knowledge().works) | {typed_back.LOOKED, typed_back.VIGOUR, *typed_back.SCORES}
    with spoken(longer):
        assert typed_back.LOOKED in words and typed_back.DONE == "done: " and typed_back.VIGOUR == "vigour"


# -- a longer language -------------------------------------------------------------------------------------------------


@contextmanager
def spoken(change: Callable[[str], str]) -> Iterator[None]:
    """Let pages, and what paper says on them, speak another language."""
    with pytest.MonkeyPatch.context() as patch:
        for one in (catalogue, paper_catalogue):
            patch.setattr(one, "WORDS", {name: change(text) for name, text in one.WORDS.items()})
        render._script.cache_clear()
        render._environment.cache_clear()
        yield
    render._script.cache_clear()
    render._environment.cache_clear()


def test_a_line_is_escaped_whatever_it_says(tmp_path: Path) -> None:
    """A language of signs that mean something to a page, a script, or a place for a value."""
    shutil.copytree(DEMO, tmp_path / "garden")
    with spoken(lambda text: f"</script><b>&amp;'\"{text}"):
        pages = pages_of(tmp_path / "garden", tmp_path)
    for path in (*pages.glob("*/[0-9i]*.html"), pages / "own.html"):
        text = path.read_text("utf-8")
        assert (
            "</script><b>" not in text
            and text.count("</script>") <= 1
            and "&lt;/script&gt;&lt;b&gt;&amp;amp;" in text
        )


@pytest.fixture(scope="module")
def longer_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo, and three heavy trees, in a language that is 35 % longer."""
    folder = tmp_path_factory.mktemp("longer")
    shutil.copytree(DEMO, folder / "garden")
    with spoken(longer):
        pages_of(folder / "garden", folder)
        made(on_disk(folder / "heavy", [stress()[n - 1] for n in (5, 15, 35)]), "--own", "-o", folder / "heavy-own")
    return folder


def test_a_longer_language_reaches_the_pages(longer_pages: Path, demo_pages: Path) -> None:
    """Each text of a page that is a line of the catalogue is that line in the longer language; what is typed back is as it was."""
    lines = {text for text in catalogue.WORDS.values() if "{" not in text}
    found: set[str] = set()
    for name in ("own/004.html", "own/index.html", "own/year.html", "any/012.html", "any/trees/004.yaml/index.html"):
        short, long = (
            {text.strip() for text in Shown((folder / name).read_text("utf-8")).seen}
            for folder in (demo_pages, longer_pages)
        )
        mine = short & lines
        assert not mine & long and {longer(text) for text in mine} <= long
        found |= mine
    assert len(found) > 30
    text = (longer_pages / "own" / "004.html").read_text("utf-8")
    assert 'lang="en"' in text and "wireéñ oné 1 toé 3, offéñ byé 24 August" in text
    for line in ("looked", "vigour 4", "cleaning sprays"):
        assert f'data-line="{line}"' in text


@pytest.mark.long
def test_a_longer_language_fits_a_sample(browser: Browser, longer_pages: Path) -> None:
    """All of them are the soak's: nothing runs over, the first screen holds what it must."""
    wrong = []
    for name in ("001", "004", "007"):
        page = longer_pages / "own" / f"{name}.html"
        wrong += looked_at(browser, page, (SMALL, USUAL, WIDE), is_tree=True, axe=False)
    wrong += looked_at(browser, longer_pages / "heavy-own" / "035.html", (SMALL, USUAL), is_tree=True, axe=False)
    for page in (longer_pages / "own" / "index.html", longer_pages / "any" / "004.html", longer_pages / "own.html"):
        wrong += looked_at(browser, page, (SMALL, WIDE), is_tree=False, axe=False)
    assert not wrong, "\n".join(wrong)


@pytest.mark.soak
@pytest.mark.parametrize("readers", ["own", "any", "heavy-own"])
def test_a_longer_language_fits_every_page(browser: Browser, longer_pages: Path, readers: str) -> None:
    folder = longer_pages / readers
    ended = longer_pages / readers / "012.html"
    wrong = []
    for page in (*trees_in(folder), folder / "index.html", folder / "year.html", longer_pages / f"{readers}.html"):
        if page.exists():
            is_tree = page in trees_in(folder) and page != ended
            wrong += looked_at(browser, page, (SMALL, USUAL, WIDE), is_tree=is_tree, axe=True)
    assert not wrong, "\n".join(wrong)
