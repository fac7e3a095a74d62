"""The records of works and pests: short names and marks, signs that read as clauses, and rows picked by species."""

from __future__ import annotations

import re

import pytest

from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.species import Species
from logbook.horticulture.work import POT, Kind, Row, Work

KNOWLEDGE = shipped_knowledge()
WORKS = tuple(KNOWLEDGE.works.values())
ALL = KNOWLEDGE.register.all
LINE = 62  # characters that fit into 85 mm at 9 pt
SHORT = 14  # and into 20 mm at 8 pt
# words with which a clause after "when" can't begin: it would be an order
ORDERS = {
    "lift",
    "look",
    "take",
    "walk",
    "do",
    "cut",
    "go",
    "read",
    "check",
    "keep",
    "turn",
    "shake",
    "before",
    "once",
}


def named(name: str) -> Species:
    found = KNOWLEDGE.species_of(name)
    assert found is not None, name
    return found


def row(work: str, name: str) -> Row | None:
    return KNOWLEDGE.row_for(KNOWLEDGE.works[work], named(name).group, name)


def window(work: str, name: str) -> str:
    found = row(work, name)
    assert found is not None and found.window is not None, (work, name)
    moments = (found.window.opens, found.window.best, found.window.closes)
    return " / ".join(moment.told() for moment in moments)


def test_marks_are_two_letters_and_no_two_alike() -> None:
    marks = [work.mark for work in WORKS]
    assert all(re.fullmatch("[a-z]{2}", mark) for mark in marks)
    assert len({mark.casefold() for mark in marks}) == len(marks)


def test_short_names_are_short_and_no_two_alike() -> None:
    shorts = [work.short for work in WORKS]
    assert all(0 < len(short) <= SHORT for short in shorts)
    assert len({short.casefold() for short in shorts}) == len(shorts)


def lines_of(work: Work) -> list[str]:
    return [text for r in work.rows for second in (False, True) for text in r.signs(second)]


@pytest.mark.parametrize("work", WORKS, ids=lambda w: w.name)
def test_signs_are_clauses_that_fit_a_line(work: Work) -> None:
    assert all(len(r.how) <= LINE for r in work.rows)
    for text in lines_of(work):
        assert text and len(text) <= LINE, (len(text), text)
        assert text.split()[0].casefold() not in ORDERS, text
        assert not text.endswith("."), text


def test_second_chances_have_their_own_sign() -> None:
    for work in WORKS:
        for r in work.rows:
            assert bool(r.also or r.also_rule) == bool(r.also_sign) or r.window is None, (work.name, r.sign)


def test_works_in_turns_have_them_apart() -> None:
    turned = {w.name for w in WORKS if w.turns}
    assert {"candle removal", "candle breaking"} <= turned
    assert all(w.turns.apart < w.turns.within for w in WORKS if w.turns)


def test_potting_is_root_work() -> None:
    for work in WORKS:
        assert work.into != POT or work.kind is Kind.ROOTS, work.name


def test_full_defoliation_is_for_the_listed_species_alone() -> None:
    """Common practice, no source: by an allow-list of species, never by group."""
    offered = {s.name for s in ALL if row("full defoliation", s.name)}
    assert offered == {s.name for s in ALL if s.full_defoliation == "yes"}
    assert len(offered) == 33 and "Acer palmatum" in offered
    for name in ("Betula pendula", "Leptospermum scoparium", "Crassula ovata", "Fagus crenata", "Acer"):
        assert row("full defoliation", name) is None, name
    assert (
        window("full defoliation", "Acer palmatum") == "hardened / 10 days after hardened / 14 days after midsummer"
    )


def test_partial_defoliation_spares_birch_and_what_flowers_on_old_wood() -> None:
    for s in ALL:
        if s.full_defoliation == "no" or s.flowers_on == "old wood":
            assert row("partial defoliation", s.name) is None, s.name
    for name in ("Fagus sylvatica", "Acer japonicum", "Ulmus parvifolia", "Ficus microcarpa"):
        assert row("partial defoliation", name) is not None, name
    assert row("partial defoliation", "Betula pendula") is None
    assert row("partial defoliation", "Prunus mume") is None


@pytest.mark.parametrize("name", [s.name for s in ALL if s.bleeds])
def test_bleeders_are_cut_when_the_leaves_are_down_or_hard(name: str) -> None:
    """Maple, birch, hornbeam, mulberry, vine bleed when cut late in winter (two arborists' lists and a column, 2017)."""
    assert window("structural pruning", name) == "leaf fall / 20 days after leaf fall / 45 days after leaf fall"
    found = row("structural pruning", name)
    assert found is not None and found.also is not None and found.also.opens.mark == "hardened"


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Lagerstroemia indica", "28 days before next swell / 10 days before next swell / next swell"),
        ("Punica granatum", "28 days before next swell / 10 days before next swell / next swell"),
        ("Malus halliana", "45 days before next swell / 28 days before next swell / 14 days before next swell"),
        ("Ilex serrata", "45 days before next swell / 28 days before next swell / 14 days before next swell"),
        ("Wisteria floribunda", "30 days after leaf fall / 45 days before next swell / 14 days before next swell"),
        ("Zelkova serrata", "14 days after leaf fall / 45 days before next swell / 14 days before next swell"),
    ],
)
def test_pruning_follows_the_wood_that_flowers(name: str, expected: str) -> None:
    """Crape myrtle and pomegranate on new wood, before growth (extension pruning lists); fruit in late winter; common practice."""
    assert window("structural pruning", name) == expected


def test_what_flowers_on_old_wood_is_cut_after_its_flowers() -> None:
    """Forsythia, azalea, lilac, magnolia after flowering (four extension-based pruning lists)."""
    for name in ("Forsythia suspensa", "Syringa vulgaris", "Magnolia stellata", "Prunus mume", "Camellia japonica"):
        found = row("structural pruning", name)
        assert found is not None and found.rule == "after flowering", name
    for name in ("Rhododendron indicum", "Rhododendron Kurume"):
        assert window("structural pruning", name).startswith("flower over"), name


def test_quinces_and_their_kin_have_an_autumn_too() -> None:
    """Repotted in autumn against crown gall: several growers, common practice."""
    for name in ("Chaenomeles speciosa", "Pseudocydonia sinensis", "Malus halliana", "Crataegus monogyna"):
        found = row("repotting", name)
        assert found is not None and found.also is not None and found.also.opens.mark == "growth end", name
    for name in ("Prunus mume", "Cedrus libani", "Acer palmatum"):
        found = row("repotting", name)
        assert found is not None and not found.also and not found.also_rule, name


def test_scale_junipers_are_never_pinched() -> None:
    assert row("pinching", "Juniperus chinensis") is None and row("pinching", "Chamaecyparis obtusa") is None
    assert row("pinching", "Juniperus rigida") is not None and row("pinching", "Cryptomeria japonica") is not None


def test_several_flushes_are_cut_and_never_lose_their_candles() -> None:
    for name in ("Pinus halepensis", "Pinus pinea"):
        assert row("candle removal", name) is None and row("cutting hardened shoots back", name) is not None


@pytest.mark.parametrize(
    ("group", "name", "share"),
    [
        ("maple", "Acer palmatum", "half"),
        ("two-flush pine", "Pinus densiflora", "third"),
        ("spruce", "Picea abies", "quarter"),
        ("flowering deciduous", "Wisteria floribunda", "quarter"),
        ("elm", "", "half"),
        ("yew", "", "quarter"),
    ],
)
def test_how_much_root_may_go(group: str, name: str, share: str) -> None:
    assert share in KNOWLEDGE.root_share(group, name)


def test_an_old_name_of_a_group_is_the_groups_it_became() -> None:
    assert KNOWLEDGE.group_now("azalea") == "satsuki azalea" and KNOWLEDGE.group_now("maple") == "maple"
    assert KNOWLEDGE.sets["azalea"] == KNOWLEDGE.sets["azaleas"] == {"early azalea", "satsuki azalea"}
    assert KNOWLEDGE.group_now("no such group") == "no such group"
    assert KNOWLEDGE.group_of("my tree", {"my tree": "azalea"}) == "satsuki azalea"


def test_every_group_has_its_pests_and_none_names_a_remedy() -> None:
    assert all(KNOWLEDGE.pests_of(group, "") for group in KNOWLEDGE.groups)
    remedies = re.compile(
        r"\b(oil|sulphur|copper|soap|spray\w*|fungicide|insecticide|neem|acaricide)\b", re.IGNORECASE
    )
    for pest in KNOWLEDGE.pests:
        assert len(pest.sign) <= 30 and pest.look, pest.name
        assert not remedies.search(f"{pest.name} {pest.sign} {pest.look}"), pest.name
        assert pest.groups or pest.genera, pest.name
        assert not (pest.window and pest.heat), pest.name


@pytest.mark.parametrize(
    ("name", "pest"),
    [
        ("Buxus sempervirens", "box moth"),
        ("Malus halliana", "fire blight"),
        ("Rhododendron indicum", "lace bug"),
        ("Larix kaempferi", "adelgids"),
        ("Picea abies", "mites on conifers"),
        ("Quercus robur", "mildew"),
        ("Acer palmatum", "verticillium wilt"),
        ("Olea europaea", "soft scale"),
        ("Juniperus chinensis", "rust on junipers"),
        ("Pyrus communis", "rust on its hosts"),
    ],
)
def test_pests_of_a_kind(name: str, pest: str) -> None:
    """Common practice; the rusts: Gymnosporangium on junipers and on pear and apple (EPPO Global Database, 2022)."""
    assert pest in {p.name for p in KNOWLEDGE.pests_of(named(name).group, name)}
