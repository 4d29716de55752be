"""A price index: straight between its dates, level outside them."""

from datetime import date

import pytest

from costlearn.errors import InputProblem
from costlearn.features.prices import PriceIndex

TABLE = {"2023-01-01": 120.0, "2021-01-01": 100.0}


@pytest.fixture
def index() -> PriceIndex:
    found = PriceIndex.of(TABLE)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("day", "level"),
    [
        (date(2021, 1, 1), 100),
        (date(2022, 1, 1), 110),  # 365 of 730 days
        (date(2021, 7, 2), 100 + 20 * 182 / 730),
        (date(2023, 1, 1), 120),
        (date(2015, 1, 1), 100),
        (date(2030, 1, 1), 120),
    ],
)
def test_level_on_a_day(index, day, level):
    assert index.level(day) == pytest.approx(level)


def test_a_factor_brings_money_from_then_to_now(index):
    assert index.factor(date(2021, 1, 1), date(2023, 1, 1)) == pytest.approx(1.2)
    assert index.factor(date(2023, 1, 1), date(2022, 1, 1)) == pytest.approx(110 / 120)
    assert index.factor(date(2022, 5, 5), date(2022, 5, 5)) == 1.0


def test_there_and_back_is_one(index):
    then, now = date(2021, 9, 3), date(2022, 11, 30)
    assert index.factor(then, now) * index.factor(now, then) == pytest.approx(1)


def test_no_table_is_no_index():
    assert PriceIndex.of({}) is None


@pytest.mark.parametrize("day", ["01/02/2024", "2024-13-01", "spring"])
def test_a_date_that_is_none_is_refused(day):
    with pytest.raises(InputProblem, match="expected dates such as 2024-07-01"):
        PriceIndex.of({"2023-01-01": 100.0, day: 110.0})


def test_a_table_covers_its_dates_and_a_year_more(index):
    assert index.covers(date(2021, 1, 1))
    assert index.covers(date(2024, 1, 1))
    assert not index.covers(date(2024, 1, 2))
    assert not index.covers(date(2020, 12, 31))
