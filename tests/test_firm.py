"""A firm's settings: stated by the user, checked one by one, none made up."""

from datetime import date

import pytest

from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm


def test_nothing_about_money_is_assumed():
    firm = Firm()
    for name in ("day_rate", "wanted_margin", "overhead_per_year", "helper_day_cost",
                 "owner_day_cost", "working_days_per_year"):  # fmt: skip
        assert getattr(firm, name) is None
    assert firm.overhead_per_day is None


def test_overhead_of_a_day_needs_both_its_parts():
    assert Firm(overhead_per_year=46_000, working_days_per_year=200).overhead_per_day == 230
    assert Firm(overhead_per_year=46_000).overhead_per_day is None
    assert Firm(working_days_per_year=200).overhead_per_day is None


def test_changes_give_a_copy_and_whole_numbers_become_floats():
    firm = Firm()
    changed = firm.changed({"day_rate": 512, "currency": "CAD", "tax_recoverable": False})
    assert (changed.day_rate, changed.currency, changed.tax_recoverable) == (512.0, "CAD", False)
    assert isinstance(changed.day_rate, float)
    assert firm == Firm()


def test_words_and_index_of_the_firm():
    firm = Firm().changed(
        {
            "phase_words": {"tile": ["mudwork"]},
            "price_index": {"2024-01-01": 110, "2023-01-01": 100},
        }
    )
    assert firm.phase_words == {"tile": ("mudwork",)}
    assert list(firm.price_index.items()) == [("2023-01-01", 100.0), ("2024-01-01", 110.0)]


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"daily_rate": 1}, "'daily_rate' is no setting costlearn knows"),
        ({"day_rate": "512"}, "found '512'"),
        ({"day_rate": True}, "found True"),
        ({"day_rate": -1}, "a number from 0"),
        ({"day_rate": float("nan")}, "found nan"),
        ({"wanted_margin": 27}, "a number from 0 to 0.95"),
        ({"hours_per_day": 0}, "a number from 1 to 24"),
        ({"working_days_per_year": 400}, "a number from 1 to 366"),
        ({"currency": "dollars"}, "three capital letters"),
        ({"currency": 5}, "a text in quotes"),
        ({"date_order": "american"}, "'month-first' or 'day-first'"),
        ({"area_unit": "acre"}, "'sqft' or 'sqm'"),
        ({"tax_recoverable": 1}, "true or false"),
        ({"phase_words": {"tile": "mudwork"}}, "lists of words"),
        ({"phase_words": ["tile"]}, "lists of words"),
        ({"price_index": {"2024-01-01": 0}}, "dates with levels"),
        ({"price_index": {"2024-01-01": True}}, "dates with levels"),
        ({"exchange": {"USD": 1.4}}, "currencies with dated rates"),
        ({"exchange": {"USD": {}}}, "currencies with dated rates"),
        ({"day_rates": 240}, "names with day rates, such as Kim = 240"),
        ({"day_rates": {"Kim": -1}}, "a number of zero or more"),
        ({"day_rates": {"Kim": 240, "KIM": 250}}, "'kim' stands there twice"),
        ({"exchange": {"dollars": {"2025-01-01": 1.4}}}, "three capital letters"),
        ({"exchange": {"USD": {"2025-01-01": -1.4}}}, "dates with levels"),
        ({"exchange": {"USD": {"january": 1.4}}}, "dates with levels"),
    ],
)
def test_a_setting_that_cannot_be_used_is_refused_in_one_sentence(values, told):
    with pytest.raises(InputProblem) as problem:
        Firm().changed(values, place=Place("firm.toml"))
    assert told in str(problem.value)
    assert str(problem.value).startswith("firm.toml, entry 'firm.")


def test_a_rate_of_exchange_holds_from_its_date_until_the_next():
    given = {"USD": {"20250601": 1.37, "2025-01-01": 1.44}, "EUR": {"2025-01-01": 1.5}}
    firm = Firm(currency="CAD").changed({"exchange": given})
    assert firm.rate_on("USD", date(2024, 12, 31)) is None
    assert firm.rate_on("USD", date(2025, 1, 1)) == ("2025-01-01", 1.44)
    assert firm.rate_on("USD", date(2025, 5, 31)) == ("2025-01-01", 1.44)
    assert firm.rate_on("USD", date(2026, 1, 1)) == ("2025-06-01", 1.37)
    assert firm.rate_on("GBP", date(2026, 1, 1)) is None
    assert firm.rate_on("USD", None) is None


@pytest.mark.parametrize(
    ("written", "unit"), [("m2", "sqm"), ("m²", "sqm"), ("sq ft", "sqft"), ("sqm", "sqm")]
)
def test_a_unit_of_area_may_be_written_as_people_write_it(written: str, unit: str) -> None:
    assert Firm().changed({"area_unit": written}).area_unit == unit
