"""The picture of payments: steps over a band, the same figures as a table."""

from dataclasses import replace

import page_making as making
import pytest

from costlearn.pages.cash import cash_chart, picture
from costlearn.pages.charts import Scale
from costlearn.questions.quoting.cash import CashPlan, Moment, Payment
from costlearn.questions.quoting.quote import check


@pytest.fixture(scope="module")
def answer():
    job = replace(making.quoted("Q-121"), price=2_600_000)
    history = making.history()
    return check(replace(history, firm=replace(history.firm, deposit_cap="10%")), job)


def test_payments_are_steps_and_spending_a_band(answer):
    drawn = picture(answer.cash, answer.grounds)
    assert drawn is not None
    band, middle, steps = drawn.figure.data
    assert band.fill == "toself" and steps.line.shape == "hv"
    assert list(steps.y) == [p.paid for p in answer.cash.payments]
    assert list(steps.x) == list(answer.cash.payment_days)
    assert list(middle.y) == [m.middle for m in answer.cash.spending]
    assert steps.y[-1] == answer.price == 26_000


def test_the_table_under_it_holds_every_payment(answer):
    drawn = picture(answer.cash, answer.grounds)
    assert drawn is not None
    rows = drawn.numbers.rows
    assert len(rows) == len(answer.cash.payments)
    assert rows[0][4] == "$0" and rows[-1][5] == "$26,000"
    assert [r[5] for r in rows[:-1]] == [r[4] for r in rows[1:]]


def test_the_axis_starts_at_zero_and_holds_all(answer):
    moments = [Moment(0, 0, 0, 0), Moment(4, 50, 60, 80)]
    chart = cash_chart(
        moments, [(0, 30, "a <b>"), (4, 120, "c")], Scale("days", "days"), Scale("money", "")
    )
    low, high = chart.layout.yaxis.range
    assert low == 0 and high >= 120
    assert list(chart.data[2].text) == ["a &lt;b&gt;", "c"], "labels are text, never markup"


def test_without_payments_there_is_no_picture(answer):
    assert picture(None, answer.grounds) is None
    assert picture(CashPlan("No payment plan: because."), answer.grounds) is None


def test_where_days_are_not_known_phases_are_counted(answer):
    plan = CashPlan(
        "Ask it all.", (Payment("at the start", "", 10.0, 0.1, 10.0),
                        Payment("at the end", "", 90.0, 0.9, 100.0)),
        spending=(Moment(0, 0, 0, 0), Moment(3, 50, 60, 80)), payment_days=(0.0, 3.0),
    )  # fmt: skip
    drawn = picture(plan, answer.grounds)
    assert drawn is not None and "not in days" in drawn.caption
    assert drawn.numbers.heads[1] == "phases finished" and drawn.numbers.rows[1][1] == "3"
