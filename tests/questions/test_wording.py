"""Figures in words."""

import pytest

from costlearn.models.distribution import Interval
from costlearn.questions import wording as w


def test_a_range_says_its_unit_once():
    assert w.say_range(Interval(0.8, 6.2, 11.1), "site_days", "USD") == "6 to 11 days"
    assert w.say_range(Interval(0.8, 13940, 19710), "cost", "USD") == "$13,900 to $19,700"
    assert w.say_range(Interval(0.8, -1594, 31732), "cost", "CAD") == "-$1,590 to $31,700"


@pytest.mark.parametrize(
    ("words", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (list("abc"), "a, b and c")],
)
def test_lists(words, said):
    assert w.say_list(words) == said
    assert w.say_list(["a", "b", "c"], "or") == "a, b or c"


def test_numbers_and_their_verbs():
    assert (w.count_of(1, "job"), w.count_of(0, "job")) == ("1 job", "0 jobs")
    assert (w.is_are(1), w.is_are(2), w.is_are(0)) == ("is", "are", "are")


def test_every_target_has_plain_words():
    assert w.say(6.3, "person_days", "USD") == "6.5 days"
    assert w.say(6300, "cost", "USD") == "$6,300"
    assert set(w.PLAIN_TARGET) == {"cost", "person_days", "site_days", "elapsed_days"}
