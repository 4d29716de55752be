"""The short form of the mid-job benchmark runs, and what it rests on holds."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import midjob as bench


@pytest.mark.parametrize("world", bench.WORLDS, ids=lambda w: w.name)
def test_jobs_come_to_fifteen_to_twenty_per_cent_off_their_quotes(world: bench.World):
    rng = np.random.default_rng(3)
    off = []
    for _ in range(40):
        plan, actual = world.make(rng, 30)
        off.append(np.abs(np.log(np.nansum(actual, axis=1) / np.nansum(plan, axis=1))).mean())
    assert 0.13 < float(np.mean(off)) < 0.21


def test_short_form(capsys: pytest.CaptureFixture[str]):
    """12 firms a world: means of 480 jobs. d leads the index and ranges narrow with each stage."""
    rows = [row for world in bench.WORLDS for row in bench.run(world, 12)]
    means = bench.mean_rows(rows)
    bench.print_rows(means)
    assert "as quoted" in capsys.readouterr().out
    widths = [r.width for r in means]
    assert widths == sorted(widths, reverse=True)
    for r in means:
        assert r.score["d"] < r.score["as quoted"]
        assert 0.7 < r.held < 0.9
        if r.stage in bench.BAR_STAGES:
            assert r.score["d"] < 0.85 * r.score["index"]


def test_a_missed_bar_is_said():
    good = bench.Row("mean", 1, {"d": 0.9, "as quoted": 1.0, "index": 1.3}, 0.4, 0.8)
    bad = bench.Row("mean", 2, {"d": 0.96, "as quoted": 1.0, "index": 1.2}, 0.5, 0.9)
    assert bench.missed([good]) == []
    said = bench.missed([good, bad])
    assert len(said) == 4
    assert "as quoted" in said[0]
    assert "index" in said[1]
    assert "held" in said[2]
    assert "no narrower" in said[3]
