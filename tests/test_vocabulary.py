"""The words of the trade: each leads to one thing, and words with several meanings are asked."""

import pytest

from costlearn.errors import InputProblem
from costlearn.vocabulary import fold, standard

WORDS = standard()


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("  Céramique/GROUT ", "ceramique grout"),
        ("R/I--plumb.", "r i plumb"),
        ("mud & tape", "mud & tape"),
        ("Sub-floor", "sub floor"),
        ("", ""),
    ],
)
def test_folding_keeps_what_matters(text, folded):
    assert fold(text) == folded


def test_keys_are_unique_and_every_phase_named_by_an_item_exists():
    for entries in (WORDS.phases, WORDS.items, WORDS.cost_kinds, WORDS.job_kinds):
        keys = [e.key for e in entries]
        assert len(keys) == len(set(keys))
    phases = {p.key for p in WORDS.phases}
    assert len(phases) == 14
    for item in WORDS.items:
        assert item.phases and set(item.phases) <= phases, item.key
        assert item.unit in {"sqft", "lnft", "each"}, item.key
        assert item.enters in {"yes", "wall", "moved", "lights"}, item.key
    for choices in WORDS.ask.values():
        assert set(choices) <= phases


def test_every_phase_and_item_is_found_by_key_name_and_own_spellings():
    for item in WORDS.items:
        assert WORDS.find_item(item.key) == WORDS.find_item(item.name.upper()) == item
    for phase in WORDS.phases:
        if fold(phase.key) not in WORDS.ask:
            assert WORDS.find_phase(phase.key) == phase.key
        assert WORDS.find_phase(phase.name) == phase.key
        for word in phase.words:
            if fold(word) not in WORDS.ask:
                assert WORDS.find_phase(word) == phase.key, word


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("tear-out", "demo"),
        ("RI plumb", "plumb_rough"),
        ("gypsum board", "board"),
        ("CBU", "waterproof"),
        ("tiles/grout", "tile"),
        ("Peinture", "paint"),
    ],
)
def test_usual_phase_words(word, key):
    assert WORDS.find_phase(word) == key


@pytest.mark.parametrize("word", ["rough-in", "finish", "Trim", "mud", "board", "base"])
def test_words_of_several_meanings_are_asked_with_the_choices(word):
    with pytest.raises(InputProblem) as problem:
        WORDS.find_phase(word)
    for choice in WORDS.ask[fold(word)]:
        assert choice in str(problem.value)
    assert fold(word) not in WORDS.phase_words


def test_unknown_words_name_the_nearest_known_ones():
    with pytest.raises(InputProblem, match="'membrane'"):
        WORDS.find_item("membrain")
    with pytest.raises(InputProblem, match="'tiling'"):
        WORDS.find_phase("tilling")
    with pytest.raises(InputProblem, match="'nothing_such' is no scope item"):
        WORDS.item("nothing_such")


def test_a_firm_may_add_spellings_and_phases_of_its_own():
    own = WORDS.with_phases({"tile": ("mudwork",), "sauna_bench": ("sauna",)})
    assert own.find_phase("Mudwork") == "tile"
    assert own.find_phase("sauna") == "sauna_bench"
    assert own.phase_name("sauna_bench") == "sauna bench"
    assert own.phase_order["sauna_bench"] == 14
    assert own.find_phase("grout") == "tile"
    with pytest.raises(InputProblem):
        WORDS.find_phase("sauna")


def test_phases_stand_in_the_order_of_work():
    order = WORDS.phase_order
    trade = ["demo", "plumb_rough", "board", "waterproof", "tile", "finish_set", "closeout"]
    assert [order[p] for p in trade] == sorted(order[p] for p in trade)
    assert WORDS.phase_name("tile") == "Tile and grout"
    assert WORDS.phase_name("of_our_own") == "of our own"


def test_lookups_of_cost_kinds_and_jobs():
    assert WORDS.cost_words[fold("Sub-trade")] == "sub"
    assert WORDS.cost_words["hst"] == "tax"
    assert WORDS.job_words["powder room"] == "bathroom"
    assert WORDS.job_words["cuisine"] == "kitchen"


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("Démolition complète", "gut_demo"),
        ("plancher chauffant", "heated_floor"),
        ("douche sans seuil", "curbless"),
        ("céramique murale", "wall_tile"),
        ("Toilette", "toilet"),
        ("évier de buanderie", "laundry_hookup"),
    ],
)
def test_usual_items_in_french(word, key):
    assert WORDS.find_item(word).key == key


def test_french_roughs_name_their_trade():
    assert WORDS.find_phase("Plomberie (rough)") == "plumb_rough"
    assert WORDS.find_phase("Gypse et joints") == "board"
