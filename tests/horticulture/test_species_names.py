"""What a typed name means: found, the careful values of a genus, asked, near or unknown."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.species import CHILL, DEFOLIATION, POISON, ROOT_PRUNING, WATER
from logbook.horticulture.species_names import cultivar_of, name_key, taken_apart
from logbook.horticulture.species_register import Ambiguous, Genus, Known, Near, Unknown, possible

REGISTER = shipped_knowledge().register
ALL = REGISTER.all
BY_NAME = {s.name: s for s in ALL}
with (Path(__file__).parent / "names_of_several.csv").open(encoding="utf-8", newline="") as _file:
    SEVERAL = {row["name"]: set(row["species"].split(";")) for row in csv.DictReader(_file)}


def known(text: str) -> Known:
    found = REGISTER.resolve(text)
    assert isinstance(found, Known), (text, found)
    return found


@pytest.mark.parametrize(
    "text",
    [
        "Acer palmatum",
        "acer palmatum",
        "ACER PALMATUM",
        "Acer palmatum Thunb.",
        "Acer palmatum 'Deshojo'",
        "Acer palmatum ‘Deshojo’",
        'Acer palmatum "Deshojo"',
        "Acer palmatum 'Deshojo",
        "Acer palmatum cv. Deshojo",
        "Acer palmatum Deshojo",
        "Acer palmatum var. dissectum",
        "  Acer   palmatum ",
        "Acer pálmatum",
    ],
)
def test_what_is_put_away(text: str) -> None:
    assert known(text).species.name == "Acer palmatum"


@pytest.mark.parametrize(
    ("text", "name", "how"),
    [
        ("Larix leptolepis", "Larix kaempferi", "synonym"),
        ("Potentilla fruticosa", "Dasiphora fruticosa", "synonym"),
        ("Rosmarinus officinalis", "Salvia rosmarinus", "synonym"),
        ("Schefflera arboricola", "Heptapleurum arboricola", "synonym"),
        ("Bucida spinosa", "Terminalia molinetii", "synonym"),
        ("Carpinus koreana", "Carpinus turczaninowii", "synonym"),
        ("trident maple", "Acer buergerianum", "common name"),
        ("Japanese Black Pine", "Pinus thunbergii", "common name"),
        ("kuro-matsu", "Pinus thunbergii", "common name"),
        ("Kuromatsu 'Corticosa'", "Pinus thunbergii", "common name"),
        ("kuro matsu", "Pinus thunbergii", "common name"),
        ("Hall’s crab-apple", "Malus halliana", "common name"),
        ("Parson's juniper", "Juniperus davurica", "common name"),
        ("keyaki", "Zelkova serrata", "common name"),
        ("ginkgo", "Ginkgo biloba", "common name"),
        # words that mean many in Japanese and one among growers (common practice, no source)
        ("momiji", "Acer palmatum", "common name"),
        ("sugi", "Cryptomeria japonica", "common name"),
        ("maki", "Podocarpus macrophyllus", "common name"),
        ("boke", "Chaenomeles speciosa", "common name"),
        ("kusa-boke", "Chaenomeles japonica", "common name"),
        ("fuji", "Wisteria floribunda", "common name"),
        ("yama-fuji", "Wisteria brachybotrys", "common name"),
        ("inu-tsuge", "Ilex crenata", "common name"),
        ("byakushin", "Juniperus chinensis", "common name"),
        ("ibuki", "Juniperus chinensis", "common name"),
        # trade names
        ("Ficus retusa", "Ficus microcarpa", "synonym"),
        ("Ficus nitida", "Ficus microcarpa", "synonym"),
        ("Ficus nerifolia", "Ficus salicaria", "synonym"),
        ("Ficus salicifolia", "Ficus salicaria", "common name"),
        ("Juniperus sargentii", "Juniperus chinensis", "synonym"),
        ("itoigawa", "Juniperus chinensis", "common name"),
        ("procumbens nana", "Juniperus procumbens", "common name"),
        ("Juniperus procumbens nana", "Juniperus procumbens", "accepted"),
    ],
)
def test_synonyms_and_common_names(text: str, name: str, how: str) -> None:
    found = known(text)
    assert (found.species.name, found.how) == (name, how)


@pytest.mark.parametrize(
    ("text", "others"),
    [
        ("Chinese elm", {"Ulmus pumila", "Zelkova serrata"}),
        ("ezomatsu", {"Picea glehnii"}),
        ("Malpighia glabra", {"Malpighia emarginata"}),
    ],
)
def test_names_under_which_another_is_sold(text: str, others: set[str]) -> None:
    """Common practice of the trade, no source."""
    assert set(known(text).sold_as) == others


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Pinus mugo subsp. uncinata", "Pinus uncinata"),
        ("Pinus mugo ssp. uncinata (Ramond) Domin", "Pinus uncinata"),
        ("Pinus mugo uncinata", "Pinus uncinata"),
        ("Pinus mugo var. pumilio", "Pinus mugo"),
        ("Cedrus libani subsp. atlantica 'Glauca'", "Cedrus atlantica"),
        ("Juniperus chinensis var. sargentii", "Juniperus chinensis"),
        ("Magnolia kobus var. stellata", "Magnolia stellata"),
        ("Magnolia kobus var. borealis", "Magnolia kobus"),
    ],
)
def test_infraspecific_names_whole_first(text: str, name: str) -> None:
    assert known(text).species.name == name


def test_every_common_name_leads_to_its_species_or_is_asked() -> None:
    for species in ALL:
        for name in species.common_names:
            found = REGISTER.resolve(name)
            assert species in possible(found), (name, found)
            if isinstance(found, Known):
                assert len(REGISTER.names[name_key(name)]) == 1, name


def test_names_of_several_are_exactly_these() -> None:
    clashes = {key: set(names) for key, names in REGISTER.names.items() if len(names) > 1}
    assert len(SEVERAL) == 60
    assert clashes == {name_key(name): names for name, names in SEVERAL.items()}


@pytest.mark.parametrize("name", SEVERAL)
def test_names_of_several_are_asked_never_guessed(name: str) -> None:
    """Where the word is a genus whose species keep one calendar (Wisteria), its careful values hold instead."""
    for text in (name, name.upper(), name.replace(" ", "-"), f"{name} 'Some Cultivar'"):
        found = REGISTER.resolve(text)
        assert isinstance(found, Ambiguous | Genus), text
        assert {s.name for s in possible(found)} >= SEVERAL[name]
        if isinstance(found, Genus):
            assert found.species.name.casefold() == name.casefold()


@pytest.mark.parametrize(
    ("word", "some", "outside"),
    [
        ("cedar", {"Cedrus libani", "Juniperus virginiana", "Thuja plicata", "Cryptomeria japonica"}, ()),
        ("cypress", {"Cupressus sempervirens", "Chamaecyparis obtusa", "Taxodium distichum"}, ()),
        ("lime", {"Tilia cordata", "Citrus × limon"}, ()),
        ("ash", {"Fraxinus excelsior", "Sorbus aucuparia"}, ()),
        ("ivy", {"Hedera helix", "Parthenocissus tricuspidata"}, ()),
        ("jasmine", {"Jasminum nudiflorum", "Trachelospermum asiaticum", "Gardenia jasminoides"}, ()),
        ("myrtle", {"Myrtus communis", "Lagerstroemia indica", "Lophomyrtus obcordata"}, ()),
        ("umbrella pine", {"Pinus pinea"}, ("Sciadopitys verticillata",)),
        ("ebony", {"Diospyros ferrea", "Ebenopsis ebano"}, ()),
        ("bayberry", {"Nageia nagi"}, ("Morella cerifera", "Morella rubra")),
        ("raintree", {"Chloroleucon tortum"}, ("Samanea saman", "Koelreuteria paniculata")),
        ("lemon myrtle", {"Backhousia myrtifolia"}, ("Backhousia citriodora",)),
        ("ming tree", {"Polyscias fruticosa"}, ()),
    ],
)
def test_words_that_stand_in_no_row_are_asked(word: str, some: set[str], outside: tuple[str, ...]) -> None:
    """From memory of how the words are used; no source."""
    found = REGISTER.resolve(word)
    assert isinstance(found, Ambiguous)
    assert {s.name for s in found.candidates} >= some
    assert found.outside == outside


@pytest.mark.parametrize(
    "text", ["Acer", "acer sp.", "Acer spp.", "Acer 'Redwing'", "Acer Redwing", "maple", "kaede"]
)
def test_a_bare_genus_of_one_calendar(text: str) -> None:
    found = REGISTER.resolve(text)
    assert isinstance(found, Genus)
    assert (found.species.name, found.species.group, found.species.genus) == ("Acer", "maple", "acer")
    assert "species is not given" in found.warning


def test_a_genus_that_was_left_means_what_was_filed_under_it() -> None:
    found = REGISTER.resolve("Fortunella sp.")
    assert isinstance(found, Genus) and {s.name for s in found.members} == {"Citrus japonica", "Citrus hindsii"}
    cherry = REGISTER.resolve("Armeniaca")
    assert isinstance(cherry, Genus) and {s.name for s in cherry.members} == {"Prunus armeniaca", "Prunus mume"}


@pytest.mark.parametrize(
    ("text", "default"),
    [
        ("Pinus", "single-flush pine"),
        ("pine", "single-flush pine"),
        ("matsu", "single-flush pine"),
        ("Juniperus sp.", "scale juniper"),
        ("Quercus", "beech and oak"),
        ("Rhododendron", "satsuki azalea"),
        ("azalea", "satsuki azalea"),
        ("Ficus", "tropical"),
        ("Prunus 'Kanzan'", "flowering deciduous"),
        ("cherry", "flowering deciduous"),
        ("Ilex", "evergreen broadleaf"),
        ("Euonymus", "evergreen broadleaf"),
        ("Elaeagnus", "evergreen broadleaf"),
        ("Buxus", "evergreen broadleaf"),
        ("Nothofagus", "australasian evergreen"),
        ("Berberis", ""),
    ],
)
def test_a_genus_of_several_calendars_is_asked(text: str, default: str) -> None:
    found = REGISTER.resolve(text)
    assert isinstance(found, Ambiguous)
    assert found.default == default
    assert len({s.group for s in found.candidates}) > 1


def test_any_azalea_but_satsuki() -> None:
    found = REGISTER.resolve("tsutsuji")
    assert isinstance(found, Genus) and found.species.group == "early azalea"


@pytest.mark.parametrize("genus", sorted({s.name.split(" ")[0] for s in ALL}))
def test_the_careful_values_of_a_genus(genus: str) -> None:
    """Each column by itself: no member is more delicate, thirstier or more poisonous than the answer."""
    members = [s for s in ALL if s.name.startswith(f"{genus} ")]
    found = REGISTER.resolve(f"{genus} sp.")
    if len({s.group for s in members}) > 1:
        assert isinstance(found, Ambiguous) and set(found.candidates) == set(members)
        return
    assert isinstance(found, Genus)
    one = found.species
    for s in members:
        assert one.root_young >= s.root_young and one.root_mature >= s.root_mature
        assert DEFOLIATION.index(one.full_defoliation) <= DEFOLIATION.index(s.full_defoliation)
        assert CHILL.index(one.chill) <= CHILL.index(s.chill)
        assert POISON.index(one.poison) <= POISON.index(s.poison)
        assert WATER.index(one.water) <= WATER.index(s.water)
        assert ROOT_PRUNING.index(one.root_pruning) <= ROOT_PRUNING.index(s.root_pruning)
        assert one.bleeds or not s.bleeds
        assert s.backbuds or not one.backbuds
        assert one.active_night_c is None or one.active_night_c >= (s.active_night_c or -99)
        assert one.shade_above_c is None or one.shade_above_c <= (s.shade_above_c or 99)
        assert s.thorns in one.thorns
    assert (one.root_young, one.root_mature) == (
        max(s.root_young for s in members),
        max(s.root_mature for s in members),
    )
    assert one.root_young in {s.root_young for s in members}


@pytest.mark.parametrize(
    "text",
    ["Larix × marschlinsii", "Larix x marschlinsii", "Larix X marschlinsii", "larix marschlinsii", "Larix eurolepis"],
)
def test_the_hybrid_sign_makes_no_difference(text: str) -> None:
    assert known(text).species.name == "Larix × marschlinsii"


def test_a_sign_before_the_genus() -> None:
    assert known("× Cupressocyparis leylandii").species.name == "Cupressus × leylandii"


@pytest.mark.parametrize(
    "text",
    [
        "Acer buergerianum × palmatum",
        "Acer buergerianum x palmatum",
        "Acer buergerianum × A. palmatum",
        "Acer buergerianum × Acer palmatum 'Deshojo'",
        "Acer trifidum × palmatum",
    ],
)
def test_a_formula_takes_the_stricter_parent(text: str) -> None:
    trident, palmatum = BY_NAME["Acer buergerianum"], BY_NAME["Acer palmatum"]
    found = known(text)
    one = found.species
    assert found.how == "hybrid" and one.group == "maple"
    assert one.root_young == max(trident.root_young, palmatum.root_young)
    assert one.root_mature == max(trident.root_mature, palmatum.root_mature)
    assert one.full_defoliation == min(trident.full_defoliation, palmatum.full_defoliation, key=DEFOLIATION.index)
    # trident 160 and 290 of its own; palmatum keeps its group's 190 and 340
    assert (one.swell, one.open) == (pytest.approx(175), pytest.approx(315))


def test_a_formula_of_two_calendars_is_asked() -> None:
    found = REGISTER.resolve("Quercus robur × ilex")
    assert isinstance(found, Ambiguous) and [s.name for s in found.candidates] == ["Quercus robur", "Quercus ilex"]


def test_a_formula_with_an_unknown_parent() -> None:
    found = REGISTER.resolve("Acer palmatum × nusquamense")
    assert isinstance(found, Unknown) and found.parent == "Acer nusquamense"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Rhododendron Satsuki", "Rhododendron Satsuki"),
        ("Rhododendron Satsuki Group 'Kozan'", "Rhododendron Satsuki"),
        ("Rhododendron (Satsuki) 'Kozan'", "Rhododendron Satsuki"),
        ("Rhododendron Kurume", "Rhododendron Kurume"),
    ],
)
def test_groups_of_cultivars_have_rows(text: str, name: str) -> None:
    assert known(text).species.name == name


def test_cultivars_without_a_species_give_the_genus() -> None:
    for text in ("Malus 'Evereste'", "Malus Evereste", "Malus cv. Evereste", "Malus hybrid"):
        found = REGISTER.resolve(text)
        assert isinstance(found, Genus) and found.species.name == "Malus", text


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Acer palmatun", "Acer palmatum"),
        ("Ulmus parvifola", "Ulmus parvifolia"),
        ("Pinus thumbergii", "Pinus thunbergii"),
        ("trident mapel", "Acer buergerianum"),
        ("Larix leptolepsis", "Larix kaempferi"),
    ],
)
def test_near_spellings_are_asked(text: str, meant: str) -> None:
    found = REGISTER.resolve(text)
    assert isinstance(found, Near) and found.candidates[0].name == meant
    assert isinstance(REGISTER.find(text), Unknown), "nothing is taken for a slip unasked"


def test_a_letter_left_out_is_seen_in_every_name() -> None:
    for species in ALL[::7]:
        middle = len(species.name) - 3
        text = species.name[:middle] + species.name[middle + 1 :]
        found = REGISTER.resolve(text)
        assert isinstance(found, Near) and species in found.candidates, text


def test_an_unknown_species_of_a_known_genus_has_kin() -> None:
    found = REGISTER.resolve("Larix olgensis")
    assert isinstance(found, Unknown) and found.hint == "deciduous conifer"
    assert {s.genus for s in found.kin} == {"larix"}


@pytest.mark.parametrize("text", ["", " ", "×", "x", "'", "''", "sp.", "…", "Nusquama nulla", "盆栽", "A" * 10_000])
def test_what_is_no_name_at_all(text: str) -> None:
    assert isinstance(REGISTER.resolve(text), Unknown)


@given(st.text(max_size=60))
def test_no_text_stops_the_register(text: str) -> None:
    assert isinstance(REGISTER.find(text), Known | Genus | Ambiguous | Unknown)
    assert name_key(taken_apart(text).whole) == taken_apart(text).whole


@given(
    st.sampled_from(ALL),
    st.sampled_from(["'Alba'", "‘Little Gem’", '"Nana"', "cv. Nana", "Siebold & Zucc.", "(L.) Mill."]),
)
def test_trimmings_change_nothing(species: object, trimming: str) -> None:
    name = species.name  # type: ignore[attr-defined]
    assert known(f"{name} {trimming}").species is known(name).species


def test_the_cultivar_is_kept_for_the_file() -> None:
    assert cultivar_of("Japanese maple 'Deshojo'") == "'Deshojo'"
    assert cultivar_of("Hall's crab apple") == ""
