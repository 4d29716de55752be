"""The effect of a second person: the reversal, effects by phase, and what the days cost."""

import numpy as np
import pytest
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models.crew import (
    CrewEffect,
    DayCosts,
    Guess,
    break_even_speedup,
    explained,
    from_jobs,
    from_phases,
    job_days_cost,
)
from costlearn.models.distribution import Codes, Floats
from costlearn.models.regression import Term

SIZE = (Term("size", 0.45, 2.0, shrunk=False, role="size"),)
TRUE = np.log(0.67)


def sent_to_big_jobs(n: int, seed: int, effect: float = TRUE) -> tuple[Floats, Floats, Floats]:
    """Log sizes of a wide job mix, site days and crew: the second person goes to the big jobs."""
    rng = np.random.default_rng(seed)
    log_size = rng.normal(4, 0.7, n)
    chance = 1 / (1 + np.exp(-3.0 * (log_size - 4)))
    crew = 1.0 + (rng.random(n) < chance)
    days = np.exp(-0.7 + 0.8 * log_size + effect * np.log2(crew) + rng.normal(0, 0.15, n))
    return log_size[:, None], days, crew


def phased(jobs: int, seed: int, effects: Floats) -> tuple[Floats, Floats, Floats, Codes, Codes]:
    """Phases of jobs, crew chosen phase by phase, days = work x job x effect ^ log2 crew."""
    rng = np.random.default_rng(seed)
    k = len(effects)
    job, phase = np.repeat(np.arange(jobs), k), np.tile(np.arange(k), jobs)
    log_size = rng.normal(4, 0.4, jobs)[job]
    crew = rng.integers(1, 3, jobs * k).astype(float)
    base = np.linspace(-2.5, -1.0, k)[phase] + 0.6 * log_size
    own = rng.normal(0, 0.08, jobs)[job] + rng.normal(0, 0.12, jobs * k)
    days = np.exp(base + effects[phase] * np.log2(crew) + own)
    return log_size[:, None], days, crew, phase, job


def test_reversal_mean_days_say_slower_the_records_say_faster():
    """Big jobs get two people: two look slower in plain means, though they are 33 % faster."""
    wrong = 0
    found: list[CrewEffect] = []
    for seed in range(30):
        columns, days, crew = sent_to_big_jobs(35, seed)
        naive = np.log(days[crew == 2]).mean() - np.log(days[crew == 1]).mean()
        wrong += naive > 0
        found.append(from_jobs(columns, SIZE, days, crew))
    assert wrong >= 25
    assert all(f.mean < 0 for f in found)
    assert np.mean([f.mean for f in found]) == pytest.approx(TRUE, abs=0.05)
    assert np.mean([f.interval(0.8).holds(0.67) for f in found]) >= 0.7


def test_dividing_by_person_days_would_overstate_and_this_does_not():
    """Person-days are crew x days, so days per person-day 'fall' by half whatever the truth."""
    columns, days, crew = sent_to_big_jobs(60, 1, effect=np.log(0.9))
    per_person_day = np.log(days / (days * crew))
    trap = per_person_day[crew == 2].mean() - per_person_day[crew == 1].mean()
    assert trap == pytest.approx(np.log(0.5))
    assert from_jobs(columns, SIZE, days, crew).mean > np.log(0.8)


def test_few_jobs_lean_on_the_stated_prior():
    """Three jobs, the one done by two no faster: drawn from there (+.05) towards .70 (-.35)."""
    columns, days, crew = np.full((3, 1), 4.0), np.array([10.0, 10.5, 10]), np.array([1.0, 2, 1])
    few = from_jobs(columns, SIZE, days, crew)
    seen = np.log(1.05)
    assert -0.35 < few.mean < seen - 0.05
    assert (few.alone, few.together) == (2, 1)
    many = from_jobs(np.tile(columns, (6, 1)), SIZE, np.tile(days, 6), np.tile(crew, 6))
    assert few.mean < many.mean < seen
    assert few.interval(0.8).ratio > 1.3 > many.interval(0.8).ratio


def test_many_jobs_outweigh_the_prior():
    columns, days, crew = sent_to_big_jobs(400, 3, effect=np.log(1.05))
    found = from_jobs(columns, SIZE, days, crew)
    assert found.factor == pytest.approx(1.05, abs=0.06)


def test_effect_by_phase_is_found_where_it_is():
    """Tile gains nothing from a second person, demolition nearly halves."""
    effects = np.log([0.55, 0.7, 0.7, 0.95])
    names = ("demo", "framing", "board", "tile")
    columns, days, crew, phase, job = phased(40, 5, effects)
    found = from_phases(columns, SIZE, days, crew, phase, job, names)
    whole, parts = found.whole, found.parts
    assert [p.name for p in parts] == list(names)
    assert [p.mean for p in parts] == pytest.approx(effects, abs=0.09)
    assert whole.mean == pytest.approx(np.log(found.shares @ np.exp(effects)), abs=0.06)
    assert parts[3].chance_below(0.75) < 0.05 < 0.95 < parts[0].chance_below(0.75)
    assert parts[0].alone == int(np.sum(crew[phase == 0] == 1))
    assert parts[0].together == int(np.sum(crew[phase == 0] == 2))


def test_effects_by_phases_keep_their_odds():
    """150 firms, 600 intervals: the 80 % hold 80 %, spread under .03."""
    held, off = [], []
    for seed in range(150):
        truth = TRUE + np.random.default_rng(seed).normal(0, 0.15, 4)
        columns, days, crew, phase, job = phased(12, 100 + seed, truth)
        found = from_phases(columns, SIZE, days, crew, phase, job, list("abcd"))
        parts = found.parts
        off.append(found.whole.mean - np.log(found.shares @ np.exp(truth)))
        held += [p.interval(0.8).holds(float(np.exp(t))) for p, t in zip(parts, truth, strict=True)]
    assert np.mean(off) == pytest.approx(0, abs=0.03)
    assert np.mean(held) == pytest.approx(0.8, abs=0.06)


def test_effect_over_whole_jobs_keeps_its_odds():
    """150 firms of 20 jobs, true effects scattered as the prior says: 80 % within .1."""
    held = []
    for seed in range(150):
        truth = np.random.default_rng(seed).normal(-0.35, 0.3)
        columns, days, crew = sent_to_big_jobs(20, 300 + seed, truth)
        one = from_jobs(columns, SIZE, days, crew)
        held.append(one.interval(0.8).holds(float(np.exp(truth))))
    assert np.mean(held) == pytest.approx(0.82, abs=0.09)


def test_phase_always_done_alone_leans_on_the_others():
    columns, days, crew, phase, job = phased(30, 9, np.full(3, TRUE))
    crew[phase == 2] = 1.0
    found = from_phases(columns, SIZE, days, crew, phase, job, list("abc"))
    whole, parts = found.whole, found.parts
    assert parts[2].together == 0
    assert parts[2].sd > parts[0].sd
    assert parts[2].mean == pytest.approx(whole.mean, abs=0.05)


def test_crew_that_never_varies_tells_nothing():
    columns, days, _ = sent_to_big_jobs(10, 1)
    with pytest.raises(NothingToSay, match="never varies"):
        from_jobs(columns, SIZE, days, np.ones(10))
    with pytest.raises(NothingToSay, match="never varies"):
        from_jobs(columns[:0], SIZE, days[:0], np.ones(0))
    with pytest.raises(NothingToSay, match="never varies"):
        from_phases(
            columns, SIZE, days, np.full(10, 2.0), np.zeros(10, int), np.arange(10), ["tile"]
        )


def test_effect_says_its_odds_and_draws_by_the_t_distribution():
    effect = CrewEffect("all", -0.4, 0.1, 8.0, 5, 5)
    assert effect.factor == pytest.approx(np.exp(-0.4))
    assert effect.chance_below(np.exp(-0.4)) == pytest.approx(0.5)
    assert effect.chance_below(effect.interval(0.9).high) == pytest.approx(0.95)
    reach = 0.1 * stats.t.ppf(0.9, 8)
    assert effect.interval().low == pytest.approx(np.exp(-0.4 - reach))
    draws = effect.sample(20_000, seed=2)
    assert (draws == effect.sample(20_000, seed=2)).all()
    assert np.mean(draws < effect.interval(0.8).low) == pytest.approx(0.1, abs=0.01)


def test_whole_effect_weighs_phases_by_their_days_alone():
    """Tile takes most days and gains nothing: the job gains less than the mean of its phases."""
    effects = np.log([0.5, 0.5, 0.5, 1.0])
    columns, days, crew, phase, job = phased(60, 8, effects)
    days[phase == 3] *= 6
    found = from_phases(columns, SIZE, days, crew, phase, job, list("abcd"))
    assert found.shares.sum() == pytest.approx(1)
    assert found.shares[3] > 0.7
    assert found.whole.factor == pytest.approx(found.shares @ np.exp(effects), abs=0.05)
    assert found.whole.mean > effects.mean() + 0.2


def test_draws_of_phases_follow_their_own_means_and_spreads():
    columns, days, crew, phase, job = phased(20, 8, np.log([0.6, 0.9]))
    found = from_phases(columns, SIZE, days, crew, phase, job, list("ab"))
    drawn = np.log(found.factors(20_000, 3))
    assert drawn.mean(axis=0) == pytest.approx([p.mean for p in found.parts], abs=0.003)
    assert drawn.std(axis=0) == pytest.approx([p.sd for p in found.parts], rel=0.05)


def test_days_of_an_asked_job_are_foretold_phase_by_phase():
    """Log days alone of a job of log size 5: base plus .6 x 5, for each phase; columns centred."""
    columns, days, crew, phase, job = phased(80, 4, np.full(3, TRUE))
    middle = columns.mean(axis=0)
    asked = np.full((3, 1), 5.0) - middle
    found = from_phases(columns - middle, SIZE, days, crew, phase, job, list("abc"), asked=asked)
    assert found.alone == pytest.approx(np.linspace(-2.5, -1.0, 3) + 3.0, abs=0.12)


def test_a_stated_belief_takes_the_place_of_the_first_guess():
    columns, days, crew = sent_to_big_jobs(8, 4)
    sure = Guess.of_range(0.88, 0.92)
    usual, stated = (
        from_jobs(columns, SIZE, days, crew),
        from_jobs(columns, SIZE, days, crew, guess=sure),
    )
    assert abs(stated.mean - np.log(0.9)) < 0.03 < abs(usual.mean - np.log(0.9))
    assert sure.effect.interval(0.8).low == pytest.approx(0.88)
    assert sure.effect.interval(0.8).high == pytest.approx(0.92)
    assert (sure.effect.alone, sure.effect.together) == (0, 0)


def test_what_records_show_leaves_the_first_guess_out():
    """Posterior -.2, spread .1, guess -.35, spread .3: the records alone say -.2 + .039."""
    effect = CrewEffect("all", -0.2, 0.1, 1e6, 5, 5, lean=-0.35 * (0.1 / 0.3) ** 2)
    assert effect.shown_below(1.0) == pytest.approx(
        stats.norm.cdf(0.2 / 0.1 - 0.35 / 0.9), abs=1e-4
    )
    assert effect.shown_below(1.0) < effect.chance_below(1.0)
    assert effect.work == pytest.approx(2 * np.exp(-0.2))


def test_a_saving_where_there_is_none_is_claimed_no_oftener_than_its_odds():
    """200 firms of 12 jobs, two no faster: 10 claims expected at 95 in 100, 16 allowed."""
    claims = 0
    for seed in range(200):
        columns, days, crew = sent_to_big_jobs(12, 900 + seed, effect=0.0)
        if np.ptp(crew) == 0:
            continue
        claims += from_jobs(columns, SIZE, days, crew).shown_below(1.0) >= 0.95
    assert claims <= 16


def test_crew_that_the_work_foretells_is_told_from_crew_that_it_does_not():
    rng = np.random.default_rng(4)
    size = np.concatenate([rng.normal(3, 0.1, 15), rng.normal(5, 0.1, 15)])[:, None]
    tied = np.repeat([1.0, 2.0], 15)
    assert explained(size, tied) > 0.95
    assert explained(size, rng.permutation(tied)) < 0.3
    assert explained(np.zeros((30, 0)), tied) == 0.0
    assert explained(np.ones((30, 2)), tied) == 0.0
    many = rng.normal(size=(12, 30))
    assert explained(many, np.tile([1.0, 2.0], 6)) < 0.5, "30 columns foretell nothing of 12 jobs"


WAITS_UNPAID = DayCosts(owner=400, helper=150, overhead=200)
WAITS_PAID = DayCosts(owner=400, helper=150, overhead=200, helper_paid_waiting=True)


@pytest.mark.parametrize(
    ("speedup", "unpaid", "paid"),
    [(None, 6600, 6600), (1.25, 6600, 7050), (1.4, 5957.14, 6407.14), (1.6, 5287.50, 5737.50)],
)
def test_ten_working_and_three_waiting_days(speedup: float | None, unpaid: float, paid: float):
    """Derived: alone 10 x (400 + 200) + 3 x 200; with a helper (10 / s) x 750 + 3 x 200,
    and 3 x 150 more if the helper is paid while waiting."""
    assert job_days_cost(10, 3, speedup, WAITS_UNPAID) == pytest.approx(unpaid, abs=0.005)
    assert job_days_cost(10, 3, speedup, WAITS_PAID) == pytest.approx(paid, abs=0.005)


def test_break_even_speedup():
    """Derived: 1 + 150 / (400 + 200)."""
    assert break_even_speedup(WAITS_UNPAID) == pytest.approx(1.25)
    at = break_even_speedup(WAITS_UNPAID)
    assert job_days_cost(8, 2, at, WAITS_UNPAID) == pytest.approx(
        job_days_cost(8, 2, None, WAITS_UNPAID)
    )


def test_gained_days_worth_nothing_never_break_even():
    with pytest.raises(NothingToSay, match="worth nothing"):
        break_even_speedup(DayCosts(owner=0, helper=150, overhead=0))
