"""Which records speak of overruns: copies and slips of whole jobs are left out and named."""

import numpy as np
import pytest
from making import bathrooms, job, phased

from costlearn.models.pooling import pool
from costlearn.questions.overrun.overruns import overruns
from costlearn.questions.overrun.records import records_of
from costlearn.questions.overrun.sound import say_left_out, sound
from costlearn.records import Amounts, PhaseRecord


def jobs(*ratios: float):
    return [
        job(
            f"j{i}",
            phases=tuple(
                PhaseRecord(p, Amounts(cost=100_000), Amounts(cost=round(100_000 * r) + k))
                for k, p in enumerate(("demo", "board", "tile"))
            ),
        )
        for i, r in enumerate(ratios)
    ]


def left(*ratios: float):
    made = jobs(*ratios)
    found = sound(records_of(made, "cost"), made)
    return found, {j.key: j.name for j in made}


def test_a_job_at_a_hundred_times_its_plan_is_a_slip():
    found, names = left(1.0, 1.1, 0.95, 1.2, 1.05, 100.0)
    assert found.left_out == ("j5",)
    assert len(found.records) == 15
    assert say_left_out([found], names) == ("Left out as a likely slip: J5 at 100 times its plan",)


@pytest.mark.parametrize("odd", [2.0, 3.5, 0.3])
def test_a_job_that_went_very_wrong_still_counts(odd):
    assert left(1.0, 1.1, 0.95, 1.2, 1.05, odd)[0].left_out == ()


def test_four_jobs_cannot_tell_which_is_the_slip():
    assert left(1.0, 1.0, 1.0, 100.0)[0].slipped == ()


def test_firms_that_scatter_far_have_no_slips():
    assert left(0.3, 0.6, 1.0, 1.8, 3.0, 5.5)[0].slipped == ()


def test_the_stake_is_drawn_from_what_is_not_known_of_the_means():
    answer = overruns(phased(bathrooms(30), seed=4, overrun={"tile": 1.3}))
    assert answer.stake is not None
    called = [p for p in answer.of("cost") if p.verdict.endswith("runs over")]
    middle = sum(p.at_stake for p in called)
    assert answer.stake.low < middle < answer.stake.high
    if len(called) == 1:
        assert called[0].stake.low == pytest.approx(answer.stake.low, rel=0.05)
    assert f"middle ${round(middle, -2):,.0f}"[:10] in answer.sentence


def test_draws_of_means_are_the_pooled_intervals():
    rng = np.random.default_rng(3)
    y = rng.normal(0.1, 0.2, 60)
    found = pool(y, np.tile(np.arange(3), 20), np.repeat(np.arange(20), 3))
    drawn = found.draw_means()
    for k, group in enumerate(found.groups):
        ends = group.interval(0.8)
        assert np.quantile(drawn[:, k], [0.1, 0.9]) == pytest.approx(
            [ends.low, ends.high], rel=0.01
        )
