"""The planted effects can be found again in the clean jobs, by calculations of their own."""

import itertools
import json
import math
from datetime import date

import numpy as np
import pytest
import statsmodels.api as sm

from costlearn.demo.files import demo_folder
from costlearn.demo.jobs import invented_jobs
from costlearn.demo.truth import (
    CREW_FACTOR,
    OVERRUN,
    PHASE_NOISE,
    YEARLY_RISE,
    Dice,
    Scope,
    content_of,
    price_level,
)
from costlearn.demo.workdays import build, move, works

TRUTH = json.loads((demo_folder() / "truth.json").read_text("utf-8"))
FINISHED = [j for j in TRUTH["jobs"] if j["finished"]]
IN_BOOK = [j for j in FINISHED if j["in_phase_book"] and j["books_closed"]]


def overruns(measure: str) -> dict[str, np.ndarray]:
    """Log of actual over plan and approved changes, by phase."""
    found: dict[str, list[float]] = {}
    for job in IN_BOOK:
        for phase, p in job["phases"].items():
            added = sum(
                c[3] if measure == "hours" else c[4]
                for c in job["changes"]
                if c[1] == "approved" and c[2] == phase
            )
            found.setdefault(phase, []).append(
                math.log(p[measure] / (p[f"plan_{measure}"] + added))
            )
    return {p: np.array(v) for p, v in found.items()}


def test_numbers_of_jobs():
    kinds = [j["kind"] for j in FINISHED]
    assert len(FINISHED) == 46
    assert (kinds.count("bathroom"), kinds.count("laundry"), kinds.count("kitchen")) == (36, 5, 5)
    assert len(IN_BOOK) == 28
    assert [j["code"] for j in FINISHED if not j["books_closed"]] == ["B26-07"]
    assert [j["code"] for j in TRUTH["jobs"] if not j["finished"]] == ["B26-08", "L26-09"]
    assert min(j["started"] for j in FINISHED) >= "2021-02"
    assert max(j["finished"] for j in FINISHED) < "2026-10"


@pytest.mark.parametrize("measure", ["hours", "cost"])
def test_mean_overrun_of_each_phase_is_near_what_was_planted(measure):
    for phase, logs in overruns(measure).items():
        error = logs.std(ddof=1) / math.sqrt(len(logs))
        assert abs(logs.mean() - math.log(OVERRUN.get(phase, 1.0))) < 2 * error, phase


@pytest.mark.parametrize("measure", ["hours", "cost"])
def test_the_three_planted_phases_stand_out_and_no_other(measure):
    standing_out = set()
    for phase, logs in overruns(measure).items():
        if logs.mean() / (logs.std(ddof=1) / math.sqrt(len(logs))) > 2.5:
            standing_out.add(phase)
    assert standing_out == {"demo", "waterproof", "tile"}


def test_phases_of_a_job_overrun_together():
    # Covariance of two phases of one job = variance of the job effect, planted as 0.08 squared.
    # A mean of products over some 2,000 pairs of 28 jobs; its error is about that of 28 squares.
    logs = overruns("hours")
    centre = {p: v.mean() for p, v in logs.items()}
    seen = dict.fromkeys(logs, 0)
    products = []
    for job in IN_BOOK:
        left = []
        for phase in job["phases"]:
            left.append(logs[phase][seen[phase]] - centre[phase])
            seen[phase] += 1
        products.append(np.mean([a * b for a, b in itertools.combinations(left, 2)]))
    shared = np.mean(products)
    error = np.std(products, ddof=1) / math.sqrt(len(products))
    assert shared > 0
    assert abs(shared - 0.08**2) < 2.5 * error


def test_prices_rise_as_planted():
    # Least squares of log planned cost per planned person-day on time, kind of job, grade, and the
    # share of hours done by two (whose person-days are more, for the same goods).
    start = date(2021, 1, 1)
    columns, rates = [], []
    for job in FINISHED:
        phases = job["phases"].values()
        hours = sum(p["plan_hours"] for p in phases)
        by_two = sum(p["plan_hours"] for p in phases if p["crew"] == 2) / hours
        years = (date.fromisoformat(job["quoted_on"]) - start).days / 365.25
        groups = [job["kind"] == "laundry", job["kind"] == "kitchen"]
        groups += [job["grade"] == "basic", job["grade"] == "high"]
        columns.append([1.0, years, by_two, *map(float, groups)])
        rates.append(math.log(job["plan_cost"] / hours))
    fit = sm.OLS(np.array(rates), np.array(columns)).fit()
    assert abs(fit.params[1] - math.log(1 + YEARLY_RISE)) < 2.5 * fit.bse[1]
    assert fit.bse[1] < 0.01


def test_two_people_shorten_phases_as_planted():
    # Log site hours against the work there was, phase by phase, for jobs since the helper came.
    ratios: dict[int, dict[str, list[float]]] = {1: {}, 2: {}}
    for job in FINISHED:
        scope = Scope(job["kind"], "", job["area"], job["grade"], job["house_year"], job["scope"])
        content = content_of(scope)
        for phase, p in job["phases"].items():
            ratio = math.log(p["hours"] / p["crew"] / 8 / content[phase].days)
            ratios[p["crew"]].setdefault(phase, []).append(ratio)
    gaps, errors, truths = [], [], []
    for phase, pairs in ratios[2].items():
        alone = ratios[1][phase]
        if len(pairs) < 4:
            continue
        error = math.hypot(
            np.std(pairs, ddof=1) / math.sqrt(len(pairs)),
            np.std(alone, ddof=1) / math.sqrt(len(alone)),
        )
        gap = np.mean(pairs) - np.mean(alone)
        assert abs(gap - math.log(CREW_FACTOR[phase])) < 3.0 * error + 0.05, phase
        gaps.append(gap)
        errors.append(error)
        truths.append(math.log(CREW_FACTOR[phase]))
    assert len(gaps) >= 8
    weights = 1 / np.square(errors)
    pooled = np.average(gaps, weights=weights)
    assert pooled == pytest.approx(np.average(truths, weights=weights), abs=0.06)
    assert 0.58 < math.exp(pooled) < 0.75


def test_bigger_jobs_more_often_get_two_people_and_none_before_the_helper_came():
    before = [j for j in FINISHED if j["started"] < "2024-03-04"]
    after = [j for j in FINISHED if j["started"] >= "2024-03-04"]
    assert all(p["crew"] == 1 for j in before for p in j["phases"].values())
    share = [np.mean([p["crew"] == 2 for p in j["phases"].values()]) for j in after]
    content = [
        sum(
            c.days
            for c in content_of(
                Scope(j["kind"], "", j["area"], j["grade"], j["house_year"], j["scope"])
            ).values()
        )
        for j in after
    ]
    assert np.corrcoef(content, share)[0, 1] > 0.4


def test_waiting_does_not_depend_on_the_crew():
    after = [j for j in FINISHED if j["started"] >= "2021-02-01" and "gut_demo" in j["scope"]]
    waits = {
        late: np.array([j["wait_days"] for j in after if (j["started"] >= "2024-03-04") == late])
        for late in (False, True)
    }
    gap = waits[True].mean() - waits[False].mean()
    error = math.hypot(*(w.std(ddof=1) / math.sqrt(len(w)) for w in waits.values()))
    assert abs(gap) < 2.5 * error


def test_jobs_are_of_a_sensible_size():
    # Common practice, no source: a gutted bathroom of some 50 sq ft takes 17 to 32 person-days,
    # a powder room 7 to 12, a laundry 11 to 18, a kitchen 28 to 45; near 1,000 dollars a
    # person-day, all in.
    for job in FINISHED:
        days = job["person_days"]
        if job["kind"] == "kitchen":
            assert 28 <= days <= 45, job["code"]
        elif job["kind"] == "laundry":
            assert 11 <= days <= 18, job["code"]
        elif job["area"] <= 30:
            assert 7 <= days <= 12, job["code"]
        elif "gut_demo" in job["scope"] and job["area"] <= 62:
            assert 17 <= days <= 32, job["code"]
        assert 700 < job["price"] / 100 / days < 1500, job["code"]
    recent = [j for j in FINISHED if j["started"] >= "2023" and j["kind"] == "bathroom"]
    rates = [j["price"] / 100 / j["person_days"] for j in recent]
    assert 950 < np.median(rates) < 1150


def test_costs_are_the_sum_of_their_kinds_and_labour_is_days_times_rate():
    for job in invented_jobs():
        rate = 385.0 * price_level(job.started)
        for p in job.phases:
            assert p.cost == sum(p.costs.values())
            if p.share == 1:
                assert p.costs["labour"] == pytest.approx(p.hours / 8 * rate * 100, abs=1)
        assert job.booked == sum(p.cost for p in job.phases) - sum(p.late for p in job.phases)
    assert sum(p.late for j in invented_jobs() for p in j.phases) > 0


def test_noise_stands_in_the_tables_for_every_phase():
    assert set(PHASE_NOISE) == set(CREW_FACTOR)
    assert set(OVERRUN) < set(PHASE_NOISE)


def test_dice_are_the_same_everywhere_and_differ_by_purpose():
    draws = [Dice("a").share() for _ in range(2)] + [Dice("b").share(), Dice("a", 2).share()]
    assert draws[0] == draws[1]
    assert len(set(draws)) == 3
    many = Dice("normal")
    sample = [many.normal(0.5) for _ in range(4000)]
    assert np.std(sample) == pytest.approx(0.5, rel=0.05)
    assert np.mean(sample) == pytest.approx(0, abs=0.03)


def test_working_days_skip_weekends_and_the_turn_of_the_year():
    assert not works(date(2024, 12, 25))
    assert not works(date(2024, 12, 28))
    # Friday 2024-12-20, then 23, 27, 30 December (24, 25, 26, 31 and weekends are off).
    assert move(date(2024, 12, 20), 3) == date(2024, 12, 30)
    assert move(date(2024, 12, 30), -3) == date(2024, 12, 20)


def test_phases_fill_days_and_waiting_starts_the_day_after():
    # Monday 2024-04-08: 10 h of tile, a day of waiting, then 5 h of paint.
    days, last = build(date(2024, 4, 8), [("tile", 1, 10.0, 1), ("paint", 2, 8.0, 0)])
    assert [(d.day.day, d.phase, d.hours, d.waiting) for d in days] == [
        (8, "tile", 8.0, False),
        (9, "tile", 2.0, False),
        (9, "paint", 6.0, False),
        (10, "tile", 0.0, True),
        (11, "paint", 2.0, False),
    ]
    assert last == date(2024, 4, 11)
