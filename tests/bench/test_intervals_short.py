"""The short form of the interval benchmark runs, prints, and keeps its own house in order."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import intervals as bench
from bars import BARS, SIZES, bar
from competitors import COMPETITORS, OURS, RULES, Competitor, _t, present
from scores import Said, Tally, oracle
from unseen import HELD_OUT
from worlds import TARGETS, WORLDS, World, make_trial

ALL = (*WORLDS, HELD_OUT)


@pytest.mark.parametrize("world", ALL, ids=lambda w: w.name)
@pytest.mark.parametrize("target", TARGETS)
def test_oracle_knows_the_odds_of_its_world(world: World, target: str):
    """400 jobs of one firm: the share held scatters by 2 to 2.5 %; 4 spreads are allowed."""
    trial = make_trial(world, 10, 400, np.random.default_rng(8))
    ends = oracle(trial, target).ends
    value = trial.next_jobs.actual[target]
    held = ((ends[:, :, 0] <= value) & (value <= ends[:, :, 1])).mean(axis=1)
    assert held == pytest.approx([0.5, 0.8, 0.9], abs=0.1)


@pytest.mark.parametrize("world", [w for w in ALL if w.in_bars], ids=lambda w: w.name)
def test_jobs_come_to_fifteen_to_twenty_per_cent_off_their_quotes(world: World):
    trial = make_trial(world, 10, 400, np.random.default_rng(9))
    ahead = trial.next_jobs
    for target in TARGETS:
        off = np.abs(np.log(ahead.actual[target] / ahead.quote[target]))
        assert 0.12 < float(np.mean(off)) < 0.23


@pytest.mark.parametrize("world", ALL, ids=lambda w: w.name)
def test_a_quote_knows_something_the_records_do_not(world: World):
    """Slips are independent of what comes; only the look ties the quote to it: .25 by design."""
    trial = make_trial(world, 10, 3000, np.random.default_rng(10))
    ahead = trial.next_jobs
    middle = trial.laws["cost"].quantiles(ahead.jobs, [0.5])[0]
    seen, came = np.log(ahead.quote["cost"] / middle), np.log(ahead.actual["cost"] / middle)
    slope = np.cov(seen, came)[0, 1] / np.var(came)
    assert slope == pytest.approx(0.25, abs=0.08)


def test_scores_by_hand():
    """Two jobs at 10 and 20 (true medians), 80 % ends a tenth either way, one missed by 1.

    Job 1: width 2, value inside: .2 of its median. Job 2: width 4, value 17 lies 1 under 18: width
    4 + 10 x 1 = 14: .7 of its median. Mean .45; the oracle's ends hold both: .2 and .2.
    """
    ends = np.array([[[9.0, 11.0], [18.0, 22.0]]] * 3)
    wide = np.array([[[9.0, 11.0], [16.0, 20.0]]] * 3)
    points = np.tile([[10.0], [20.0]], (1, 99))
    tally = Tally()
    tally.add(Said(ends), Said(wide, points), np.array([10.0, 17.0]), 0.5)
    tally.add(None, Said(wide, points), np.array([10.0, 17.0]), 0.5)
    row = tally.row("a", 2, "cost", False, "b")
    assert row.score == pytest.approx(0.45 / 0.2)
    assert row.covered == pytest.approx((0.5, 0.5, 0.5))
    assert row.width == pytest.approx(0.2)
    assert (row.histories, row.failed) == (1, 1)
    assert np.isnan(row.crps)


def test_log_t_intervals_by_hand():
    """t with 5 degrees of freedom: 90 % one-sided is 1.476 (published t table)."""
    said = _t(np.array([0.0]), np.array([0.1]), 5)
    assert np.log(said.ends[1, 0]) == pytest.approx([-0.1476, 0.1476], abs=1e-4)
    assert said.points is not None
    assert np.log(said.points[0, 89]) == pytest.approx(0.1476, abs=1e-4)


def test_every_bar_has_a_size():
    assert {len(v) for v in BARS.values()} == {len(SIZES)}
    assert bar("cost", False, 12) == 1.77
    assert bar("cost", False, 13) is None


def test_a_missing_library_is_said():
    missing = Competitor("made up", RULES[0].say, needs="no_such_library_anywhere")
    found, reasons = present((OURS, missing))
    assert found == [OURS]
    assert reasons == ["made up is left out: no_such_library_anywhere is not installed"]


@pytest.mark.parametrize(
    "competitor", present(COMPETITORS)[0], ids=lambda c: c.name.replace(" ", "_")
)
def test_every_competitor_gives_ordered_intervals_about_the_right_size(competitor: Competitor):
    """30 jobs of the compound world: nobody's median 80 % interval is off by a factor of 3."""
    trial = make_trial(WORLDS[1], 30, 5, np.random.default_rng(11))
    quoted = competitor.quotes == "always"
    said = competitor.say(trial.history, trial.next_jobs, "cost", quoted)
    assert said is not None
    low, high = said.ends[..., 0], said.ends[..., 1]
    assert (low <= high).all()
    assert (np.diff(low, axis=0) <= 1e-9).all()
    assert (np.diff(high, axis=0) >= -1e-9).all()
    truth = trial.laws["cost"].quantiles(trial.next_jobs.jobs, [0.5])[0]
    middle = np.sqrt(low[1] * high[1])
    assert np.abs(np.log(middle / truth)).max() < np.log(3)


def test_short_form_prints_every_method_in_every_world(capsys: pytest.CaptureFixture[str]):
    bench.main(["--short"])
    out = capsys.readouterr().out
    lines = out.splitlines()
    with_quote = sum(c.answers("cost", True) for c in (OURS, *RULES))
    without = sum(c.answers("cost", False) for c in (OURS, *RULES))
    for world in [*(w.name for w in WORLDS), bench.MEAN]:
        of_world = [line for line in lines if f" {world} " in line]
        assert len(of_world) == 2 * 3 * (with_quote + without)
    unfit = [line for line in lines if line.startswith("   8 (mean") and "least squares" in line]
    assert unfit[0].split()[-3:-1] == ["0", "12"], "15 columns cannot be fitted to 8 jobs, 4 x 3"
    assert sum(line.endswith(("in band", "OUT OF BAND")) for line in lines) == 12


def test_own_method_stands_between_the_oracle_and_the_usual_rules():
    competitors = (OURS, RULES[0])
    rows = bench.run([12], 8, competitors=competitors, questions=[("cost", False)])
    mean = {r.method: r for r in rows if r.world == bench.MEAN}
    ours, rule = mean["costlearn"], mean["per sq ft"]
    assert 1.0 < ours.score < rule.score
    assert 1.0 < ours.crps < rule.crps
    assert 0.68 < ours.covered[1] < 0.92
    assert ours.covered[0] < ours.covered[1] < ours.covered[2]
    assert ours.failed == 0
