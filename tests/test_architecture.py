"""How the house stands: which room may know which, and that no work, field or sentence is known in two places."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from logbook.horticulture.loader import shipped_knowledge

ROOT = Path(__file__).resolve().parent.parent / "logbook"
BASE = ("diagnostics", "escapes", "extras", "values")
# each room and the rooms it may import from
ARROWS: dict[str, tuple[str, ...]] = {
    "values": (),
    "escapes": (),
    "diagnostics": ("escapes", "values"),
    "extras": ("diagnostics",),
    "shipped": (),
    "storage": BASE,
    "collection": (*BASE, "storage"),
    "horticulture": (*BASE, "collection"),
    "formulas": (*BASE, "collection"),
    "season": (*BASE, "collection", "horticulture", "formulas"),
    "planning": (*BASE, "collection", "horticulture", "formulas", "season"),
    "photographs": (*BASE, "collection"),
    "camera": (*BASE, "storage", "collection", "photographs"),
    "paper": (*BASE, "storage", "collection", "horticulture", "formulas", "season", "planning", "shipped"),
    "web": (*BASE, "collection", "horticulture", "season", "planning", "paper"),
    "intake": (*BASE, "storage", "collection", "horticulture", "formulas", "season", "planning", "camera"),
}
ANYTHING = ("cli", "__main__", "__init__")
# libraries that a command should not wait for; they are imported where they are needed
HEAVY = {
    "PIL",
    "cv2",
    "ctypes",
    "difflib",
    "filelock",
    "fontTools",
    "fontpkg_ibm_plex_sans_condensed",
    "icalendar",
    "jinja2",
    "markupsafe",
    "noto_cjk_sans_jp_regular",
    "numpy",
    "pillow_heif",
    "pypdf",
    "pypdfium2",
    "resource",
    "qrcode",
    "reportlab",
    "stdnum",
    "tqdm",
    "zxingcpp",
}
WORDS = re.compile(r"[^\W\d_]{2,}[^\w]* [^\w]*[^\W\d_]{2,}")
SEARCHES = {"startswith", "endswith", "find", "rfind", "index", "count", "removeprefix", "removesuffix"}


def name_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts) or "__init__"


FILES = {name_of(path): path for path in sorted(ROOT.rglob("*.py")) if "_shipped" not in path.parts}


@cache
def trees() -> dict[str, ast.Module]:
    """Every module of the package, parsed."""
    return {name: ast.parse(path.read_text("utf-8"), str(path)) for name, path in FILES.items()}


@cache
def nodes(module: str) -> tuple[ast.AST, ...]:
    """Every node of a module, gathered once for all that look at them."""
    return tuple(ast.walk(trees()[module]))


@cache
def is_package(module: str) -> bool:
    return (ROOT / module.replace(".", "/")).is_dir() or module == "__init__"


def targets(module: str, node: ast.ImportFrom) -> list[str]:
    """The project's modules that an import names, as dotted paths below the package."""
    if not node.level:
        return []
    here = [] if module == "__init__" else module.split(".")
    up = node.level - 1 if is_package(module) else node.level
    base = [*here[: len(here) - up], *(node.module.split(".") if node.module else [])]
    whole = ".".join(base)
    found = [f"{whole}.{alias.name}".lstrip(".") for alias in node.names]
    return [one if one in trees() else whole for one in found if one in trees() or whole]


@cache
def typing_only(module: str) -> set[int]:
    """Imports that only a type checker runs."""
    guarded = (n for n in nodes(module) if isinstance(n, ast.If) and ast.unparse(n.test) == "TYPE_CHECKING")
    return {id(inner) for node in guarded for inner in ast.walk(node)}


@cache
def imports(module: str) -> list[tuple[ast.ImportFrom, str]]:
    skipped = typing_only(module)
    found = [n for n in nodes(module) if isinstance(n, ast.ImportFrom) and id(n) not in skipped]
    return [(node, target) for node in found for target in targets(module, node)]


def test_arrows() -> None:
    """No import goes back up."""
    wrong = []
    for module in trees():
        room = module.split(".")[0]
        for node, target in imports(module):
            other = target.split(".")[0]
            if room not in ANYTHING and other != room and other not in ARROWS[room]:
                wrong.append(f"{module}:{node.lineno} -> {target}")
    assert not wrong, "\n".join(wrong)


def test_every_room_is_known() -> None:
    rooms = {module.split(".")[0] for module in trees()}
    assert rooms <= {*ARROWS, *ANYTHING}, rooms - {*ARROWS, *ANYTHING}


def test_no_module_imports_itself_by_way_of_others() -> None:
    at_import = {m: {t for n, t in imports(m) if n in trees()[m].body and t != m} for m in trees()}
    done: set[str] = set()

    def walk(module: str, path: tuple[str, ...]) -> None:
        assert module not in path, " -> ".join((*path[path.index(module) :], module))
        if module in done:
            return
        for target in sorted(at_import.get(module, ())):
            walk(target, (*path, module))
        done.add(module)

    for module in trees():
        walk(module, ())


def test_imports_stand_at_the_top() -> None:
    """Inside functions only heavy libraries are imported; a verb may load its rooms late."""
    wrong = []
    for module, tree in trees().items():
        if module.split(".")[0] in ANYTHING:
            continue
        top, typed = {id(n) for n in tree.body}, typing_only(module)
        for node in nodes(module):
            if not isinstance(node, ast.Import | ast.ImportFrom) or id(node) in top | typed:
                continue
            library = (node.module or "") if isinstance(node, ast.ImportFrom) else node.names[0].name
            if (isinstance(node, ast.ImportFrom) and node.level) or library.split(".")[0] not in HEAVY:
                wrong.append(f"{module}:{node.lineno}")
    assert not wrong, "\n".join(wrong)


def docstrings(module: str) -> set[int]:
    places = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    bodies = (n.body for n in nodes(module) if isinstance(n, places) and n.body)
    return {id(b[0].value) for b in bodies if isinstance(b[0], ast.Expr) and isinstance(b[0].value, ast.Constant)}


def test_no_work_is_named_outside_its_rule() -> None:
    """A work is one record in works.yaml. A card of the printer's may have the name of what it is for."""
    works = set(shipped_knowledge().works)
    cards = {"wiring", "repotting"}
    wrong = []
    for module in trees():
        if module.startswith("planning.rules"):
            continue
        told = docstrings(module)
        for node in nodes(module):
            named = isinstance(node, ast.Constant) and node.value in works and id(node) not in told
            if named and not (module == "cli.cards" and node.value in cards):  # type: ignore[attr-defined]
                wrong.append(f"{module}:{node.lineno} {node.value!r}")  # type: ignore[attr-defined]
    assert not wrong, "\n".join(wrong)


def prose(node: ast.AST) -> bool:
    """Whether a constant, or one in a literal, is two words or more."""
    inner = node.elts if isinstance(node, ast.Tuple | ast.List | ast.Set) else [node]
    return any(isinstance(n, ast.Constant) and isinstance(n.value, str) and WORDS.search(n.value) for n in inner)


def test_nothing_is_decided_by_a_sentence() -> None:
    """Sentences are made at the edge; only the grammar of notes reads them."""
    wrong = []
    for module in trees():
        if module.startswith("intake.grammar"):
            continue
        for node in nodes(module):
            compared = isinstance(node, ast.Compare) and any(map(prose, [node.left, *node.comparators]))
            searched = (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr in SEARCHES
                and any(map(prose, node.args))
            )
            if compared or searched:
                wrong.append(f"{module}:{node.lineno} {ast.unparse(node)}")  # type: ignore[attr-defined]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("module", sorted(FILES))
def test_a_room_has_a_size_one_can_oversee(module: str) -> None:
    path = ROOT / (module.replace(".", "/") + ("/__init__.py" if is_package(module) else ".py"))
    path = ROOT / "__init__.py" if module == "__init__" else path
    assert len(path.read_text("utf-8").splitlines()) <= 400


# who may write to a standard stream by hand: the one place that prints, the guard round it, and the process that answers its parent
PRINTERS = ("cli.results", "__main__", "intake.pdf_form", "camera.apart")
# who may put a file on the disk by hand: the disk itself, what is given away, a strip or picture on its way, a report of a fault
WRITERS = (
    "storage.disk",
    "storage.outputs",
    "cli.reconcile_pictures",
    "cli.main",
    "cli.double_click",
    "cli.photos",
    "camera.apart",
    "web.folder",  # pages carry a mark of their own
    "__main__",
)


@cache
def calls(module: str) -> list[tuple[ast.Call, str]]:
    return [(node, ast.unparse(node.func)) for node in nodes(module) if isinstance(node, ast.Call)]


def test_nothing_reaches_a_screen_but_by_the_one_place_that_prints() -> None:
    """What is shown may come from a file that anybody wrote: `cli.results` takes out what steers a terminal."""
    raw = re.compile(r"print|sys\.(?:stdout|stderr)(?:\.buffer)?\.write(?:lines)?|pprint\.\w+")
    wrong = [
        f"{module}:{node.lineno} {name}"
        for module in trees()
        if module not in PRINTERS
        for node, name in calls(module)
        if raw.fullmatch(name)
    ]
    assert not wrong, "\n".join(wrong)


def test_escaping_is_known_in_one_place() -> None:
    """Pages and links are escaped by `escapes`, so that one mistake is one mistake."""
    raw = re.compile(r"(?:html\.)?escape|(?:urllib\.parse\.)?quote")
    own = {
        "escapes",
        "storage.json_text",
        "storage.printed_text",
        "storage.known_trees",
        "intake.pdf_form",
        "intake.archive",
    }
    wrong = [
        f"{module}:{node.lineno} {name}"
        for module in trees()
        if module not in own
        for node, name in calls(module)
        if raw.fullmatch(name)
    ]
    assert not [one for one in wrong if not one.startswith(("cli.schema", "cli.explain"))], "\n".join(wrong)


def test_files_are_written_and_read_in_few_places() -> None:
    """No file is opened past the limits: what is read is a regular file of a bounded size, what is written is not another's."""
    raw = re.compile(r".*\.(?:write_text|write_bytes|glob|rglob)|os\.open|open")
    shipped = {
        "paper.layouts",
        "cli.start",
        "cli.photos_seen",
    }  # what they look through came with the tool, or is asked for
    wrong = [
        f"{module}:{node.lineno} {name}"
        for module in trees()
        if module not in WRITERS and module not in shipped
        for node, name in calls(module)
        if raw.fullmatch(name)
    ]
    assert not wrong, "\n".join(wrong)
