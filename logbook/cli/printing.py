"""What the printing verbs share: layout and trees, the printer's ways, and paper and record written together."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import field, replace
from datetime import timedelta
from itertools import groupby, zip_longest
from pathlib import Path
from typing import TypedDict

from ..collection.model import Tree
from ..diagnostics import Problem, stop
from ..extras import JAPANESE, how_to_install
from ..paper.imposition import Grid, Leaf, Shift, grid_for
from ..paper.layouts import Layout, large, layout
from ..paper.page import Page, Paper, Text, enlarged
from ..planning.planner import Plan
from ..storage import printed
from ..storage.outputs import must_be_writable, write_outputs
from ..storage.store import Store
from ..values import dataclass
from .common import Opened, chosen, open_for, output_arguments, watched
from .writing import writing

EDGES = ("long", "short")
FARTHEST_MM = 20.0
PICTURE = ".png"  # an output of this name is one picture a page


def print_arguments(parser: argparse.ArgumentParser, name: str) -> None:
    """Output, layout, and what the printer has to be told."""
    output_arguments(parser, name)
    parser.add_argument(
        "--edge", choices=EDGES, default="long", help="the edge the printer turns paper over (default: long)"
    )
    parser.add_argument(
        "--offset", type=_offset, default=(0.0, 0.0), metavar="X,Y", help="move every side, mm right and down"
    )
    parser.add_argument(
        "--back-offset", type=_offset, default=(0.0, 0.0), metavar="X,Y", help="move backs by so much more"
    )


def _offset(text: str) -> tuple[float, float]:
    parts = text.split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"expected two numbers of mm with a comma between, found '{text}': write 1.0,-0.5"
        ) from None
    if not max(abs(x), abs(y)) <= FARTHEST_MM:
        raise argparse.ArgumentTypeError(f"{text} moves by more than {FARTHEST_MM:g} mm")
    return x, y


def shift_of(options: argparse.Namespace) -> Shift:
    """How far the options move the print on its paper, front and back, mm."""
    return Shift(options.offset, options.back_offset)


def record_arguments(parser: argparse.ArgumentParser) -> None:
    """What verbs take whose paper is typed back in."""
    parser.add_argument("--draft", action="store_true", help="no serial and no record: can't be typed in")
    parser.add_argument(
        "--seed", type=int, metavar="N", help="draw serials from this number, so that the same files print the same"
    )


@dataclass(frozen=True, slots=True)
class Run:
    """One print: the collection, and its store where the print goes on record."""

    opened: Opened
    store: Store | None = None

    def serials(self, count: int, ledger: printed.Ledger, seed: int | None) -> list[str]:
        """So many free serials; empty ones for a draft."""
        return printed.draw_serials(count, ledger, seed) if self.store else [""] * count

    @property
    def told(self) -> list[str]:
        """What had to be done before the print."""
        return self.store.told() if self.store else []


@contextmanager
def print_run(options: argparse.Namespace, *, recorded: bool, only: str = "") -> Iterator[Run]:
    """The collection to print from; held until the end where the print is `recorded`, since serials are drawn once. `only`: the tag
    of the one tree that is printed.
    """
    if not recorded:
        yield Run(open_for(options, only))
        return
    with writing(options, only=only) as (store, opened):
        yield Run(opened, store)


def ready_to_print(
    opened: Opened, options: argparse.Namespace, kind: str, metric: str, us: str
) -> tuple[Layout, list[Tree]]:
    """The layout and the trees a print is made from; what can't be written is told before the work."""
    if not options.dry_run:
        must_be_writable(options.output)
    trees = chosen(opened, options, none_will_do=bool(getattr(options, "spare", 0)))
    return sheet_layout(opened, options, kind, metric, us), trees


def large_argument(parser: argparse.ArgumentParser) -> None:
    """What verbs take whose paper may be printed in large type."""
    parser.add_argument("--large", action="store_true", help="type twice as large, each side on a page of its own")


def printed_size(leaves: Iterable[Leaf], plan: Layout) -> Iterator[Leaf]:
    """Leaves as they are printed: larger than they were drawn where the layout is one for large type."""
    for front, back in leaves:
        if plan.times == 1.0:
            yield front, back
        else:
            yield enlarged(front, plan.times), back and enlarged(back, plan.times)


def sheet_layout(
    opened: Opened, options: argparse.Namespace, kind: str | Sequence[str], metric: str, us: str
) -> Layout:
    """The layout asked for, or the default for the collection's units; its large one with --large.

    Raises ProblemsFound for one of another kind.
    """
    name: str | None = options.layout
    found = layout(name or (us if opened.collection.settings.units.us else metric))
    kinds = (kind,) if isinstance(kind, str) else tuple(kind)
    if found.kind not in kinds:
        raise stop(
            f"'{found.name}' lays out a {found.kind}, not a {' or a '.join(kinds)}",
            hint=f"for example: --layout {metric}",
        )
    return large(found) if getattr(options, "large", False) else found


def as_pictures(output: Path | None) -> bool:
    """Whether the output is pictures, one a page, by the ending of its name."""
    return output is not None and output.suffix.lower() == PICTURE


def page_grid(plan: Layout, output: Path | None) -> Grid:
    """Where the layout's pages go on its paper: on a picture each stands alone.

    Raises ProblemsFound where not one fits inside the margin.
    """
    if plan.times > 1.0:
        return replace(grid_for(plan.paper, plan.paper), ready_cut=True)
    if as_pictures(output):
        return replace(grid_for(plan.page, plan.page), ready_cut=True)
    if plan.labels:
        cut = plan.labels
        return Grid(*plan.paper, *plan.page, cut.columns, cut.rows, cut.corner, cut.pitch, ready_cut=True)
    grid = grid_for(plan.paper, plan.page, plan.gap, plan.edge_margin)
    if not grid.count:
        raise stop(
            f"not one page of {plan.page[0]:g} × {plan.page[1]:g} mm fits inside the paper's margin",
            path=plan.name,
            hint="choose larger paper or a smaller page",
        )
    return grid


def due_soon(plan: Plan, days: int) -> bool:
    """Whether a dated work of the plan is open, or opens within so many days."""
    limit = plan.today + timedelta(days=days)
    return any(j.opens is not None and j.opens <= limit for j in plan.jobs if not j.is_look_over)


class PaperData(TypedDict):
    """What was printed: the files written, and how many sides."""

    files: list[str]
    pages: int


@dataclass(slots=True)
class Tap:
    """Counts the paper sides that pass, notes what no face holds, and names the files that were written."""

    sides: int = 0
    missing: set[str] = field(default_factory=set)
    files: tuple[Path, ...] = ()

    def through(self, papers: Iterable[Paper]) -> Iterator[Paper]:
        """The same sides, each counted as it passes."""
        from ..paper import typesetting as setting

        for paper in papers:
            self.sides += 1
            for placed in paper.placed:
                for item in placed.page.items:
                    if isinstance(item, Text) and not item.text.isascii():
                        self.missing |= setting.missing(item.text)
            yield paper

    @property
    def data(self) -> PaperData:
        """What --json says of the paper."""
        return {"files": [str(path) for path in self.files], "pages": self.sides}

    @property
    def warnings(self) -> list[Problem]:
        """A warning naming the characters that print as a box."""
        if not self.missing:
            return []
        from ..paper.typesetting import lacks_japanese

        named = ", ".join(f"{c} (U+{ord(c):04X})" for c in sorted(self.missing)[:8])
        hint = "use another character, or leave the box"
        if lacks_japanese():
            hint = f"Japanese type is in the extra '{JAPANESE}': {how_to_install(JAPANESE)}"
        return [Problem(f"printed as a box, since no font here has it: {named}", hint=hint, severity="warning")]


def print_out(
    run: Run,
    options: argparse.Namespace,
    papers: Iterable[Paper],
    what: str,
    sheets: printed.Record,
    *,
    titled: bool = True,
    record: tuple[str, str] | None = None,
) -> Tap:
    """Paint the papers as they come; then the record of the run is written, and last the PDF takes its name.

    `sheets` is filled while the papers are made; `record` is the run's name and text where it prints none. A sheet without a record could never be typed in, and a record
    without its paper would be counted as out: so neither stands without the other.
    """
    from ..paper.pdf import render

    tap = Tap()
    collection = run.opened.collection
    title = f"{collection.settings.title}: {what}" if titled else what
    if as_pictures(options.output):
        papers = (paper for paper in papers if paper.placed)
    data = render(tap.through(papers), title, collection.characters)
    if options.dry_run:
        return tap
    made = _files(options.output, data)
    if sheets:
        record = (sheets.name, sheets.text)
    named = record
    write_outputs(made, (lambda: _recorded(run, *named)) if named else None)
    tap.files = tuple(made)
    return tap


def _files(output: Path, pdf: bytes) -> dict[Path, bytes]:
    """What is written where: the PDF, or its pages as pictures, numbered where there are several."""
    if not as_pictures(output):
        return {output: pdf}
    from ..paper.pictures import pictures

    drawn = list(pictures(pdf))
    if len(drawn) == 1:
        return {output: drawn[0]}
    return {output.with_name(f"{output.stem}-{n}{output.suffix}"): data for n, data in enumerate(drawn, 1)}


def _recorded(run: Run, name: str, text: str) -> None:
    """Write the run down in the collection. Raises ProblemsFound naming that folder, not the output."""
    assert run.store is not None, "what goes on record is printed with the collection held"
    try:
        run.store.create(f"{printed.FOLDER}/{name}", text.encode())
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise stop(
            f"the run can't be recorded: {why}",
            path=f"{printed.FOLDER}/",
            hint="nothing was printed; give the collection's folder back its write permission",
        ) from None


def where_told(options: argparse.Namespace, tap: Tap) -> str:
    """Which files were written, the first to the last; or which one would be."""
    if options.dry_run:
        return f"nothing written (--dry-run), would be {options.output}"
    return " to ".join(map(str, dict.fromkeys((tap.files[0], tap.files[-1]))))


def how_to_print(options: argparse.Namespace, *, two_sided: bool = True) -> list[str]:
    """What the printer has to be told; nothing where pictures were made."""
    if as_pictures(options.output):
        return []
    turned = f", two-sided, turned over the {options.edge} edge" if two_sided else ""
    return [f"print at 100 % ('actual size'){turned}"]


def progress(trees: list[Tree]) -> Iterable[Tree]:
    """The trees, with a progress bar where they are many."""
    return watched(trees, "drawing")


def season_pages(opened: Opened, plan: Layout) -> list[Page]:
    """The season card of the groups that stand in the garden, with the year's care of its trees."""
    from ..paper.cards import season_card
    from ..paper.care_words import care_rows
    from ..planning.lists.care_list import care_until
    from ..planning.lists.shared_pests import passed_on

    garden, season = opened.garden, opened.site.calendar.season_of(opened.today)
    standing = {garden.group_of(tree) for tree in opened.collection.living}
    groups = [group for group in opened.knowledge.groups if group in standing]
    plans = opened.plans(opened.collection.living)
    care = care_rows(care_until(plans, opened.today + timedelta(days=365)), opened.wording, len(plans))
    care += [opened.wording.passed(passed) for passed in passed_on(garden)]
    return season_card(garden, groups, plan, season, opened.today, care)


def in_pairs(pages: Sequence[Page]) -> list[Leaf]:
    """Pages as leaves: each second one of a card on the back of the one before it; none on the back of another card."""
    leaves: list[Leaf] = []
    for _, same in groupby(pages, key=lambda page: page.label.rpartition(" ")[0]):
        some = list(same)
        leaves += list(zip_longest(some[::2], some[1::2]))
    return leaves
