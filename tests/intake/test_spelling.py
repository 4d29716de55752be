"""What is known, a slip of the pen, a likely choice for a question, or nothing like it."""

from __future__ import annotations

import pytest

from costlearn.intake.spelling import Recognised, likest, recognise
from costlearn.intake.targets import headings
from costlearn.vocabulary import fold, is_slip, standard

WORDS = standard()
PHASES = {**{word: word for word in WORDS.ask}, **WORDS.phase_words}


@pytest.mark.parametrize(
    ("word", "known"),
    [
        ("demmolition", "demolition"),  # a letter too many
        ("demoliton", "demolition"),  # one missing
        ("demolitoin", "demolition"),  # two swapped
        ("demolitiom", "demolition"),  # one wrong
        ("heatd floor", "heated floor"),  # in one word of several
        ("dry wall", "drywall"),  # a space too many
    ],
)
def test_one_letter_in_a_word_of_six_is_a_slip_of_the_pen(word: str, known: str) -> None:
    assert recognise(word, {known: "it", "zzzz": "other"}) == Recognised(known, slip=True)


@pytest.mark.parametrize(
    ("word", "known"),
    [
        ("demmo", "demo"),  # too short a word
        ("tyle", "tile"),
        ("strat date", "start date"),  # a word of five
        ("fancy niche", "niche"),  # a word more, which the trade may not know
    ],
)
def test_what_is_only_like_a_known_word_is_a_choice(word: str, known: str) -> None:
    assert recognise(word, {known: "it", "zzzz": "other"}) == Recognised(likely=(known,))


def test_a_word_as_near_to_two_meanings_is_a_choice_between_them() -> None:
    known = {"panels": "glass", "panell": "wiring"}
    assert set(recognise("panelz", known).likely) == {"panels", "panell"}
    assert recognise("panelz", {"panels": "one", "panell": "one"}).slip


def test_figures_and_short_words_are_never_a_slip() -> None:
    assert not is_slip("14 juniper", "15 juniper")
    assert not is_slip("juniper14", "juniper15")
    assert not is_slip("tub in", "tub on")
    assert not is_slip("2024 03", "202403 ")


def test_a_plural_is_the_word_itself() -> None:
    assert recognise("niches", {"niche": "it"}) == Recognised("niche")


@pytest.mark.parametrize(
    ("word", "wrong"),
    [
        ("Construction", "precon"),
        ("Island", "board"),
        ("pc", "finish_set"),
        ("Counters done", "demo"),
        ("Glass deposit", "finish_set"),
        ("Tile deposit", "tile"),
        ("Printing", "paint"),
        ("Pointing", "paint"),
        ("Dusting", "vent"),
        ("Renting", "vent"),
        ("Routing", "tile"),
        ("Packing", "setup"),
        ("Casting", "cabs_trim"),
        ("Tapping", "board"),
        ("Shower curtain", "finish_set"),
        ("New work", "demo"),
        ("Site work", "precon"),
        ("Work on site", "setup"),
        ("Wall clock", "board"),
        ("Floor plan copy", "precon"),
        ("Client visit lunch", "precon"),
        ("Paint store", "paint"),
        ("Door to door flyers", "cabs_trim"),
        ("Vanity plates", "cabs_trim"),
        ("Final bill", "closeout"),
        ("Clean energy", "closeout"),
        ("Punch bowl", "closeout"),
        ("Mirror image", "finish_set"),
        ("Trim rental", "cabs_trim"),
        ("Stone mason", "tile"),
    ],
)
def test_traps_among_phases(word: str, wrong: str) -> None:
    found = recognise(fold(word), PHASES)
    assert not found.word or found.word in WORDS.ask
    assert wrong not in [PHASES.get(w) for w in found.likely]


@pytest.mark.parametrize(
    ("word", "wrong"),
    [
        ("island", "insulation"),
        ("counters", "gut_demo"),
        ("shower curtain", "shower_glass"),
        ("toilet paper", "toilet"),
        ("vanity plate", "vanity"),
        ("window cleaning", "door_window"),
        ("glass deposit", "shower_glass"),
        ("prices", "outlet"),
        ("postes", "door_window"),
        ("new work", "new_partition"),
        ("floor plan", "heated_floor"),
        ("wall clock", "wall_tile"),
        ("door bell", "door_window"),
        ("paint store", "paint"),
        ("bench press", "bench"),
        ("light lunch", "lighting"),
    ],
)
def test_traps_among_scope_items(word: str, wrong: str) -> None:
    items = {w: " ".join(keys) for w, keys in WORDS.scope_words.items() if keys}
    found = recognise(word, items)
    assert wrong not in [items.get(w) for w in (found.word, *found.likely)]


@pytest.mark.parametrize(
    ("word", "known"),
    [
        ("Supplier", WORDS.cost_words),
        ("Casement", WORDS.job_words),
        ("Starter", headings().states),
        ("Finisher", headings().states),
        ("Client phone", headings().fields["jobs"]),
        ("Number of stairs", headings().fields["jobs"]),
        ("Total floors", headings().measures),
    ],
)
def test_traps_among_kinds_states_and_headings(word: str, known: dict[str, str]) -> None:
    assert recognise(fold(word), known) == Recognised()


def test_prose_and_words_of_two_letters_are_like_nothing() -> None:
    assert recognise("ab", {"ab c": "it"}) == Recognised()
    assert recognise("niche " * 100, {"niche": "it"}) == Recognised()


def test_a_hint_names_the_likest_however_far() -> None:
    assert likest("prise", ["paid", "price"], 1) == ("price",)
