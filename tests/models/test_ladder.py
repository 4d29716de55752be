"""The arithmetic of price: every step there and back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Draws, LogSpread, Multipliers
from costlearn.models.ladder import (
    break_even_count,
    chance_of_margin,
    goods_variance,
    labour_variance,
    margin_from_markup,
    margin_of,
    markup_from_margin,
    markup_of,
    price_for,
)

COST = LogSpread(np.log(15_000), 0.2, Multipliers.from_errors([], 12.0))


@given(st.floats(-0.9, 0.95))
def test_margin_and_markup_are_inverse(margin: float):
    assert margin_from_markup(markup_from_margin(margin)) == pytest.approx(margin, abs=1e-9)


@given(st.floats(1, 1e6), st.floats(1, 1e6))
def test_margin_and_markup_of_one_price_agree(price: float, cost: float):
    assert margin_from_markup(markup_of(price, cost)) == pytest.approx(
        margin_of(price, cost), rel=1e-6, abs=1e-9
    )


def test_half_again_on_cost_leaves_a_third_of_the_price():
    assert margin_of(15_000, 10_000) == pytest.approx(1 / 3)
    assert markup_of(15_000, 10_000) == pytest.approx(0.5)


def test_selling_below_cost_is_a_negative_margin():
    assert margin_of(8000, 10_000) == pytest.approx(-0.25)
    assert markup_of(8000, 10_000) == pytest.approx(-0.2)


def test_price_for_a_margin_with_a_confidence():
    """A cost that stays under c with 80 % leaves at least 25 % of c / .75 with 80 %."""
    price = price_for(COST, 0.25, 0.8)
    assert price == pytest.approx(COST.quantile(0.8) / 0.75)
    assert chance_of_margin(COST, price, 0.25) == pytest.approx(0.8)


def test_chance_of_a_margin_by_counting_draws():
    """Price 100, margin 20 %: costs up to 80 will do, three of the four draws."""
    costs = Draws.of([60.0, 70.0, 80.0, 95.0])
    assert chance_of_margin(costs, 100, 0.2) == 0.75


def test_labour_variance_adds_up_to_actual_less_planned():
    found = labour_variance(12, 60, 10, 55)
    assert (found.rate, found.efficiency) == (60, 110)
    assert found.total == 12 * 60 - 10 * 55


def test_saving_shows_as_negative():
    found = labour_variance(8, 50, 10, 50)
    assert (found.rate, found.efficiency) == (0, -100)


def test_break_even_count():
    assert break_even_count(60_000, 18_000, 13_000) == pytest.approx(12)


@pytest.mark.parametrize(
    "impossible",
    [
        lambda: margin_of(0, 10),
        lambda: markup_of(10, 0),
        lambda: markup_from_margin(1.0),
        lambda: margin_from_markup(-1.0),
        lambda: price_for(COST, 1.2, 0.8),
        lambda: price_for(COST, 0.2, 1.0),
        lambda: break_even_count(100, 10, 10),
        lambda: break_even_count(100, 10, 12),
    ],
)
def test_impossible_questions_are_refused(impossible):
    with pytest.raises(NothingToSay):
        impossible()


def test_goods_cost_more_through_price_or_quantity():
    """Planned 100 at 8, used 110 at 9: price 110 x 1 = 110, quantity 10 x 8 = 80."""
    found = goods_variance(110, 9, 100, 8)
    assert (found.price, found.quantity, found.total) == (110, 80, 190)
