"""The day a job finishes: working days counted by hand on the calendar of November 2026."""

from datetime import date

import pytest

from costlearn.models.distribution import LogSpread, Multipliers
from costlearn.questions.running.finish import (
    after,
    days_between,
    finish_of,
    last_on_file,
    promised_by_plan,
)
from costlearn.records import Amounts
from tests.making import job

MONDAY, FRIDAY, SATURDAY = date(2026, 11, 2), date(2026, 11, 6), date(2026, 11, 7)


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
def test_working_days_after_a_day(day: date, days: float, expected: date):
    assert after(day, days) == expected


def test_days_between():
    assert days_between(FRIDAY, date(2026, 11, 9)) == 1
    assert days_between(SATURDAY, date(2026, 11, 9)) == 1
    assert days_between(FRIDAY, FRIDAY) == 0
    assert days_between(FRIDAY, MONDAY) == -4


def test_what_the_records_and_the_plan_say():
    one = job(
        "a",
        state="running",
        started=MONDAY,
        actual=Amounts(elapsed_days=3.0),
        plan=Amounts(elapsed_days=7.0),
    )
    assert last_on_file(one) == date(2026, 11, 4)
    assert promised_by_plan(one) == date(2026, 11, 10)
    assert last_on_file(job("b")) is None
    assert promised_by_plan(job("b", started=MONDAY)) is None


def test_odds_of_the_promised_day():
    """Middle 5 days: a promise of 5 working days is even odds, one that is past has none."""
    rest = LogSpread(0.0, 0.3, Multipliers.from_errors((), 30)).times(5.0)
    one = job("a", state="running", started=MONDAY)
    due = finish_of(one, rest, FRIDAY, date(2026, 11, 13))
    assert due.chance == pytest.approx(0.5)
    assert due.stated
    assert due.middle == date(2026, 11, 13)
    assert due.early < due.middle < due.late
    assert finish_of(one, rest, FRIDAY, MONDAY).chance == 0.0
    nothing = finish_of(one, rest, FRIDAY, None)
    assert (nothing.promised, nothing.chance) == (None, None)
