"""The next of a few counts: never below zero, wide with few records, like the records with many."""

from __future__ import annotations

import numpy as np
import pytest

from costlearn.models.few_counts import next_counts

SIZE = 20_000


def test_no_records_are_no_days() -> None:
    assert not next_counts([], 10, 1).any()


def test_one_record_says_little_and_thirty_say_more() -> None:
    one, many = next_counts([4.0], SIZE, 1), next_counts([4.0, 3.0, 5.0] * 10, SIZE, 1)
    assert one.min() >= 0
    width = [float(np.quantile(d, 0.9) - np.quantile(d, 0.1)) for d in (one, many)]
    assert width[0] > 1.5 * width[1]
    assert float(np.median(one)) == pytest.approx(4.0, abs=0.3)


def test_mostly_none_now_and_then_ten_stays_so() -> None:
    drawn = next_counts([0.0] * 27 + [10.0] * 3, SIZE, 3)
    assert float(np.median(drawn)) < 0.5
    assert 0.05 < float(np.mean(drawn >= 9)) < 0.2


def test_the_same_seed_gives_the_same_draws() -> None:
    assert np.array_equal(next_counts([1.0, 2.0], 50, 5), next_counts([1.0, 2.0], 50, 5))
    assert not np.array_equal(next_counts([1.0, 2.0], 50, 5), next_counts([1.0, 2.0], 50, 6))


def test_eight_in_ten_hold_eight_in_ten() -> None:
    """800 invented firms with 3 to 25 records of whole days, mean 4, spread 2: standard error 1.4
    of 100. A check of the arithmetic, no evidence about real waits."""
    rng = np.random.default_rng(7)
    held = 0
    for i in range(800):
        days = np.maximum(np.round(rng.normal(4, 2, int(rng.integers(3, 26)) + 1)), 0)
        low, high = np.quantile(next_counts(days[:-1], 2000, i), (0.1, 0.9))
        held += bool(low <= days[-1] <= high)
    assert 0.76 <= held / 800 <= 0.93
