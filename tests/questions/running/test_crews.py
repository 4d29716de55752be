"""How crews change between parts of a job; expected figures are worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from costlearn.questions.running.crews import crew_change

DONE = np.array([1.0, 1.0, 0.0])


def test_people_after_a_stage_over_people_until_then() -> None:
    """8 person-days in 4 days, then 3 in 3: half as many; twice as many the other way round."""
    people, site = np.array([[6.0, 2.0, 3.0], [2.0, 1.0, 6.0]]), np.array([[3.0, 1, 3], [2, 1, 3]])
    assert np.exp(crew_change(people, site, DONE, 1 - DONE)) == pytest.approx([0.5, 2.0])


def test_a_crew_is_never_under_one_and_unknown_days_count_for_nothing() -> None:
    people = np.array([[1.0, np.nan, 2.0], [2.0, 2.0, np.nan]])
    site = np.array([[4.0, 5.0, 1.0], [1.0, 1.0, 3.0]])
    change = crew_change(people, site, DONE, 1 - DONE)
    assert np.exp(change[0]) == pytest.approx(2.0)
    assert np.isnan(change[1])
