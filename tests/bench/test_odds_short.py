"""The short form of the benchmark of odds runs, and what is said is near what happens."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import midjob
import odds as bench
from worlds import WORLDS

KINDS = {"loss", "margin", "both, tied", "both, free", "budget", "finish"}


def test_totals_of_a_job_go_together_as_told():
    """What is left of log cost and log days after their middles: correlation .6, or none."""
    for tie in (bench.TIED, 0.0):
        rng = np.random.default_rng(8)
        trial = bench.make_trial(WORLDS[1], 400, 2, rng)
        sample = bench._tied(trial.history, WORLDS[1], trial.laws, tie, rng)
        left = [
            np.log(sample.actual[t] / trial.laws[t].quantiles(sample.jobs, [0.5])[0])
            for t in ("cost", "elapsed_days")
        ]
        assert float(np.corrcoef(left)[0, 1]) == pytest.approx(tie, abs=0.12)


def test_odds_are_near_what_happens():
    """8 firms a world, 20 jobs: no bin of 50 odds and more is off by over .1 beyond 2 errors."""
    found = bench.everything(8, (20,))
    assert set(found) == KINDS
    for what, said in found.items():
        bins = bench.reliability(said)
        assert len(bins) >= 2, what
        assert all(b.beyond < 0.1 for b in bins if b.count >= 50), (what, bins)
        gap = float(np.mean([s.happened - s.chance for s in said]))
        assert abs(gap) < 0.08, what
    assert all(name in " ".join(bench.lines(found)) for name in KINDS)


def test_a_bin_is_what_it_counts():
    """40 of 80 happened where 60 of 100 were said, in 40 firms of two odds each."""
    said = [bench.Said("loss", str(i // 2), 0.6, bool(i % 2)) for i in range(80)]
    (one,) = bench.reliability(said)
    assert (one.count, one.said, one.happened) == (80, pytest.approx(0.6), pytest.approx(0.5))
    assert one.off == pytest.approx(-0.1)
    assert one.error == pytest.approx(0.0, abs=1e-12), "each firm alike: no scatter between firms"
    assert one.beyond == pytest.approx(0.1)


def test_the_running_jobs_are_whole_jobs_cut_short():
    rng = np.random.default_rng(3)
    plan, actual = midjob.WORLDS[0].make(rng, 4)
    days = bench._Days(rng, plan, actual)
    whole, cut = days.finished(1), days.stopped(1, 4)
    assert whole.actual.cost == pytest.approx(np.nansum(actual[1]) * 100, abs=1)
    assert sum(not p.actual.empty for p in cut.phases) == 4
    assert cut.actual.cost is not None
    assert whole.actual.cost is not None
    assert cut.actual.cost < whole.actual.cost
