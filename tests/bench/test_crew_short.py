"""The short form of the crew benchmark: bars of the whole table, with room for few histories."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import crew as bench


def test_the_reversal_is_in_every_world_and_the_answer_stands():
    """12 firms a form: plain means err by .15 log points or more, the answer by .03 on average."""
    for form in bench.FORMS:
        cell = bench.score(form, "by job", 35, 12)
        assert np.mean(cell.naive) > 0.15
        assert abs(np.mean(cell.errors)) < 0.06
        assert sum(cell.wrong) == 0


@pytest.mark.parametrize(("count", "bar"), [(12, 0.12), (35, 0.08)])
def test_errors_stay_under_the_bars(count: int, bar: float):
    """15 firms in each of 4 forms: the root mean square of 60 scatters by a tenth of itself."""
    cells = [bench.score(f, "by job", count, 15) for f in bench.FORMS]
    errors = np.concatenate([c.errors for c in cells])
    assert abs(errors.mean()) < 0.03 + 2 * bar / np.sqrt(60)
    assert np.sqrt(np.mean(errors**2)) < 1.1 * bar
    held = np.mean([h for c in cells for h in c.held])
    assert held == pytest.approx(0.8, abs=0.13)


def test_who_worked_where_by_phase_halves_the_error():
    by_job = np.concatenate([bench.score(f, "by job", 35, 12).errors for f in bench.FORMS])
    by_phase = np.concatenate([bench.score(f, "by phase", 35, 12).errors for f in bench.FORMS])
    assert np.sqrt(np.mean(by_phase**2)) < 0.65 * np.sqrt(np.mean(by_job**2))


def test_phases_hold_their_own_effects():
    """12 firms of 9 phases in each form: 432 intervals that hang together; 4 spreads allowed."""
    cells = [bench.score(f, "by phase", 20, 12) for f in bench.FORMS]
    held = [h for c in cells for h in c.part_held]
    assert len(held) == 12 * 9 * 4
    assert np.mean(held) == pytest.approx(0.8, abs=0.08)


def test_no_saving_is_claimed_where_there_is_none():
    """60 firms, two no faster: 3 claims at 95 in 100 expected, 7 allowed (1 firm set in 100)."""
    cells = [bench.score(f, "by job", 12, 15, effect=0.0) for f in bench.FORMS]
    assert sum(sum(c.claimed) for c in cells) <= 7
