"""A tree's file: every key of it is declared here once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from ...diagnostics import Place
from ..dates import When
from ..kinds import Context, Date, Listing, Text, Values, Word
from ..yaml_reader import Mapping as MappingNode
from .aims import Branch, Targets
from .declare import NOWHERE, apart, key, path_of, place_at, place_of, record, record_of
from .entry import ENTRY, Entry
from .shared import COUNT, GROUP, TAG

ENDINGS = ("died", "sold", "given", "lost", "stolen", "planted out", "merged")
HANDED_OVER = "handover "  # how the source of an entry begins that tells where a tree came from
ORIGINS = ("seed", "cutting", "layer", "nursery", "collected", "bought", "gift", "graft", "split")


@record("an origin")
class Origin:
    """Where a tree came from."""

    kind: str = key(Word("an origin", ORIGINS), "how it began", default="")
    date: When | None = key(Date(), "when", default=None)
    place: str = key(Text(), "where, or with whose leave", default="")
    parent: str = key(TAG, "the tag it was taken from", default="")


@record("an ending")
class Ended:
    """When and how a tree left the collection."""

    date: When = key(Date(), "when")
    how: str = key(Word("an ending", ENDINGS), "how")
    note: str = key(Text(), "a remark", default="")


def _grows_somehow(values: Values, context: Context, node: MappingNode) -> bool:
    """Whether the species, or a group in its place, says how the tree grows."""
    species, group = values.get("species"), values.get("group")
    if not species and not group:
        context.fault(node, "a tree lacks 'species'", "add: species: … (botanical name), or group: …")
        return False
    advice = context.species_advice(str(species)) if species and not group else None
    if advice is None:
        return True
    context.problems.append(replace(advice, place=context.document.place(node.items["species"])))
    return advice.severity != "error"


@record("a tree", _grows_somehow)
class Tree:
    """One tree's file. `path` is relative to the collection, `digest` the SHA-256 of the file's bytes."""

    tag: str = key(TAG, "its identity; never changes, never used again")
    log: tuple[Entry, ...] = key(Listing(ENTRY, "log entries"), "what happened; may be empty")
    path: str = apart(default="", source=path_of)
    first_bench: str = apart(default="")  # where it stood before the log says that it was moved
    digest: str = apart(default="")
    name: str = key(Text("a name"), "what you call it", default="")
    species: str = key(Text("a species"), "botanical name", default="")
    cultivar: str = key(Text("a cultivar"), "without quotes", default="")
    group: str = key(GROUP, "how it grows, where the species does not say", default="")
    treat_as: str = key(GROUP, "work it like this group", default="")
    indoors: str = key(Word("indoors", ("always", "winter")), "kept indoors always, or in winter", default="")
    origin: Origin | None = key(record_of(Origin), "where it came from", default=None)
    started: When | None = key(Date(), "in training since", default=None)
    style: str = key(Text("a style"), "its style in your own words: informal upright, cascade, broom …", default="")
    bench: str = key(Text("a bench place"), "where it stands, until the log says that it was moved", default="")
    aim: str = key(Text("an aim"), "what you want of it", default="")
    front: str = key(Text("a front"), "how the front is found again", default="")
    targets: Targets = key(record_of(Targets), "what to measure against", default=Targets())
    branches: tuple[Branch, ...] = key(Listing(record_of(Branch), "branches"), "the branch table", default=())
    count: int = key(COUNT, "how many stand in a seedling tray", default=1)
    provenance: str = key(Text(), "for a dossier", default="")
    value: str = key(Text(), "for a dossier", default="")
    also: tuple[str, ...] = key(Listing(TAG, "tags", lone=True), "older numbers", default=())
    ended: Ended | None = key(record_of(Ended), "the tree has left the collection", default=None)
    place: Place = apart(default=NOWHERE, source=place_of)

    def place_of(self, entry: Entry) -> Place:
        """Where an entry of its log stands."""
        return place_at(self.path, entry.spot)

    @property
    def came_over(self) -> date | None:
        """The day it came from another garden with its log: what that tells of earlier days was elsewhere. None for any other tree."""
        return next((e.date.earliest for e in self.log if e.found and e.source.startswith(HANDED_OVER)), None)

    def was_here(self, entry: Entry) -> bool:
        """Whether an entry of its log is of this garden."""
        over = self.came_over
        return over is None or entry.date.earliest >= over

    @property
    def full_name(self) -> str:
        """Species and cultivar as printed."""
        cultivar = f" '{self.cultivar}'" if self.cultivar and self.cultivar not in self.species else ""
        return (self.species or self.group) + cultivar


TREE = record_of(Tree)
