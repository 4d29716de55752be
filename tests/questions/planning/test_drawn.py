"""Phases one after the other: positions counted by hand, and what must hold for any draws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from costlearn.models.distribution import LogSpread, Multipliers
from costlearn.questions.calendar import Between, Waits
from costlearn.questions.planning.drawn import WHOLE, SiteDays, fitted, lay, wait_draws

UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
SHAPE = (5, 4)


def days(low: float = 0.0, high: float = 9.0) -> st.SearchStrategy[np.ndarray]:
    return arrays(float, SHAPE, elements=st.floats(low, high))


def test_half_days_waits_and_gaps_by_hand() -> None:
    """Demo 1.5, wait 0; membrane 1, wait 2; tile 2.5; one other day off, spread over 5 days of
    work: .3 after demo, .2 after membrane, .5 within tile. Tile begins at 1.8 + 3.2, ends at 8."""
    laid = lay(np.array([[1.5, 1.0, 2.5]]), np.array([[0.0, 2.0, 0.0]]), np.array([1.0]))
    assert laid.begins[0].tolist() == pytest.approx([0.0, 1.8, 5.0])
    assert laid.ends[0].tolist() == pytest.approx([1.5, 2.8, 8.0])
    assert laid.totals[0] == pytest.approx(8.0)


def test_a_wait_after_the_last_phase_falls_within_it() -> None:
    """The job is over on its last day on site: 2 days of work and a wait of 1 end at 3."""
    laid = lay(np.array([[1.0, 1.0]]), np.array([[0.0, 1.0]]), np.array([0.0]))
    assert laid.ends[0].tolist() == [1.0, 3.0]


def test_a_phase_that_does_not_occur_takes_no_day() -> None:
    laid = lay(np.array([[1.0, 0.0, 1.0]]), np.zeros((1, 3)), np.zeros(1))
    assert laid.begins[0].tolist() == [0.0, 1.0, 1.0]
    assert laid.ends[0].tolist() == [1.0, 1.0, 2.0]


@UNTIMED
@given(days(), days(), days(), arrays(float, 5, elements=st.floats(0, 9)))
def test_more_days_or_waits_never_end_anything_earlier(
    site: np.ndarray, waits: np.ndarray, more: np.ndarray, gaps: np.ndarray
) -> None:
    before = lay(site, waits, gaps)
    waited = lay(site, waits + more, gaps)
    assert (waited.begins >= before.begins - 1e-9).all()
    assert (waited.ends >= before.ends - 1e-9).all()
    worked = lay(site + more, waits, np.zeros(5))
    assert (worked.ends >= lay(site, waits, np.zeros(5)).ends - 1e-9).all()


@UNTIMED
@given(days(0.1), days(), arrays(float, 5, elements=st.floats(0, 9)))
def test_every_day_is_somewhere_and_phases_keep_their_order(
    site: np.ndarray, waits: np.ndarray, gaps: np.ndarray
) -> None:
    laid = lay(site, waits, gaps)
    assert laid.totals == pytest.approx(site.sum(axis=1) + waits.sum(axis=1) + gaps)
    assert (laid.ends[:, :-1] <= laid.begins[:, 1:] + 1e-9).all()
    assert (laid.begins <= laid.ends).all()


def idle(by: dict[str, float]) -> Between:
    return Between(Waits(4.0, by, "recorded"), np.array([4.0, 8.0]), np.zeros(2), 3, 0)


def test_drawn_waits_are_shared_out_as_they_were_recorded() -> None:
    shared = wait_draws(("board", "tile", "paint"), idle({"board": 1.0, "tile": 3.0}))
    assert shared.tolist() == [[1.0, 3.0, 0.0], [2.0, 6.0, 0.0]]


def test_waits_of_no_known_phase_fall_evenly() -> None:
    assert wait_draws(("board", "tile"), idle({})).tolist() == [[2.0, 2.0], [4.0, 4.0]]
    assert wait_draws((WHOLE,), idle({"tile": 4.0})).tolist() == [[4.0], [8.0]]


def test_totals_follow_a_distribution_and_keep_their_order() -> None:
    spread = LogSpread(np.log(20.0), 0.2, Multipliers.from_errors((), 30))
    totals = np.random.default_rng(1).gamma(9.0, 2.0, 999)
    scaled = totals * fitted(totals, spread)
    assert (np.argsort(scaled) == np.argsort(totals)).all()
    assert float(np.median(scaled)) == pytest.approx(20.0, rel=1e-3)
    assert (fitted(totals, None) == 1).all()


def test_a_phase_is_likely_from_half_of_the_draws_on() -> None:
    draws = np.array([[1.0, 1.0, 0.0], [1.0, 0.0, 0.0]])
    found = SiteDays(("demo", "vent", "tile"), draws, (0.9, 0.5, 0.1), (9, 5, 1), (), "")
    assert found.likely == (True, True, False)
    assert found.split
    assert not SiteDays((WHOLE,), draws[:, :1], (1.0,), (9,), (), "").split
