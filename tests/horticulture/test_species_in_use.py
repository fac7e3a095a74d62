"""Names at the doors: `check` places what it asks, `add` takes what growers say and writes botanical names."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ..conftest import Answer

Bench = Callable[..., Answer]


def with_species(demo: Path, line: str) -> None:
    (demo / "trees" / "099.yaml").write_text(f'tag: "099"\n{line}\nlog: []\n', encoding="utf-8")


@pytest.mark.parametrize(
    "name",
    [
        "hinoki",
        "Japanese black pine 'Corticosa'",
        "kuro-matsu",
        "Larix x eurolepis",
        "Acer palmatum × japonicum",
        "Rosmarinus officinalis",
        "Rhododendron (Satsuki) 'Kozan'",
    ],
)
def test_check_accepts(demo: Path, bench: Bench, name: str) -> None:
    with_species(demo, f'species: "{name}"')
    answer = bench("check", folder=demo)
    assert answer.code == 0 and "099" not in answer.out + answer.err
    assert bench("due", "--why", "099", "--today", "2026-11-25", folder=demo).code == 0


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("black pine", "Pinus thunbergii, Pinus nigra; or add group: two-flush pine or single-flush pine"),
        ("Juniperus sp.", "scale juniper (if its leaves are scales; needle juniper if they are needles)"),
        ("cedar", "Cedrus atlantica"),
        ("Quercus robur × ilex", "Quercus robur, Quercus ilex"),
        ("Acer palmatun", "did you mean 'Acer palmatum'?"),
        ("trident mapel", "'trident maple' (Acer buergerianum)"),
        ("Larix olgensis", "add group: deciduous conifer"),
        ("Pinus nusquamensis", "other Pinus grow as two-flush pine, single-flush pine or several-flush pine"),
        ("Nusquama nulla", "add group: (how it grows)"),
    ],
)
def test_check_places_what_it_asks(demo: Path, bench: Bench, name: str, says: str) -> None:
    with_species(demo, f"species: {name}")
    answer = bench("check", folder=demo)
    assert answer.code == 1
    assert "trees/099.yaml:2:10: error:" in answer.err and says in answer.err
    with_species(demo, f"species: {name}\ngroup: maple")
    assert bench("check", folder=demo).code == 0, "a group given answers the question"


def test_a_bare_genus_is_a_warning(demo: Path, bench: Bench) -> None:
    with_species(demo, "species: Acer sp.")
    answer = bench("check", folder=demo)
    assert answer.code == 0
    assert "trees/099.yaml:2:10: warning: 'Acer sp.': the species is not given" in answer.err
    assert bench("due", "--why", "099", "--today", "2026-11-25", folder=demo).code == 0
    with_species(demo, "species: Acer sp.\ngroup: maple")
    assert "warning" not in bench("check", folder=demo).err


def test_own_species_win_with_any_cultivar(demo: Path, bench: Bench) -> None:
    path = demo / "collection.yaml"
    own = "species: {Larix olgensis: {group: deciduous conifer}, Pinus: {group: two-flush pine}}\n"
    path.write_text(path.read_text("utf-8") + own, encoding="utf-8")
    for name in ("Larix olgensis", "larix olgensis 'Dwarf'", "Pinus"):
        with_species(demo, f'species: "{name}"')
        assert bench("check", folder=demo).code == 0, name
        assert bench("due", "--why", "099", "--today", "2026-11-25", folder=demo).code == 0, name


def test_add_writes_botanical_names_for_common_ones(demo: Path, bench: Bench) -> None:
    answer = bench("add", "090", "--species", "Japanese maple 'Deshojo'", "--today", "2026-11-25", folder=demo)
    assert answer.code == 0 and "'Japanese maple 'Deshojo'' is written as Acer palmatum 'Deshojo'" in answer.out
    assert "Acer palmatum 'Deshojo'" in (demo / "trees" / "090.yaml").read_text("utf-8")
    again = bench("add", "090", "--species", "Japanese maple 'Deshojo'", "--today", "2026-11-25", folder=demo)
    assert "added 0 trees; 1 already there" in again.out


def test_add_leaves_botanical_names_as_given(demo: Path, bench: Bench) -> None:
    bench("add", "090", "--species", "Larix leptolepis", "--today", "2026-11-25", folder=demo)
    assert "species: Larix leptolepis" in (demo / "trees" / "090.yaml").read_text("utf-8")


def test_add_says_what_else_is_sold_under_a_name(demo: Path, bench: Bench) -> None:
    answer = bench("add", "090", "--species", "Chinese elm", "--today", "2026-11-25", folder=demo)
    assert "sold as 'Chinese elm' too: Ulmus pumila and Zelkova serrata" in answer.out


def test_add_takes_a_genus_and_asks_an_ambiguous_word(demo: Path, bench: Bench) -> None:
    answer = bench("add", "090", "--species", "Tsuga", "--today", "2026-11-25", folder=demo)
    assert answer.code == 0 and "the species is not given" in answer.out
    asked = bench("add", "091", "--species", "redwood", "--today", "2026-11-25", folder=demo)
    assert asked.code != 0 and "Sequoia sempervirens" in asked.err
    assert not (demo / "trees" / "091.yaml").exists()


def test_a_table_of_common_names(demo: Path, bench: Bench, tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    table.write_text("tag,species\n090,tosho\n091,ivy\n092,Tsuga\n", encoding="utf-8")
    answer = bench("add", "--table", table, "--today", "2026-11-25", folder=demo)
    assert answer.code == 3 and "question: 'ivy': " in answer.out
    assert (
        "--answer 'species ivy=" in answer.out
        and "Hedera helix" in answer.out
        and not (demo / "trees" / "090.yaml").exists()
    )
    table.write_text("tag,species\n090,tosho\n092,Tsuga\n", encoding="utf-8")
    answer = bench("add", "--table", table, "--today", "2026-11-25", folder=demo)
    assert answer.code == 0 and "'tosho' is written as Juniperus rigida" in answer.out
    assert "species: Juniperus rigida" in (demo / "trees" / "090.yaml").read_text("utf-8")


def test_works_of_a_genus_reach_trees_named_in_other_words(demo: Path, bench: Bench) -> None:
    """Rows for `betula` hold for a tree that is called silver birch."""
    said = {}
    for name in ("Betula pendula", "silver birch", "Betula verrucosa"):
        with_species(demo, f"species: {name}")
        said[name] = bench("due", "--why", "099", "--today", "2026-11-25", folder=demo).out.replace(name, "…")
    assert len(set(said.values())) == 1
