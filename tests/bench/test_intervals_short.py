"""The short form of the interval benchmark runs, prints, and keeps its own house in order."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import intervals as bench
from worlds import WORLDS, World, make_trial


def test_interval_score_by_hand():
    """Width 4, and ten times the miss at 80 %: 2 / (1 - .8)."""
    ends = np.array([[1.0, 5.0], [1.0, 5.0], [1.0, 5.0]])
    assert bench.interval_score(ends, np.array([3.0, 0.5, 6.0]), 0.8) == pytest.approx([4, 9, 14])


@pytest.mark.parametrize("world", WORLDS, ids=lambda w: w.name)
def test_oracle_knows_the_odds_of_its_world(world: World):
    """400 jobs of one firm: the share held scatters by 2 to 2.5 %; 4 spreads are allowed."""
    trial = make_trial(world, 10, 400, np.random.default_rng(8))
    ends = bench.oracle_ends(trial)
    value = trial.next_jobs.cost
    held = ((ends[:, :, 0] <= value) & (value <= ends[:, :, 1])).mean(axis=1)
    assert held == pytest.approx([0.5, 0.8, 0.9], abs=0.1)


@pytest.mark.parametrize("world", WORLDS, ids=lambda w: w.name)
def test_quotes_scatter_as_the_world_says(world: World):
    trial = make_trial(world, 10, 400, np.random.default_rng(9))
    middle = trial.law.quantiles(trial.next_jobs.jobs, [0.5])[0]
    slip = np.log(trial.next_jobs.quote / middle)
    assert np.std(slip) == pytest.approx(world.quote_sd, rel=0.2)
    assert np.mean(slip) == pytest.approx(np.log(world.quote_bias), abs=0.04)


def test_short_form_prints_every_method_in_every_world(capsys: pytest.CaptureFixture[str]):
    bench.main(["--short"])
    lines = capsys.readouterr().out.splitlines()
    for world in [w.name for w in WORLDS] + ["(mean of worlds)"]:
        of_world = [line for line in lines if f" {world} " in line]
        assert len(of_world) == 2 * (len(bench.COMPETITORS) + 1)
    unfit = [line for line in lines if line.startswith("   8 (mean") and "least squares" in line]
    assert unfit[0].split()[-2] == "20", "15 columns cannot be fitted to 8 jobs, in 5 x 4 histories"


def test_own_method_stands_between_the_oracle_and_the_usual_rules():
    competitors = [c for c in bench.COMPETITORS if c.name in ("items only", "per sq ft")]
    rows = bench.run([12], 8, competitors=competitors)
    mean = {r.method: r for r in rows if r.world == "(mean of worlds)"}
    ours, rule, best = mean["items only"], mean["per sq ft"], mean["(oracle)"]
    assert best.score == pytest.approx(1.0)
    assert 1.0 < ours.score < rule.score
    assert 0.68 < ours.covered[1] < 0.9
    assert ours.covered[0] < ours.covered[1] < ours.covered[2]
    assert ours.failed == 0
