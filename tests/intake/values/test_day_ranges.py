"""First and last day of a job in one cell."""

from __future__ import annotations

from datetime import date

import pytest

from costlearn.intake.values.day_ranges import DayRange, read_day_range


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("Jan 15 - Feb 14", date(2024, 1, 15), date(2024, 2, 14)),
        ("May 13 - 29", date(2024, 5, 13), date(2024, 5, 29)),
        ("Feb 2 to Mar 11", date(2024, 2, 2), date(2024, 3, 11)),
        ("3 June - 14 June", date(2024, 6, 3), date(2024, 6, 14)),
        ("2024-03-04 to 2024-03-15", date(2024, 3, 4), date(2024, 3, 15)),
        ("du 3 juin au 14 juin", date(2024, 6, 3), date(2024, 6, 14)),
        ("Sep 14 -", date(2024, 9, 14), None),
        ("from Oct 27 on", date(2024, 10, 27), None),
    ],
)
def test_both_days_are_read(text: str, first: date, last: date | None) -> None:
    assert read_day_range(text, order="month-first", year=2024).value == DayRange(first, last)


def test_a_job_over_new_year_begins_in_the_year_before() -> None:
    read = read_day_range("Dec 10 - Jan 15 2025", order="month-first").value
    assert read == DayRange(date(2024, 12, 10), date(2025, 1, 15))


@pytest.mark.parametrize("text", ["called off", "all year", "Mar 3", "Jun 9 - May 2", "13 - 29"])
def test_what_is_no_range_is_none(text: str) -> None:
    read = read_day_range(text, order="month-first", year=2024)
    assert read.value is None
    assert read.problem
