"""The short form of the benchmark of forgotten scope runs, and both bars hold in it."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import omissions as bench

from costlearn.features.forgotten import trade
from costlearn.records import Job


@pytest.mark.parametrize("world", bench.WORLDS, ids=lambda w: w.name)
def test_a_planted_omission_is_an_item_that_nearly_always_comes_along(world: bench.World):
    """Over 200 scopes of a firm, an item marked so is there in over 95 of 100 of its cases."""
    rng = np.random.default_rng(5)
    draw = world.make(rng)
    scopes = [draw(rng) for _ in range(200)]
    assert all(s.nearly_always <= s.items for s in scopes)
    marked, lacking = sum(len(s.nearly_always) for s in scopes), sum(s.absent for s in scopes)
    assert lacking < 0.05 * marked
    whole = [Job("a", "A", s.kind, scope=dict.fromkeys(s.closed, 1.0)) for s in scopes]
    assert all(trade(j) == () for j in whole)


def test_both_bars_hold_at_35_jobs():
    """12 firms in each of three worlds: some 650 omissions, shares to 1.5 points."""
    rows = [bench.run(world, bench.JOBS, 12) for world in bench.WORLDS]
    mean = bench.mean_row(rows)
    assert mean.planted > 500
    assert bench.missed(mean) == []
    assert "found" in bench.line(mean)


def test_a_missed_bar_is_said():
    good = bench.Row("mean", 35, 100, 0.95, 0.05, 0.05, 0.5)
    assert bench.missed(good) == []
    said = bench.missed(replace(good, found=0.85, alarms=0.2))
    assert len(said) == 2
    assert "0.850 found" in said[0]
    assert "0.200 alarms" in said[1]
