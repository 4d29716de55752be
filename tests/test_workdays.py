"""The working days of a firm: counted by hand on the calendar, and against counting day by day."""

from __future__ import annotations

from datetime import date, timedelta
from math import exp, factorial
from statistics import NormalDist

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.workdays import (
    Workdays,
    days_off,
    read_holidays,
    read_week,
    whole_days,
    workdays_of,
)

MONDAY, FRIDAY, SATURDAY = date(2026, 11, 2), date(2026, 11, 6), date(2026, 11, 7)
WEEK = Workdays()


@pytest.mark.parametrize(
    ("gone", "day"), [(0.0, 2), (0.2, 2), (1.0, 2), (1.5, 3), (5.0, 6), (5.1, 9), (10.0, 13)]
)
def test_days_of_work_from_a_start(gone: float, day: int) -> None:
    """2 November 2026 is a Monday: the fifth day is Friday the 6th, the next Monday the 9th."""
    assert WEEK.on(MONDAY, gone) == date(2026, 11, day)


@pytest.mark.parametrize(
    ("day", "days", "expected"),
    [
        (FRIDAY, 0.0, FRIDAY),
        (FRIDAY, 0.2, date(2026, 11, 9)),
        (FRIDAY, 1.0, date(2026, 11, 9)),
        (FRIDAY, 5.0, date(2026, 11, 13)),
        (SATURDAY, 1.0, date(2026, 11, 9)),
        (MONDAY, 4.5, date(2026, 11, 9)),
    ],
)
def test_days_of_work_after_a_day(day: date, days: float, expected: date) -> None:
    assert WEEK.after(day, days) == expected


def test_days_between() -> None:
    assert WEEK.between(FRIDAY, date(2026, 11, 9)) == 1
    assert WEEK.between(SATURDAY, date(2026, 11, 9)) == 1
    assert WEEK.between(FRIDAY, FRIDAY) == 0
    assert WEEK.between(FRIDAY, MONDAY) == -4
    assert WEEK.count(FRIDAY, MONDAY) == 0


def test_a_start_on_a_saturday_or_a_holiday_rolls_to_the_next_working_day() -> None:
    assert WEEK.on(SATURDAY, 1.0) == date(2026, 11, 9)
    assert WEEK.without([date(2026, 11, 9)]).on(SATURDAY, 1.0) == date(2026, 11, 10)


def test_a_holiday_in_the_middle_costs_a_day_and_one_on_a_weekend_none() -> None:
    """Wednesday 11 November off: five days from Monday the 9th end on Monday the 16th."""
    assert WEEK.without([date(2026, 11, 11)]).on(date(2026, 11, 9), 5.0) == date(2026, 11, 16)
    assert WEEK.without([SATURDAY]).on(MONDAY, 6.0) == date(2026, 11, 9)


def test_a_range_of_holidays_over_the_turn_of_the_year() -> None:
    """Friday 18 December, then off until Sunday 3 January: the second day is Monday the 4th."""
    firm = Firm().changed({"holidays": ["2026-12-21..2027-01-03"]})
    assert len(days_off(firm.holidays)) == 14
    assert firm.workdays.on(date(2026, 12, 18), 2.0) == date(2027, 1, 4)
    assert firm.workdays.said == "Monday to Friday, less 10 holidays"
    assert firm.workdays.count(date(2026, 12, 18), date(2027, 1, 4)) == 2


def test_a_week_of_ones_own() -> None:
    """Four days from Thursday in a week of Monday to Thursday and Saturday: Thu, Sat, Mon, Tue."""
    firm = Firm().changed({"working_days": ["sat", "Monday", "tue", "wed", "thu"]})
    assert firm.working_days == ("mon", "tue", "wed", "thu", "sat")
    assert firm.workdays.on(date(2026, 11, 5), 4.0) == date(2026, 11, 10)
    assert firm.workdays.said == "Monday to Thursday and Saturday"
    assert workdays_of(["tue", "thu"], []).said == "Tuesday and Thursday"
    one = workdays_of(["sun"], ["2026-11-08"])
    assert one.on(MONDAY, 2.0) == date(2026, 11, 22)
    assert one.said == "Sunday, less 1 holiday"


def test_holidays_are_kept_the_same_however_written() -> None:
    said = [date(2026, 12, 25), "20261226", " 2026-12-28 .. 2027-01-01 "]
    assert read_holidays(said, Place()) == ("2026-12-25", "2026-12-26", "2026-12-28..2027-01-01")
    assert Firm().changed({"holidays": said}) == Firm().changed(
        {"holidays": list(read_holidays(said, Place()))}
    )
    assert read_holidays("2026-12-25", Place()) == ("2026-12-25",)


@pytest.mark.parametrize(
    "said",
    ["Christmas", ["2026-13-01"], ["2027-01-02..2026-12-21"], ["2026-01-01..2027-12-31"], 5, [None],
     ["2026-12-21.."], [".."], {"a": 1}],
)  # fmt: skip
def test_what_is_no_holiday_is_refused(said: object) -> None:
    with pytest.raises(InputProblem, match=r"entry 'holidays'|expected"):
        read_holidays(said, Place("firm.toml", "", 0, "holidays"))


@pytest.mark.parametrize("said", [[], "someday", ["mon", "some"], 5, None, [1]])
def test_what_is_no_week_is_refused(said: object) -> None:
    with pytest.raises(InputProblem, match="days of the week"):
        read_week(said, Place())


UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
DATES = st.dates(date(2026, 1, 1), date(2027, 12, 31))
CALENDARS = st.builds(
    lambda week, off: Workdays(tuple(sorted(week)), tuple(sorted(off))),
    st.sets(st.integers(0, 6), min_size=1),
    st.sets(DATES, max_size=12),
)


@UNTIMED
@given(CALENDARS, DATES, st.floats(0.01, 60))
def test_it_counts_as_one_would_day_by_day(calendar: Workdays, start: date, gone: float) -> None:
    day, left = start, gone
    while True:
        if calendar.works(day):
            left -= 1
        if left <= 1e-9:
            break
        day += timedelta(days=1)
    assert calendar.on(start, gone) == day
    assert calendar.count(start, day) == sum(
        calendar.works(start + timedelta(days=i)) for i in range((day - start).days + 1)
    )


@UNTIMED
@given(CALENDARS, DATES, st.integers(0, 60))
def test_going_ahead_and_counting_back_agree(calendar: Workdays, day: date, days: int) -> None:
    assert calendar.between(day, calendar.after(day, days)) == days or days == 0
    assert calendar.after(day, 0.0) <= day


@UNTIMED
@given(CALENDARS, DATES, DATES, st.floats(0, 60), st.floats(0, 60))
def test_later_starts_and_more_days_never_end_earlier(
    calendar: Workdays, one: date, other: date, few: float, many: float
) -> None:
    first, last = sorted((one, other))
    less, more = sorted((few, many))
    assert calendar.on(first, less) <= calendar.on(last, more)
    assert calendar.on(first, more) <= calendar.without([first]).on(first, more)


def test_a_limit_of_whole_days_holds_half_of_its_own_day() -> None:
    """P(N <= 7) of a Poisson count of mean 9 is .324 (own arithmetic); .309 by the normal law at
    7.5, .252 at 7.
    """
    law = NormalDist(9, 3)
    exact = sum(exp(-9) * 9**k / factorial(k) for k in range(8))
    assert exact == pytest.approx(0.324, abs=0.001)
    assert abs(law.cdf(whole_days(7)) - exact) < 0.02 < abs(law.cdf(7) - exact)
