"""Cells of dates, and the order of day and month, which is decided once for a column."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.intake.values.cells import Raw
from costlearn.intake.values.days import DateVote, read_day, vote_date_order

THIRD_OF_MARCH = date(2025, 3, 3)


@pytest.mark.parametrize("order", ["month-first", "day-first"])
@pytest.mark.parametrize(
    "raw",
    ["2025-03-03", "2025/3/3", "2025.03.03", "20250303", 20250303, 20250303.0, "45719",
    45719, 45719.75, "45719.0",
     "3-Mar-25", "03-Mar-2025", "3 March 2025", "March 3, 2025", "Mar 3 2025", "Mar. 3rd, 2025",
     "Monday, March 3, 2025", "Mon Mar 3 2025", "3 mars 2025", "le 3 mars 2025",
     "lundi 3 mars 2025",
     "2025-Mar-03", "Mar 3 '25", "3Mar2025", "2025-03-03T08:15:00Z", "2025-03-03 08:15:00",
     "2025-03-03T08:15:00+01:00", "3/3/2025 2:30 PM", "3/3/25", "“2025-03-03”", "\ufeff2025-03-03",
     date(2025, 3, 3), datetime(2025, 3, 3, 14, 30)],
)  # fmt: skip
def test_one_day_in_many_spellings_whatever_the_order(raw: Raw, order: str) -> None:
    assert read_day(raw, order=order).value == THIRD_OF_MARCH


@pytest.mark.parametrize(
    "raw",
    ["2024/10/03 00:00:00+00", "2024-10-03T23:30:00-05:00", "2024-10-03T23:30:00Z",
     "2024-10-03T00:15:00+11:00", "2024-10-03 23:59:59.123 +0200",
     datetime(2024, 10, 3, 23, 30, tzinfo=timezone(timedelta(hours=-5)))],
)  # fmt: skip
def test_a_zone_never_moves_the_day(raw: Raw) -> None:
    assert read_day(raw, order="day-first").value == date(2024, 10, 3)


def test_a_day_without_a_year_takes_the_year_of_its_sheet() -> None:
    for text, day in (("Mar 24", 24), ("24 Mar", 24), ("3-Mar", 3), ("Mar. 3rd", 3), ("3/24", 24)):
        reading = read_day(text, order="month-first", year=2023)
        assert reading.value == date(2023, 3, day)
        assert read_day(text, order="month-first").code == "no year"
    assert read_day("24/3", order="day-first", year=2023).value == date(2023, 3, 24)
    assert read_day("Mar-23", order="month-first", year=2023).code == "no year", "March 2023?"
    assert read_day("23-Mar", order="month-first", year=2023).value == date(2023, 3, 23)


@pytest.mark.parametrize(
    ("text", "told"),
    [("May '24", "2024-05"), ("done in May '24", "2024-05"), ("spring 2024", "2024"),
     ("late May 2024", "2024-05"), ("wk of 3 June 2024", "2024-W23"), ("mai 2024", "2024-05")],
)  # fmt: skip
def test_what_has_no_day_says_what_it_tells(text: str, told: str) -> None:
    for year in (None, 2024):
        reading = read_day(text, order="month-first", year=year)
        assert (reading.value, reading.code, reading.rest) == (None, "no day", told)


def test_iso_dates_never_follow_the_column_order() -> None:
    # With day first set, common parsers read this as 3 January.
    assert read_day("2024-03-01", order="day-first").value == date(2024, 3, 1)


def test_figures_follow_the_column_order() -> None:
    assert read_day("03/04/2025", order="month-first").value == date(2025, 3, 4)
    assert read_day("03/04/2025", order="day-first").value == date(2025, 4, 3)


def test_a_cell_that_does_not_fit_the_order_is_not_turned_round() -> None:
    assert "no month 13" in read_day("13/02/2025", order="month-first").problem
    assert "no month 14" in read_day("02/14/2025", order="day-first").problem


@pytest.mark.parametrize(
    ("text", "month"),
    [("1er janvier 2024", 1), ("1 févr. 2024", 2), ("1 avril 2024", 4), ("1 mai 2024", 5),
     ("1 juin 2024", 6), ("1 juil. 2024", 7), ("1 juill. 2024", 7),
     ("1 août 2024", 8), ("1 AOUT 2024", 8),
     ("1 sept. 2024", 9), ("1 octobre 2024", 10), ("1 nov 2024", 11), ("1 décembre 2024", 12)],
)  # fmt: skip
def test_french_months(text: str, month: int) -> None:
    assert read_day(text, order="month-first").value == date(2024, month, 1)


def test_two_digit_years_turn_at_fifty() -> None:
    assert read_day("25-Dec-49", order="day-first").value == date(2049, 12, 25)
    assert read_day("25-Dec-50", order="day-first").value == date(1950, 12, 25)


@pytest.mark.parametrize(
    ("raw", "why"),
    [("3-Mar", "has no year"), ("3/4", "has no year"), ("March 2025", "has no day"),
     ("Mar-25", "the day or the year"), ("2024", "is a year"), (2024, "is a year"),
     ("31/02/2025", "no month 31"), ("02/31/2025", "no day of the calendar"), ("DIIR", "no date"),
     ("soon", "no date"), ("0", "no date"), (0, "no date"), (-5, "no date"), (float("inf"),
     "no date"),
     ("1899-01-01", "1950 and 2100"), ("2101-01-01", "1950 and 2100"), (True, "no date"),
     (time(6, 30), "no date"), (timedelta(1), "no date"), ("Mar 3-5, 2025", "no date"),
     (datetime(1900, 1, 1, 6), "1950 and 2100"), ("20251301", "no day of the calendar"),
     (12.5, "no date")],
)  # fmt: skip
def test_what_is_no_date_says_why(raw: Raw, why: str) -> None:
    reading = read_day(raw, order="month-first")
    assert reading.value is None
    assert why in reading.problem


@pytest.mark.parametrize("raw", ["", None, "TBD", "-", "n/a", "#REF!"])
def test_missing_dates_are_no_problem(raw: Raw) -> None:
    reading = read_day(raw, order="month-first")
    assert (reading.value, reading.problem) == (None, "")


def test_serial_numbers_of_the_1900_system() -> None:
    # ISO/IEC 29500-1:2016, 18.17.4.1: in the 1900 date base system 2008-02-25 is 39503 (the
    # number from memory); 2000-01-01 is 36526 and 2025-03-03 is 45719 by counting days.
    assert read_day(39503, order="day-first").value == date(2008, 2, 25)
    assert read_day("36526", order="day-first").value == date(2000, 1, 1)
    assert read_day(45719, order="day-first").value == THIRD_OF_MARCH


def test_a_part_over_twelve_proves_the_order() -> None:
    assert vote_date_order(["03/04/2025", "02/14/2025"], "day-first") == DateVote(
        "month-first", True
    )
    assert vote_date_order(["03/04/2025", "14/02/2025"], "month-first") == DateVote(
        "day-first", True
    )


def test_no_part_over_twelve_leaves_the_preferred_order_unproven() -> None:
    cells = ["03/04/2025", "", "03/05/2025", "03/06/2025", "03/06/2025"]
    assert vote_date_order(cells, "month-first") == DateVote("month-first", proven=False)


def test_a_column_that_does_not_depend_on_the_order_is_not_in_doubt() -> None:
    cells: list[Raw] = ["2025-03-04", date(2025, 3, 4), 45719, "3 March 2025", "03/03/2025", None]
    assert vote_date_order(cells, "day-first") == DateVote("day-first", proven=True)


def test_contradicting_cells_are_named_by_their_first_rows() -> None:
    cells = ["03/04/2025", "13/02/2025", "14/02/2025", "02/14/2025"]
    assert vote_date_order(cells, "month-first") == DateVote("month-first", False, (1, 3))


def test_clock_times_and_quotes_do_not_hide_a_vote() -> None:
    assert vote_date_order(["“13/02/2025” ", "3/4/25 08:00"], "month-first").order == "day-first"


FORMATS = {
    "iso": "{y:04d}-{m:02d}-{d:02d}", "iso short": "{y}-{m}-{d}",
    "slashes, year first": "{y}/{m}/{d}",
    "compact": "{y:04d}{m:02d}{d:02d}", "serial": "{serial}", "named": "{d} {name} {y}",
    "named, short": "{d}-{short}-{y}", "american": "{name} {d}, {y}", "french": "{d} {french} {y}",
    "stamp": "{y:04d}-{m:02d}-{d:02d}T07:30:00", "weekday": "{weekday}, {name} {d}, {y}",
}  # fmt: skip
ORDERED = {
    "month-first": ["{m}/{d}/{y}", "{m:02d}-{d:02d}-{y}", "{m:02d}.{d:02d}.{y}",
    "{m}/{d}/{y} 7:30 AM"],
    "day-first": ["{d}/{m}/{y}", "{d:02d}-{m:02d}-{y}", "{d:02d}.{m:02d}.{y}", "{d}/{m}/{y} 19:30"],
}  # fmt: skip
FRENCH = [
    "janvier", "février", "mars", "avril", "mai", "juin", "juillet", "août", "septembre", "octobre",
    "novembre", "décembre",
]  # fmt: skip
ENGLISH = [
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
]  # fmt: skip
WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
days = st.dates(date(1950, 1, 1), date(2100, 12, 31))


def written(day: date, pattern: str) -> str:
    return pattern.format(
        y=day.year, m=day.month, d=day.day, name=ENGLISH[day.month - 1],
        short=ENGLISH[day.month - 1][:3], french=FRENCH[day.month - 1],
        serial=(day - date(1899, 12, 30)).days, weekday=WEEKDAYS[day.weekday()],
    )  # fmt: skip


@given(days, st.sampled_from(sorted(FORMATS)), st.sampled_from(sorted(ORDERED)))
def test_any_day_in_any_plain_format_reads_back(day: date, name: str, order: str) -> None:
    assert read_day(written(day, FORMATS[name]), order=order).value == day


@given(days, st.sampled_from(sorted(ORDERED)), st.integers(0, 3))
def test_any_day_in_figures_reads_back_with_its_order(day: date, order: str, which: int) -> None:
    assert read_day(written(day, ORDERED[order][which]), order=order).value == day


@given(st.lists(days, min_size=1), st.sampled_from(sorted(ORDERED)), st.integers(0, 3))
def test_a_column_in_one_order_never_contradicts_itself(
    column: list[date], order: str, which: int
) -> None:
    cells = [written(day, ORDERED[order][which]) for day in column]
    other = "day-first" if order == "month-first" else "month-first"
    vote = vote_date_order(cells, other)
    assert vote.clash is None
    if any(day.day > 12 for day in column):
        assert vote == DateVote(order, proven=True)
