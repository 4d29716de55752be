"""Cells of texts, numbers, counts, shares, yes and no; the spellings are common practice."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.intake.values.cells import (
    Raw,
    Reading,
    is_missing,
    read_count,
    read_number,
    read_percent,
    read_yes_no,
    vote_decimal,
)
from costlearn.intake.values.days import read_day, vote_date_order
from costlearn.intake.values.money import read_money
from costlearn.intake.values.numerals import hinted_decimal, numeral, take_sign, tidy
from costlearn.intake.values.sizes import read_area, read_hours
from costlearn.intake.values.stints import read_stint

anything = st.one_of(
    st.text(),
    st.text(alphabet="0123456789.,'\"-+()$%/xX* hdjmCRincl:HST½²\u00a0\u2212#?k"),
    st.integers(),
    st.floats(),
    st.booleans(),
    st.dates(),
    st.datetimes(),
    st.times(),
    st.timedeltas(),
    st.none(),
)
marks = st.sampled_from([".", ","])


@given(anything, marks, st.sampled_from([None, "sqft", "sqm", "hours", "days"]))
def test_no_cell_ever_raises_and_none_has_both_a_value_and_a_problem(
    raw: Raw, decimal: str, unit: str | None
) -> None:
    readings: list[Reading[object]] = [
        read_number(raw, decimal=decimal),
        read_count(raw, decimal=decimal),
        read_yes_no(raw),
        read_percent(raw, decimal=decimal),
        read_money(raw, decimal=decimal),
        read_money(raw, decimal=decimal, tax_rate=0.13),
        read_day(raw, order="month-first"),
        read_day(raw, order="day-first"),
        read_area(raw, unit=unit, decimal=decimal),
        read_hours(raw, unit=unit, hours_per_day=8, decimal=decimal),
        read_stint(raw, unit=unit, hours_per_day=8, decimal=decimal),
        read_money(raw, decimal=decimal, ranges=True, unit=1000),
    ]
    for reading in readings:
        assert reading.value is None or reading.problem == ""
        assert (reading.problem == "") == (reading.code == "")
        if is_missing(raw):
            assert reading.value is None
            assert reading.problem == ""
    assert vote_decimal([raw]) in {".", ","}
    assert vote_date_order([raw], "day-first").clash is None


@pytest.mark.parametrize(
    "raw",
    [None, "", "  ", "\u00a0", "\ufeff", "-", "--", "—", "?", "??", "...", "n/a", "N/A", "NA",
    "n.a.",
     "TBD", "tba", "none", "null", "nan", "unknown", "#REF!", "#N/A", "#DIV/0!", "#VALUE!",
     "#NAME?",
     "#NUM!", "#NULL!", "#SPILL!", "#####", "Err:502", "#VALEUR!", "à venir", "s/o", "N/D", "“-”",
     "'", float("nan")],
)  # fmt: skip
def test_what_says_nothing_is_missing(raw: Raw) -> None:
    assert is_missing(raw)


@pytest.mark.parametrize("raw", ["0", 0, 0.0, False, "no", "x", "0.00", "PNS", "#12", "DOES"])
def test_zero_no_and_codes_are_not_missing(raw: Raw) -> None:
    assert not is_missing(raw)


def test_a_users_own_words_for_missing_are_compared_without_case_and_accents() -> None:
    assert is_missing(" pns ", also=["PNS"])
    assert is_missing("Différé", also=["differe"])
    assert not is_missing("PNS2", also=["PNS"])
    assert not is_missing("five", also=["", "  "])


def test_odd_characters_are_made_plain() -> None:
    assert tidy("\ufeff“12’\u00a06”\u200b ") == '"12\' 6"'
    assert tidy("1½") == "1 1/2"
    assert tidy("m²") == "m2"
    assert tidy("−5 – 3 — 2") == "-5 - 3 - 2"


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("1,250.50", ".", "1250.50"), ("1 250,50", ",", "1250.50"), ("1.250,50", ",", "1250.50"),
        ("1'250.50", ".", "1250.50"), (".5", ".", "0.5"), ("5.", ".", "5"), ("12,5", ".", None),
        ("12.5", ",", None), ("1,25,000", ".", None), ("1,250 000", ".", None), ("", ".", None),
        (".", ".", None), ("1,250,000", ".", "1250000"), ("٣", ".", None), ("1,2500", ".", None),
    ],
)  # fmt: skip
def test_numerals_are_strict_about_groups_and_marks(
    text: str, decimal: str, value: str | None
) -> None:
    found = numeral(text, decimal)
    assert found is None if value is None else str(found) in {value, value + "."}


@pytest.mark.parametrize("text", ["-5", "5-", "(5)", "- 5", "5 -", "( 5 )"])
def test_a_sign_may_stand_before_after_or_around(text: str) -> None:
    signed = take_sign(text)
    assert (signed.text, signed.minuses) == ("5", 1)


@pytest.mark.parametrize(
    ("text", "mark"),
    [
        ("12,5", ","), ("12.5", "."), ("1,250", ""), ("1.250", ""), ("1,250.5", "."),
        ("1.250,5", ","), ("1,250,000", "."), ("1.250.000", ","), ("1 250,000", ","), ("0,125",
        ","),
        ("12345,678", ","), ("30", ""), ("3.4.2025", ""), ("1 250,00 $", ","), ("no figure", ""),
        ("2.50 or 2,50", ""), ("42.", ""),
    ],
)  # fmt: skip
def test_what_one_cell_proves_about_the_decimal_mark(text: str, mark: str) -> None:
    assert hinted_decimal(text) == mark


def test_a_column_votes_on_its_decimal_mark() -> None:
    assert vote_decimal(["12,5", "30", "1\u00a0250,00\u00a0$"]) == ","
    assert vote_decimal(["1,250", "2,400", 12.5, None]) == "."
    assert vote_decimal(["12,5", "12.5"]) == "."
    assert vote_decimal(["12,5", "13,5", "12.5"]) == ","
    assert vote_decimal([]) == "."


def test_one_bad_cell_does_not_take_its_column_with_it() -> None:
    assert vote_decimal(["$5,4oo", "18,22O", "12,400"]) == "."
    assert vote_decimal(["5,4k", "$12,400"]) == "."
    assert vote_decimal(["5,4k", "12,5k", "9k"]) == ","
    assert vote_decimal(["5,4k", "1.250,00"]) == ","


@given(
    st.lists(st.integers(min_value=-(10**9), max_value=10**9), min_size=1), st.sampled_from(".,")
)
def test_a_column_written_with_cents_always_proves_its_mark(cents: list[int], mark: str) -> None:
    other = "," if mark == "." else "."
    written = [f"{c / 100:,.2f}".translate(str.maketrans(",.", other + mark)) for c in cents]
    assert vote_decimal(written) == mark


def test_numbers() -> None:
    assert read_number("1,250.5").value == 1250.5
    assert read_number("(3)").value == -3.0
    assert read_number("3-").value == -3.0
    assert read_number(7).value == 7.0
    assert read_number("“7”").value == 7.0
    assert read_number("12,5", decimal=",").value == 12.5
    assert read_number("0").value == 0.0


def test_a_number_that_does_not_fit_its_columns_decimal_mark_is_a_problem_not_a_guess() -> None:
    assert "decimal mark '.'" in read_number("12,5").problem
    assert "decimal mark ','" in read_number("12.5", decimal=",").problem


@pytest.mark.parametrize("raw", ["1e999", "inf", float("inf"), "9" * 400, 1e11, "twelve", True])
def test_what_is_no_number_says_why(raw: Raw) -> None:
    reading = read_number(raw)
    assert reading.value is None
    assert reading.problem


@pytest.mark.parametrize("raw", [date(2025, 3, 3), datetime(2025, 3, 3), time(6, 30), timedelta(1)])
def test_a_date_or_time_is_no_number_and_no_money(raw: Raw) -> None:
    assert "no number" in read_number(raw).problem
    assert "no amount of money" in read_money(raw).problem


@pytest.mark.parametrize(
    ("raw", "count"),
    [("2", 2), ("2.0", 2), (3.0, 3), ("2 ea", 2), ("x2", 2), ("2x", 2), ("2 pcs.", 2), ("two", 2),
     ("deux", 2), ("qty 4", 4), ("0", 0), ("1,200", 1200)],
)  # fmt: skip
def test_counts(raw: Raw, count: int) -> None:
    assert read_count(raw).value == count


@pytest.mark.parametrize(("raw", "why"), [("1.5", "whole"), ("-1", "negative"), ("few", "count")])
def test_what_is_no_count_says_why(raw: Raw, why: str) -> None:
    assert why in read_count(raw).problem


@pytest.mark.parametrize(
    "raw", ["yes", "Y", "TRUE", "x", "X", "✓", "✔\ufe0f", "☑", 1, 1.0, True, "Oui"]
)
def test_yes(raw: Raw) -> None:
    assert read_yes_no(raw).value is True


@pytest.mark.parametrize("raw", ["no", "N", "False", "✗", "☐", 0, 0.0, False, "non"])
def test_no(raw: Raw) -> None:
    assert read_yes_no(raw).value is False


def test_neither_yes_nor_no() -> None:
    assert read_yes_no("") == Reading()
    assert read_yes_no("n/a") == Reading()
    assert "neither" in read_yes_no("maybe").problem
    assert "neither" in read_yes_no(2).problem


@pytest.mark.parametrize(
    ("raw", "share"),
    [("45%", 0.45), ("45 %", 0.45), (45, 0.45), (0.45, 0.45), ("100", 1.0), (100, 1.0), ("1%",
    0.01),
     ("0", 0.0), ("0 %", 0.0), ("7,5 %", 0.075), ("60 percent", 0.6), ("1.5 %", 0.015)],
)  # fmt: skip
def test_shares(raw: Raw, share: float) -> None:
    decimal = "," if raw == "7,5 %" else "."
    assert read_percent(raw, decimal=decimal).value == pytest.approx(share)


def test_a_bare_one_is_the_whole_and_says_so() -> None:
    assert read_percent(1).value == 1.0
    assert "100 %" in read_percent(1).note


@pytest.mark.parametrize("raw", ["120%", 101, -5, "-5 %", 1.2, "half", "%"])
def test_what_is_no_share_of_the_work(raw: Raw) -> None:
    reading = read_percent(raw)
    assert reading.value is None
    assert reading.problem


def test_long_cells_are_cut_in_the_sentence_about_them() -> None:
    problem = read_number("words " * 50).problem
    assert len(problem) < 70
    assert "..." in problem
