"""Facts to HTML: the templates, with everything escaped, and a policy that lets a page ask nobody for anything."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Callable, Sequence
from datetime import date
from functools import cache, lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from ..collection.dates import MONTHS, day_told
from ..escapes import page as escaped
from ..paper import words as paper_words
from ..values import dataclass
from . import typed_back
from . import words as own_words
from .facts import TreeFacts
from .garden_year import YearFacts
from .marks import Readers, marked
from .pictures import span_told

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

FOLDER = Path(__file__).with_name("templates")
_BARE = re.compile(r'\b(say|paper)\(("[^"]*")\)')  # a line without values, in a template
_TOLD = re.compile(r'\btold\("([^"]+)"')  # a line that a script tells
_QUOTED = re.compile(r'("(?:[^"\\\n]|\\.)*")')
_ENDS = re.compile(r"(?<=[;{,])\n|\n(?=})")
_AROUND = re.compile(r" ?([=+*<>!&|?:;,(){}\[\]]+) ?")


@dataclass(frozen=True, slots=True)
class Row:
    """A tree in a list of an index: where its page is, what it is called, what is due; `words` are those it is found by."""

    tag: str
    name: str
    href: str
    what: str = ""
    when: str = ""
    species: str = ""
    words: str = ""


Lists = Sequence[tuple[str, Sequence[Row]]]


@dataclass(frozen=True, slots=True)
class Front:
    """What an index lists: what is due by when, and all trees by where they stand or in one list."""

    title: str
    groups: Lists
    places: Lists


def tree_page(facts: TreeFacts, up: str, made: date) -> str:
    """The page of one tree; `up` is the index."""
    script = _script("notes") if facts.keeper else ""
    return _page("tree.html", facts.keeper is not None, script, t=facts, up=up, made=made)


def left_page(tag: str, when: str, *, own: bool) -> str:
    """The page of a tree that has left, which says no more than that."""
    return _page("left.html", own, "", tag=tag, when=when)


def index_page(front: Front, year: str, made: date, *, own: bool) -> str:
    """The index of a folder of pages."""
    script = _script("find", "notes") if own else _script("find")
    return _page(
        "index.html",
        own,
        script,
        many=True,
        title=front.title,
        groups=front.groups,
        places=front.places,
        year=year,
        made=made,
    )


def year_page(year: YearFacts, title: str, up: str, made: date, *, own: bool) -> str:
    """The year of all trees, drawn and told."""
    return _page(
        "year.html",
        own,
        "",
        many=True,
        title=title,
        svg=year.svg,
        rows=year.rows,
        first=year.first,
        last=year.last,
        span=span_told(year.first, year.last),
        up=up,
        made=made,
    )


def one_page(
    front: Front, trees: Sequence[TreeFacts], left: Sequence[tuple[str, str]], made: date, *, own: bool
) -> str:
    """The whole garden in one file."""
    script = _script("find", "one", "notes") if own else _script("find", "one")
    return _page(
        "one.html",
        own,
        script,
        many=True,
        pictures="data:",
        title=front.title,
        groups=front.groups,
        places=front.places,
        trees=trees,
        left=left,
        made=made,
    )


def lead_page(to: str, *, own: bool) -> str:
    """A page that leads on to another one."""
    return _page("lead.html", own, "", to=to)


def _page(
    template: str, own: bool, script: str, *, many: bool = False, pictures: str = "'self'", **values: object
) -> str:
    from markupsafe import Markup

    css = _style("page", "many") if many else _style("page")
    body = (
        _environment()
        .get_template(template)
        .render(
            css=Markup(css), policy=Markup(_policy(css, script, pictures)), script=Markup(script), own=own, **values
        )
    )
    return marked(body, Readers.KEEPER if own else Readers.ANYBODY)


def _policy(css: str, script: str, pictures: str) -> str:
    """Nothing from anywhere but pictures, beside the page or within it; the one style and the one script are named by what they hold."""
    scripts = f"; script-src '{_hash(script)}'" if script else ""
    return f"default-src 'none'; img-src {pictures}; style-src '{_hash(css)}'{scripts}; base-uri 'none'; form-action 'none'"


@cache
def _hash(text: str) -> str:
    return f"sha256-{base64.b64encode(sha256(text.encode()).digest()).decode()}"


@cache
def _script(*names: str) -> str:
    """These scripts, behind the lines that they tell."""
    scripts = "".join(_text(f"{name}.js") for name in names)
    lines = {name: own_words.WORDS[name] for name in sorted(set(_TOLD.findall(scripts)))}
    words = json.dumps(lines, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
    return f"const WORDS={words};\n{_squeezed(_text('words.js') + scripts)}" if lines else _squeezed(scripts)


def _squeezed(script: str) -> str:
    """A script without the white round its signs, nor line ends that part nothing; what stands in quotes stays."""
    parts = _QUOTED.split(script)
    bare = "".join(part if n % 2 else _AROUND.sub(r"\1", part) for n, part in enumerate(parts))
    return _ENDS.sub("", bare)


@cache
def _style(*names: str) -> str:
    return "".join(_text(f"{name}.css") for name in names).replace("\n", "")


@cache
def _text(name: str) -> str:
    """A style or a script without the white at the beginning of its lines."""
    return "".join(row.lstrip() for row in (FOLDER / name).read_text("utf-8").splitlines(keepends=True))


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    made = Environment(
        loader=FunctionLoader(lambda name: _BARE.sub(_once, (FOLDER / name).read_text("utf-8"))),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        auto_reload=False,
    )
    say, paper = _said(own_words), _said(paper_words)
    made.filters.update(told=day_told, short=_short, dated=_dated, near=_near, made=_made)
    made.filters.update(say=say, paper=paper)
    made.globals.update(say=say, paper=paper, typed=typed_back, language=own_words.LANGUAGE)
    return made


def _once(line: re.Match[str]) -> str:
    """A line without values as a filter of a constant, which jinja works out when it reads the template."""
    return f"({line[2]}|{line[1]})"


class Catalogue(Protocol):
    """Lines by name."""

    WORDS: dict[str, str]


def _said(catalogue: Catalogue) -> Callable[..., Markup]:
    """How a template says a line: all of it is escaped, but values that are markup stay so."""
    from markupsafe import Markup

    def inside(value: object) -> str:
        return value if isinstance(value, Markup) else escaped(str(value))

    def said(line: str, **values: object) -> Markup:
        text = _plain(catalogue.WORDS[line])
        return Markup(text.format_map({name: inside(value) for name, value in values.items()}))

    return said


@lru_cache(maxsize=512)
def _plain(text: str) -> str:
    return escaped(text)


def _made(day: date) -> Markup:
    """The day a page was made, which its checksum leaves out."""
    from markupsafe import Markup

    return Markup(f'<time class="made" datetime="{day.isoformat()}">{day_told(day)}</time>')


def _time(day: date, told: str) -> Markup:
    from markupsafe import Markup

    return Markup(f'<time datetime="{day.isoformat()}">{told}</time>')


@lru_cache(maxsize=4096)
def _short(day: date) -> Markup:
    """A day of the drawn year, which says in its title which year it is."""
    return _time(day, f"{day.day} {MONTHS[day.month - 1]}")


@lru_cache(maxsize=4096)
def _dated(day: date) -> Markup:
    return _time(day, day_told(day))


def _near(day: date, first: date, last: date) -> Markup:
    """A day with its year where it lies outside of these."""
    return _short(day) if first <= day <= last else _dated(day)
