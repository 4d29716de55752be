"""Area, days and money: conversions against defined units, and how figures are spoken."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn import units as u


def test_conversions_follow_the_international_foot():
    """1 ft = 0.3048 m exactly (international yard and pound agreement, 1959)."""
    assert pytest.approx(1 / 0.3048, rel=1e-6) == u.FT_PER_M
    assert pytest.approx(1 / 0.3048**2, rel=1e-6) == u.SQFT_PER_SQM


@pytest.mark.parametrize(
    ("amount", "cents"),
    [(0, 0), (1.005, 101), (-1.005, -101), (0.1 + 0.2, 30), (18432.17, 1843217), (-0.004, 0)],
)
def test_cents_round_half_away_from_zero(amount, cents):
    assert u.to_cents(amount) == cents


@given(st.integers(-(10**12), 10**12))
def test_cents_survive_the_way_to_amounts_and_back(cents):
    assert u.to_cents(u.from_cents(cents)) == cents


@pytest.mark.parametrize(
    ("value", "figures", "rounded"),
    [(18432.17, 3, 18400), (0.012349, 2, 0.012), (-995.4, 2, -1000), (0, 3, 0)],
)
def test_significant_figures(value, figures, rounded):
    assert u.round_figures(value, figures) == pytest.approx(rounded)


def test_what_is_no_number_is_not_rounded_into_one():
    assert math.isnan(u.round_figures(math.nan, 3))
    assert math.isinf(u.round_figures(math.inf, 3))


@pytest.mark.parametrize(
    ("amount", "currency", "said"),
    [
        (18432.17, "USD", "$18,400"),
        (-640, "USD", "-$640"),
        (1234567, "CAD", "$1,230,000"),
        (75, "EUR", "€75"),
        (1250, "CHF", "CHF 1,250"),
        (-0.2, "USD", "$0"),
        (None, "USD", "not known"),
        (math.nan, "USD", "not known"),
    ],
)
def test_money_is_spoken_in_three_figures(amount, currency, said):
    assert u.say_money(amount, currency) == said


def test_exact_money_keeps_its_cents():
    assert u.say_money(18432.17, exact=True) == "$18,432.17"


@pytest.mark.parametrize(
    ("days", "said"),
    [(6.3, "6.5 days"), (1, "1 day"), (0.74, "0.5 days"), (0.75, "1 day"), (1200, "1,200 days")],
)
def test_days_are_spoken_in_halves(days, said):
    assert u.say_days(days) == said


def test_unknown_days_and_areas_say_so():
    assert u.say_days(None) == u.say_area(None) == u.say_percent(None) == "not known"


def test_percent_and_area():
    assert u.say_percent(0.125) == "13 %"
    assert u.say_percent(0.123, signed=True) == "+12 %"
    assert u.say_percent(-0.05, signed=True) == "-5 %"
    assert u.say_area(46.2) == "46 sq ft"
    assert u.say_area(107.639, "sqm") == "10.0 m²"


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.001, "fewer than 1 job in 100"),
        (0.03, "3 jobs in 100"),
        (0.1, "1 job in 10"),
        (0.31, "3 jobs in 10"),
        (0.93, "93 jobs in 100"),
        (0.999, "more than 99 jobs in 100"),
    ],
)
def test_odds_in_plain_words(chance, said):
    assert u.say_odds(chance) == said


@given(st.floats(0, 1))
def test_odds_never_say_none_or_all_of_them(chance):
    said = u.say_odds(chance)
    assert not said.startswith("0 ")
    assert "10 jobs in 10" not in said.replace("100", "")


@given(st.floats(0, 1))
def test_the_verb_follows_the_number(chance):
    said = u.say_odds(chance, ("costs", "cost"))
    assert said.endswith(" costs" if "1 job " in said else " cost")


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (0, "0 hours"),
        (1, "1 hour"),
        (1.0, "1 hour"),
        (0.5, "0.5 hours"),
        (12.3456789, "12.3457 hours"),
        (1_234_567, "1,234,567 hours"),
        (math.inf, "inf hours"),
    ],
)
def test_a_count_goes_with_its_noun(number, said):
    assert u.say_count(number, "hour") == said


def test_a_noun_may_have_a_plural_of_its_own():
    assert u.say_count(1, "entry", "entries") == "1 entry"
    assert u.say_count(2, "entry", "entries") == "2 entries"
