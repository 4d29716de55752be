"""The short form of the benchmark of two versions runs, and its ranges hold."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import versions as bench
from worlds import WORLDS


@pytest.mark.parametrize("size", [8, 35])
def test_ranges_of_a_difference_hold_and_are_far_narrower(size: int):
    """8 firms in each of four worlds, 128 questions: a share of 80 % scatters by 4 points."""
    asked = [a for w in WORLDS if w.in_bars for a in bench.run(w, size, 8)]
    assert len(asked) == 128
    assert 0.68 < float(np.mean([a.held for a in asked])) < 0.96
    assert float(np.median([a.width for a in asked])) < 0.25
    assert "held" in bench.line("four", size, "cost", asked)
