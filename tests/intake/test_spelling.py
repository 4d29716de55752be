"""Which close spellings are taken, asked, or unknown."""

from __future__ import annotations

import pytest

from costlearn.intake.spelling import likest, nearest


@pytest.mark.parametrize(
    ("word", "known", "sure"),
    [
        ("niches", "niche", True),  # 2 x 5 of 11 letters alike: 91
        ("strat date", "start date", True),  # 2 x 9 of 20: 90
        ("demmo", "demo", True),  # 89, and one letter too many
        ("plumb ruff", "plumb rough", False),  # 2 x 8 of 21: 76
        ("client phone", "client", False),  # all its words, and one more
    ],
)
def test_sure_or_not(word: str, known: str, sure: bool) -> None:
    hits = nearest(word, [known, "zzzz"])
    assert [h.word for h in hits] == [known]
    assert hits[0].sure is sure


def test_the_word_itself_comes_before_longer_words_that_hold_it() -> None:
    longer = [f"{chr(97 + i)}{chr(98 + i)} date" for i in range(24)]
    assert nearest("date", [*longer, *(f"{w} of it" for w in longer), "date"])[0].word == "date"


def test_words_below_seventy_are_not_near() -> None:
    assert nearest("unicorn", ["niche", "bench"]) == ()
    assert nearest("ab", ["ab c"]) == ()


def test_a_hint_names_the_likest_however_far() -> None:
    assert likest("prise", ["paid", "price"], 1) == ("price",)
