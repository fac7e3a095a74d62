"""Where a tree's page lies, so that the code on its pot leads there: file names made of the collection's link."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from urllib.parse import unquote

from ..collection.model import Settings, Tree
from ..escapes import linked
from ..values import dataclass

USUAL = "{tag}.html"
PAGE = (".html", ".htm")
INDEX = "index.html"


@dataclass(frozen=True, slots=True)
class Names:
    """The file of each tree's page by tag, and of the page that only leads on to it; the index and the year."""

    pages: Mapping[str, str]
    leads: Mapping[str, str]
    index: str
    year: str


def names_for(settings: Settings, trees: Iterable[Tree]) -> Names:
    """Pages are named as the link's last part where that is a page's name, else by their tag, and the link's path leads on to them."""
    behind = behind_the_folder(settings.link)
    flat = behind if "{tag}" in behind and "/" not in behind and behind.lower().endswith(PAGE) else ""
    pages = {tree.tag: _named(flat or USUAL, tree) for tree in trees}
    leads = {} if flat or not behind else {tree.tag: _lead(_named(behind, tree)) for tree in trees}
    taken = {name.casefold() for name in (*pages.values(), *(lead.split("/")[0] for lead in leads.values()))}
    return Names(pages, leads, _free(INDEX, taken), _free("year.html", taken))


def behind_the_folder(link: str) -> str:
    """The part of a link that names a tree, from the folder on in which all of them lie; empty where a query or a fragment names it."""
    path = link.split("#")[0].split("?")[0]
    places = [at for at in (path.find("{tag}"), path.find("{file}")) if at >= 0]
    return unquote(path[path.rfind("/", 0, min(places)) + 1 :]) if places and "/" in path else ""


def href(path: str) -> str:
    """A path as a link writes it."""
    return linked("{file}", {"file": path})


def _named(form: str, tree: Tree) -> str:
    return form.replace("{file}", tree.path).replace("{tag}", tree.tag)


def _lead(path: str) -> str:
    """A path that is no page's name is a folder with a page in it, which every plain server shows."""
    return path if path.lower().endswith(PAGE) else f"{path.rstrip('/')}/{INDEX}"


def _free(name: str, taken: Collection[str]) -> str:
    """The name, or the next one that no tree's page has."""
    stem = name.removesuffix(".html")
    numbered = (f"{stem}-{n}.html" for n in range(2, len(taken) + 3))
    return name if name not in taken else next(one for one in numbered if one not in taken)
