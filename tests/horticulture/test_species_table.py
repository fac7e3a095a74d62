"""species.csv keeps its own rules: names, word lists, bases, and the bounds that hold between its numbers."""

from __future__ import annotations

from collections import Counter
from itertools import chain

import pytest

from logbook.horticulture.loader import shipped_knowledge, shipped_sources
from logbook.horticulture.sources import basis_keys, basis_told
from logbook.horticulture.species_names import name_key

KNOWLEDGE = shipped_knowledge()
ALL = KNOWLEDGE.register.all
RANKS = (" subsp. ", " var. ", " f. ")


def test_counts() -> None:
    """As counted when the table was made; a row added or lost by mistake shows here."""
    assert Counter(s.rank for s in ALL) == {1: 255, 2: 263, 3: 145}
    assert Counter(s.full_defoliation for s in ALL) == {"yes": 33, "partial only": 148, "no": 482}
    assert Counter(s.poison for s in ALL) == {"yes": 102, "mild": 116, "none on record": 445}
    assert sum(s.bleeds for s in ALL) == 61
    assert sum(bool(s.rust_hosts) for s in ALL) == 119
    assert sum(s.active_night_c is not None for s in ALL) == 148


def test_a_botanical_name_means_one_species() -> None:
    accepted = Counter(name_key(s.name) for s in ALL)
    assert max(accepted.values()) == 1
    synonyms = Counter(name_key(name) for s in ALL for name in s.synonyms)
    assert max(synonyms.values()) == 1
    assert not accepted.keys() & synonyms.keys()


def test_infraspecific_synonyms_under_another_species() -> None:
    """Thirteen of them: cut to two words they would give another tree, so they are looked up whole first."""
    accepted = {s.name: s for s in ALL}
    found = [
        (name, s.name)
        for s in ALL
        for name in s.synonyms
        if any(rank in name for rank in RANKS)
        and (short := " ".join(name.split(" ")[:2])) in accepted
        and short != s.name
    ]
    assert len(found) == 13
    for name, owner in found:
        species = KNOWLEDGE.species_of(name)
        assert species is not None and species.name == owner, name


def test_common_names_stand_once_in_a_row() -> None:
    for s in ALL:
        keys = [name_key(name) for name in s.common_names]
        assert keys and len(keys) == len(set(keys)), s.name


def test_rows_agree_with_themselves() -> None:
    for s in ALL:
        assert -30 <= s.root_mature < s.root_young <= 15, s.name
        assert (s.swell is None) == (s.open is None) == (not s.marks_basis), s.name
        assert s.swell is None or s.open is None or 50 <= s.swell < s.open <= 800, s.name
        assert (s.poison == "none on record") == (not s.poison_part) == (not s.poison_basis), s.name
        assert (s.shade_above_c is None) == (not s.shade_basis), s.name
        assert (s.active_night_c is None) == (not s.active_night_basis), s.name
        assert not (s.full_defoliation == "yes" and s.flowers_on == "old wood"), s.name
        assert s.group in KNOWLEDGE.groups, s.name


def test_every_number_has_a_basis_and_every_basis_is_told() -> None:
    sources = shipped_sources()
    known = {*sources, "CP", "MEM"}
    for s in ALL:
        assert s.root_young_basis and s.root_mature_basis
        cells = (s.marks_basis, s.root_young_basis, s.root_mature_basis, s.poison_basis, s.shade_basis)
        for basis in (*cells, s.active_night_basis, *s.rust_basis):
            assert set(basis_keys(basis)) <= known, (s.name, basis)
            assert bool(basis_told(basis, sources)) == bool(basis)
        assert bool(s.rust_hosts) == bool(s.rust_basis), s.name


def test_what_has_no_source_says_so() -> None:
    sources = shipped_sources()
    assert basis_told("CP", sources) == "common practice, no source"
    assert basis_told("MEM", sources) == "from memory"
    assert basis_told("MEM(H76)", sources).endswith(", as remembered")
    assert basis_told("HF3 (1 year)", sources).endswith(", 1 year")
    with pytest.raises(ValueError, match="no basis"):
        basis_keys("who knows?")


def test_every_group_has_its_species_and_every_species_its_group() -> None:
    assert {s.group for s in ALL} == set(KNOWLEDGE.groups)


def test_bleeders_are_the_genera_that_arborists_name() -> None:
    """Maple, birch, hornbeam, mulberry, grape (two arborists' lists and a column, 2017); elm and beech are disputed."""
    by_genus = {g: {s.bleeds for s in ALL if s.genus == g} for g in {s.genus for s in ALL}}
    for genus in ("acer", "betula", "carpinus", "morus", "vitis", "tilia"):
        assert by_genus[genus] == {True}, genus
    for genus in ("ulmus", "fagus", "pinus", "quercus"):
        assert by_genus[genus] == {False}, genus


def test_no_name_hides_in_the_table() -> None:
    for s in ALL:
        for name in chain((s.name,), s.synonyms):
            found = KNOWLEDGE.species_of(name)
            assert found is not None and found.name == s.name, name
