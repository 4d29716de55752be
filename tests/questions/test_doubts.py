"""Doubts about records as a whole: when they are said, when not, and how much wider they make."""

from datetime import date, timedelta

import numpy as np
import pytest
from making import bathrooms, job, new_bathroom

from costlearn.models.distribution import LogSpread, Multipliers
from costlearn.models.regression import LeaveOneOut
from costlearn.questions import doubts
from costlearn.questions.learning import predict
from costlearn.records import Amounts, History

DAYS = [date(2024, 1, 1) + timedelta(days=30 * i) for i in range(12)]


def errors(*last: float) -> LeaveOneOut:
    """Ten or so jobs foretold to within .1, the last ones as far off as said (scale .1)."""
    off = np.concatenate([np.tile([0.05, -0.05], 6)[: 12 - len(last)], last])
    return LeaveOneOut(np.zeros(12), np.full(12, 0.1), off, 10.0)


@pytest.mark.parametrize(
    ("last", "gap"),
    [
        ((0.4, 0.5), 0.45),
        ((-0.4, -0.5), -0.45),
        ((0.4, -0.5), 0.0),
        ((0.5,), 0.0),
        ((0.3, 0.3, 0.3), 0.3),
        ((0.05, 0.5), 0.0),
    ],
)
def test_two_or_three_newest_jobs_off_to_one_side_are_a_gap(last, gap):
    assert doubts.recent_gap(DAYS, errors(*last)) == pytest.approx(gap, abs=1e-9)


def test_without_dates_or_with_few_jobs_before_no_job_is_the_newest():
    assert doubts.recent_gap([None] * 12, errors(0.5, 0.5)) == 0.0
    assert doubts.recent_gap([*[None] * 7, *DAYS[7:]], errors(0.5, 0.5)) == 0.0


def test_a_range_is_widened_by_what_no_record_tells():
    spread = LogSpread(0.0, 0.1, Multipliers.from_errors((), 1e6))
    assert doubts.widened(spread) is spread
    assert doubts.widened(spread, kind_sd=0.24).scale == pytest.approx(0.26)
    wide = doubts.widened(spread, gap=-0.5)
    assert np.log(wide.interval(0.8).high) == pytest.approx(np.log(spread.interval(0.8).high) + 0.5)


def test_jobs_that_all_came_to_one_sum_are_doubted():
    said = doubts.doubts_of((), np.full(5, 9000.0), 0.0)
    assert said.grave
    assert "came to nearly the same" in said.first
    assert doubts.doubts_of((), np.array([9000.0, 9000.0]), 0.0) == doubts.NO_DOUBTS
    assert doubts.untaught(np.full(5, 9000.0), True, False) > doubts.KIND_SD
    assert doubts.untaught(np.array([8000.0, 9000.0, 9500.0]), False, True) == 0.0


@pytest.mark.parametrize(
    ("ratios", "told"),
    [([1.1] * 8, True), ([1.1] * 7, False), ([*[1.1] * 9, 1.0], False), ([None] * 9, False)],
)
def test_none_but_overruns_on_file(ratios, told):
    assert bool(doubts.only_over(ratios)) is told


def test_a_kind_never_done_is_too_wide_to_price_from():
    found = predict(bathrooms(30), new_bathroom(kind="kitchen"), "cost")
    assert found is not None
    assert found.spread.interval(0.8).ratio > 8
    assert found.unlike


def test_one_job_on_file_twice_is_said_and_counts_once():
    amounts = Amounts(cost=1_234_567, person_days=11.5)
    twins = [job(k, area_sqft=48.0, actual=amounts) for k in ("a", "b")]
    history = History(jobs=tuple(twins))
    assert [j.key for j in history.usable] == ["a"]
    assert doubts.notes_on(history) == (
        "1 job with the very figures of another counted once with it: B",
    )


def test_round_sums_or_few_figures_make_no_twins():
    """$12,000 and 12 days happen twice; nor is anything known of jobs that say a cost alone."""
    round_sum = Amounts(cost=1_200_000, person_days=12.0)
    alone = Amounts(cost=1_234_567)
    for amounts in (round_sum, alone):
        jobs = tuple(job(k, area_sqft=48.0, actual=amounts) for k in ("a", "b"))
        assert len(History(jobs=jobs).usable) == 2
    same = {"started": DAYS[0], "finished": DAYS[1], "area_sqft": 48.0, "actual": round_sum}
    assert len(History(jobs=(job("a", **same), job("b", **same))).usable) == 1


def test_a_cost_of_one_dollar_is_no_cost():
    history = History(jobs=(job("a", actual=Amounts(cost=100)),))
    assert doubts.notes_on(history) == ("1 direct cost under 10 taken as not written down",)
