"""Facts to HTML: the templates, with everything escaped, and a policy that lets a page ask nobody for anything."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from datetime import date
from functools import cache, lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from ..collection.dates import MONTHS, day_told
from ..values import dataclass
from .facts import TreeFacts
from .garden_year import YearFacts
from .marks import Readers, marked
from .pictures import span_told

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

FOLDER = Path(__file__).with_name("templates")


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
    return _page("index.html", own, script, **_of(front), year=year, made=made)


def year_page(year: YearFacts, title: str, up: str, made: date, *, own: bool) -> str:
    """The year of all trees, drawn and told."""
    return _page(
        "year.html",
        own,
        "",
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
    return _page("one.html", own, script, **_of(front), trees=trees, left=left, made=made)


def lead_page(to: str, *, own: bool) -> str:
    """A page that leads on to another one."""
    return _page("lead.html", own, "", to=to)


def _of(front: Front) -> dict[str, object]:
    return {"title": front.title, "groups": front.groups, "places": front.places}


def _page(template: str, own: bool, script: str, **values: object) -> str:
    from markupsafe import Markup

    css = _text("page.css")
    body = (
        _environment()
        .get_template(template)
        .render(css=Markup(css), policy=_policy(css, script), script=Markup(script), own=own, **values)
    )
    return marked(body, Readers.KEEPER if own else Readers.ANYBODY)


def _policy(css: str, script: str) -> str:
    """Nothing from anywhere but pictures beside the page; the one style and the one script are named by what they hold."""
    scripts = f"; script-src '{_hash(script)}'" if script else ""
    return (
        f"default-src 'none'; img-src 'self'; style-src '{_hash(css)}'{scripts}; base-uri 'none'; form-action 'none'"
    )


@cache
def _hash(text: str) -> str:
    return f"sha256-{base64.b64encode(sha256(text.encode()).digest()).decode()}"


@cache
def _script(*names: str) -> str:
    return "".join(_text(f"{name}.js") for name in names)


@cache
def _text(name: str) -> str:
    """A style or a script without the white at the beginning of its lines."""
    return "".join(row.lstrip() for row in (FOLDER / name).read_text("utf-8").splitlines(keepends=True))


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    made = Environment(
        loader=FileSystemLoader(FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        auto_reload=False,
    )
    made.filters.update(told=day_told, short=_short, dated=_dated, near=_near)
    return made


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
