"""The day a job finishes: working days counted by hand on the calendar of November 2026."""

from datetime import date

import pytest

from costlearn.models.distribution import LogSpread, Multipliers
from costlearn.questions.running.finish import (
    finish_of,
    last_on_file,
    promised_by_plan,
)
from costlearn.records import Amounts
from costlearn.workdays import Workdays
from tests.making import job

MONDAY, FRIDAY = date(2026, 11, 2), date(2026, 11, 6)
WEEK = Workdays()


def test_what_the_records_and_the_plan_say():
    one = job(
        "a",
        state="running",
        started=MONDAY,
        actual=Amounts(elapsed_days=3.0),
        plan=Amounts(elapsed_days=7.0),
    )
    assert last_on_file(one, WEEK) == date(2026, 11, 4)
    assert promised_by_plan(one, WEEK) == date(2026, 11, 10)
    assert last_on_file(job("b"), WEEK) is None
    assert promised_by_plan(job("b", started=MONDAY), WEEK) is None


def test_odds_of_the_promised_day():
    """Middle 5 days: 5 working days to go keep half of their last day too; a day past has none."""
    rest = LogSpread(0.0, 0.3, Multipliers.from_errors((), 30)).times(5.0)
    one = job("a", state="running", started=MONDAY)
    due = finish_of(one, rest, FRIDAY, date(2026, 11, 13), WEEK)
    assert due.chance == pytest.approx(rest.cdf(5.5))
    assert rest.cdf(5.0) == pytest.approx(0.5)
    assert due.stated
    assert due.middle == date(2026, 11, 13)
    assert due.early < due.middle < due.late
    assert finish_of(one, rest, FRIDAY, MONDAY, WEEK).chance == 0.0
    nothing = finish_of(one, rest, FRIDAY, None, WEEK)
    assert (nothing.promised, nothing.chance) == (None, None)


def test_holidays_move_the_finish_and_the_odds_of_the_promise():
    """Five days from Friday the 6th end on the 13th; with the 11th off on Monday the 16th."""
    rest = LogSpread(0.0, 0.3, Multipliers.from_errors((), 30)).times(5.0)
    one = job("a", state="running", started=MONDAY, plan=Amounts(elapsed_days=8.0))
    holiday = Workdays(off=(date(2026, 11, 11),))
    due = finish_of(one, rest, FRIDAY, date(2026, 11, 13), holiday)
    assert due.middle == date(2026, 11, 16)
    assert due.chance == pytest.approx(rest.cdf(4.5))
    assert promised_by_plan(one, holiday) == date(2026, 11, 12)
