"""Cells of areas and of hours; expected values worked out by hand beside each."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.intake.values.cells import Raw
from costlearn.intake.values.lengths import Length, area_unit, quantity, read_length
from costlearn.intake.values.sizes import read_area, read_hours


@pytest.mark.parametrize(
    ("raw", "unit", "sqft"),
    [
        ("42 sf", None, 42), ("42 sq ft", "sqm", 42), ("42 sq. ft.", None, 42), ("42 SF", None, 42),
        ("42 ft²", None, 42), ("42 pi2", None, 42), ("42 pieds carrés", None, 42), ("42s.f.",
        None, 42),
        ("3.9 m2", None, 41.979), ("3.9 m²", "sqft", 41.979), ("3.9 sqm", None, 41.979),
        ("12'6\" x 5'", None, 62.5), ("12’ 6” × 5’", None, 62.5), ("5'-6\" x 8'-0\"", None, 44),
        ("5'6 x 8'", None, 44), ("5 ft 6 in x 8 ft", None, 44), ("60\" x 30\"", None, 12.5),
        ("60'' x 30''", None, 12.5), ("12 x 5 ft", None, 60), ("12 by 5 ft", None, 60),
        ("12 x 5", "sqft", 60), ("12x5 sf", None, 60), ("6 1/2' x 4'", None, 26),
        ("3.2 m x 2 m", None, 6.4 * 10.7639), ("320 cm x 200 cm", None, 6.4 * 10.7639),
        ("3 x 2", "sqm", 6 * 10.7639), ("42 sf + 18 sf", None, 60), ("~42 sf", None, 42),
        ("105ish sf", None, 105), ("105 sf or so", None, 105), ("9.8 m2", None, 105.486),
        ("8'6\" x 5'", None, 42.5), ("7' x 6'6\"", None, 45.5), ("5x8", "sqft", 40),
        (35, "sqft", 35), ("35", "sqft", 35), (3.9, "sqm", 41.979), ("1,200 sf", None, 1200),
        ("7½ sf", None, 7.5), ("0", "sqft", 0),
    ],
)  # fmt: skip
def test_areas(raw: Raw, unit: str | None, sqft: float) -> None:
    reading = read_area(raw, unit=unit)
    assert reading.value == pytest.approx(sqft, rel=1e-5)
    assert reading.problem == ""


def test_a_bare_rectangle_of_feet_is_a_room_in_a_firm_that_measures_in_square_feet() -> None:
    assert read_area("5x8", unit=None, firm_unit="sqft").value == 40
    assert read_area("5x8", unit=None, firm_unit="sqm").code == "no unit"
    for metres_too in ("2 x 3", "2.4 x 3.1", "5 x 5"):
        assert read_area(metres_too, unit=None, firm_unit="sqft").code == "no unit"


def test_decimal_comma_in_an_area() -> None:
    assert read_area("3,9 m2", unit=None, decimal=",").value == pytest.approx(41.979, rel=1e-5)
    # A number a workbook holds has no mark of its own.
    assert read_area(3.5, unit="sqft", decimal=",").value == 3.5


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (35, "no unit of area"), ("35", "no unit of area"), ("12 x 5", "no unit of length"),
        ("-5 sf", "negative"), ("-5", "negative"), ("12 x 5 x 8", "three sizes"), ("12 lf",
        "a length"),
        ("12 ft", "a length"), ("small", "no area"), ("100 each", "no area"), (True, "no area"),
        (date(2025, 3, 3), "a date"), (float("inf"), "no area"), ("2000000 sf", "too large"),
    ],
)  # fmt: skip
def test_what_is_no_area_says_why(raw: Raw, why: str) -> None:
    reading = read_area(raw, unit=None)
    assert reading.value is None
    assert why in reading.problem


def test_a_unit_of_another_measure_is_no_unit_of_area() -> None:
    assert "no unit" in read_area("12 x 5", unit="hours").problem
    assert "no unit" in read_area("12", unit="lnft").problem


def test_an_approximate_area_says_so() -> None:
    assert read_area("approx 42 sf", unit=None).note == "approximate"


def test_missing_sizes_are_no_problem() -> None:
    for raw in ("", None, "-", "TBD"):
        for reading in (read_area(raw, unit=None), read_hours(raw, unit=None, hours_per_day=8)):
            assert (reading.value, reading.problem) == (None, "")


@pytest.mark.parametrize(
    ("word", "unit"),
    [("sf", "sqft"), ("sq. ft.", "sqft"), ("sqft", "sqft"), ("m2", "sqm"), ("sqm", "sqm"), ("lf",
    None),
     ("ft", None), ("", None)],
)  # fmt: skip
def test_units_of_area(word: str, unit: str | None) -> None:
    assert area_unit(word) == unit


def test_lengths() -> None:
    assert read_length("12'6\"", ".") == Length(12.5, "ft")
    assert read_length("12", ".") == Length(12.0, "")
    assert read_length("6 m 3 ft", ".") is None
    assert quantity("1/0", ".") is None


@given(st.integers(1, 40), st.integers(0, 11), st.integers(1, 40), st.integers(0, 11))
def test_any_room_in_feet_and_inches_reads_back(a: int, b: int, c: int, d: int) -> None:
    expected = (a + b / 12) * (c + d / 12)
    for pattern in ("{}'{}\" x {}'{}\"", "{}' {}\" by {}' {}\"", "{} ft {} in x {} ft {} in"):
        reading = read_area(pattern.format(a, b, c, d), unit=None)
        assert reading.value == pytest.approx(expected)


@pytest.mark.parametrize(
    ("raw", "hours"),
    [
        ("2d 4h", 20), ("1 1/2 days", 12), ("1½ days", 12), ("half day", 4), ("6:30", 6.5),
        ("half a day", 4), ("½ day", 4), ("demi-journée", 4), ("full day", 8), ("one day", 8),
        ("2 days 4 hrs", 20), ("2 d, 4 h", 20), ("2 days and 4 hours", 20), ("3 jours", 24),
        ("one and a half days", 12), ("two days and a half", 20), ("6h30", 6.5), ("6 h 30", 6.5),
        ("2h 30m", 2.5), ("45 min", 0.75), ("4 man-days", 32), ("6 man-hours", 6), ("8 hrs.", 8),
        ("1 week", 40), ("7.5 heures", 7.5), (time(6, 30), 6.5), (timedelta(hours=30), 30),
        ("0h", 0), ("~3 days", 24),
    ],
)  # fmt: skip
def test_hours_that_name_their_unit(raw: Raw, hours: float) -> None:
    for unit in (None, "hours", "days"):
        reading = read_hours(raw, unit=unit, hours_per_day=8)
        assert reading.value == pytest.approx(hours)
        assert reading.problem == ""


def test_a_bare_number_takes_the_unit_of_its_column() -> None:
    for raw in ("6", 6, "6.0"):
        assert read_hours(raw, unit="hours", hours_per_day=8).value == 6
        assert read_hours(raw, unit="days", hours_per_day=8).value == 48
        assert "no unit" in read_hours(raw, unit=None, hours_per_day=8).problem
    assert read_hours("12,5", unit="hours", hours_per_day=8, decimal=",").value == 12.5
    assert read_hours("1 1/2", unit="days", hours_per_day=8).value == 12


def test_days_have_the_hours_of_the_firm() -> None:
    assert read_hours("2d 1h", unit=None, hours_per_day=7.5).value == 16
    assert read_hours("half day", unit=None, hours_per_day=10).value == 5


def test_a_duration_shown_as_a_time_of_day() -> None:
    # A workbook stores 30 h 30 min as 1.2708 days, which it may show as a clock time.
    assert read_hours(datetime(1900, 1, 1, 6, 30), unit=None, hours_per_day=8).value == 30.5


def test_a_week_says_how_many_days_it_was_taken_for() -> None:
    assert "5 working days" in read_hours("2 weeks", unit=None, hours_per_day=8).note


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        ("5 crew-days", "days of the crew"), ("3 site days", "days of the crew"), ("-2",
        "negative"),
        (-2, "negative"), ("-2 h", "negative"), ("8am-4pm", "times of day"), ("7:30-4:00",
        "times of day"),
        ("30 m", "no number of hours"), ("2 guys 4h", "no number of hours"), ("12,5",
        "decimal mark"),
        ("lots", "no number of hours"), (date(2025, 3, 3), "a date"), (datetime(2025, 3, 3),
        "a date"),
        (True, "no number"), ("999999", "too large"), (float("inf"), "no number of hours"),
        (timedelta(hours=-3), "negative"),
    ],
)  # fmt: skip
def test_what_is_no_number_of_hours_says_why(raw: Raw, why: str) -> None:
    reading = read_hours(raw, unit="hours", hours_per_day=8)
    assert reading.value is None
    assert why in reading.problem


@given(
    st.integers(0, 60), st.integers(0, 23), st.integers(0, 59), st.sampled_from([7.5, 8.0, 10.0])
)
def test_any_days_hours_and_minutes_read_back(
    days: int, hours: int, minutes: int, per_day: float
) -> None:
    expected = days * per_day + hours + minutes / 60
    for text in (f"{days}d {hours}h {minutes}m", f"{days} days, {hours} hrs and {minutes} min"):
        reading = read_hours(text, unit=None, hours_per_day=per_day)
        assert reading.value == pytest.approx(expected)
    clock = read_hours(f"{hours}:{minutes:02d}", unit="days", hours_per_day=per_day)
    assert clock.value == pytest.approx(hours + minutes / 60)
