"""The short form of the calendar's benchmark runs, and its ranges hold about what they say."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import dates as bench


@pytest.mark.parametrize("world", bench.WORLDS)
def test_short_form(world: str, capsys: pytest.CaptureFixture[str]):
    """30 firms, standard error 7 of 100: a range that held half or always would be seen."""
    row = bench.run(world, 20, 30)
    bench.print_rows([row])
    assert world in capsys.readouterr().out
    assert 0.6 <= row.days <= 0.97
    assert row.finish >= row.days - 0.07
    assert 0.6 <= row.tile <= 1.0
    assert 1.2 < row.width < 2.5


def test_the_law_adds_up():
    """Mean days of 400 jobs: 13.3 days of work at 55 sq ft (vent in 6 of 10), 4 of waiting."""
    rng = np.random.default_rng(1)
    made = [bench.make(rng, "summed", "j", bench.START) for _ in range(400)]
    assert 16.5 < float(np.median([m.whole for m in made])) < 18.5
    assert all(0 < m.tile < m.whole for m in made)
