"""What to do: corrections, reserves from joint draws, call-backs by cause, extras nobody pays."""

from dataclasses import replace

import numpy as np
import pytest
from making import bathrooms, change, job, phased

from costlearn.questions.overrun.advice import (
    callbacks_of,
    correction,
    extras_of,
    reserve,
)
from costlearn.questions.overrun.overruns import overruns
from costlearn.questions.overrun.phases import pooled_phases
from costlearn.questions.overrun.records import records_of
from costlearn.records import Callback


@pytest.fixture(scope="module")
def past():
    return phased(bathrooms(30), seed=4, overrun={"tile": 1.25}, shared=0.12)


def test_a_correction_is_rounded_as_it_is_said():
    found = correction("tile", "person_days", 1.2, 0.62, "runs over", 20)
    assert (found.add, found.factor) == (0.5, 1.2)
    assert correction("tile", "cost", 1.2, 563.0, "runs over", 20).add == 560.0
    assert correction("tile", "person_days", 0.8, -0.8, "runs under", 20).add == -1.0


def test_luck_is_no_reason_to_change_a_plan():
    found = correction("tile", "cost", 1.3, 900.0, "could be luck", 20)
    assert (found.add, found.factor) == (0.0, 1.0)


def test_the_phase_that_overruns_is_corrected_and_no_other(past):
    found = overruns(past)
    acted = {(c.phase, c.target) for c in found.advice.corrections if c.add}
    assert acted == {("tile", "cost"), ("tile", "person_days")}
    (table,) = (t for t in found.tables() if t.caption == "What to change in the next quote")
    assert [r[0] for r in table.rows] == ["Tile and grout"]
    assert table.rows[0][1].startswith("add ")


@pytest.mark.parametrize("target", ["cost", "person_days"])
def test_the_whole_job_needs_less_than_its_phases_together(past, target):
    (one,) = (r for r in overruns(past).advice.reserves if r.target == target)
    assert one.p80 < 0.9 * one.summed
    assert one.p50 < one.p80
    assert one.plan == pytest.approx(sum(p.plan for p in one.phases))
    assert all(p.p50 < p.p80 for p in one.phases)


def test_the_reserve_is_enough_in_eight_jobs_of_ten():
    """60 firms, one next job each from the same law: 48 expected within, +- 3 spreads of 3.1."""
    enough = 0
    for seed in range(60):
        whole = phased(bathrooms(21, seed), seed + 300, overrun={"tile": 1.2}, shared=0.12)
        *known, last = whole.jobs
        records = records_of(known, "cost")
        pooled, order = pooled_phases(records)
        found = reserve(records, pooled, order, "cost")
        assert found is not None
        plans = {p.phase: p.plan for p in found.phases}
        ratio = {r.phase: r.ratio for r in records_of([last], "cost")}
        needed = sum(plans[p] * (ratio[p] - 1) for p in plans)
        enough += needed <= found.p80
    assert abs(enough - 48) <= 9.3


def test_a_tie_between_phases_makes_the_job_need_more():
    """The more a job has in common, the less phases make up for each other."""
    spared = []
    for shared in (0.0, 0.3):
        made = phased(bathrooms(40), seed=9, noise=0.15, shared=shared)
        records = records_of(made.jobs, "cost")
        found = reserve(records, *pooled_phases(records), "cost")
        assert found is not None
        spared.append((found.summed - found.p80) / found.summed)
    assert spared[0] > spared[1] + 0.1


def test_a_phase_that_is_seldom_planned_is_no_part_of_the_usual_job(past):
    jobs = tuple(
        replace(j, phases=tuple(p for p in j.phases if p.phase != "vent" or i < 5))
        for i, j in enumerate(past.jobs)
    )
    (cost, _) = overruns(replace(past, jobs=jobs)).advice.reserves
    assert "vent" not in {p.phase for p in cost.phases}


def test_call_backs_stand_by_the_phase_that_caused_them():
    jobs = [
        job("a", callbacks=(Callback("tile", 0.5, 30_000), Callback("unassigned", 0.25, None))),
        job("b", callbacks=(Callback("tile", None, 20_000),)),
    ]
    tile, unsaid = callbacks_of(jobs)
    assert (tile.phase, tile.jobs, tile.person_days, tile.cost) == ("tile", 2, 0.5, 500.0)
    assert (unsaid.name, unsaid.person_days, unsaid.cost) == ("cause not said", 0.25, None)
    assert callbacks_of([job("c")]) == ()


def test_extras_nobody_pays_are_summed_and_missing_stays_missing():
    changes = (
        change("verbal", price=50_000, cost=30_000, days=0.5),
        change("verbal", price=None),
        change("approved", price=0, cost=20_000),
        change("approved", price=90_000, cost=60_000),
        change("declined", price=70_000),
    )
    found = extras_of([job("a", changes=changes)])
    assert (found.verbal, found.unpriced, found.declined) == (2, 1, 1)
    assert (found.price, found.cost, found.days) == (500.0, 500.0, 0.5)
    none = extras_of([job("a", changes=(change("verbal"),))])
    assert (none.price, none.cost, none.days) == (None, None, None)


def test_what_nobody_pays_is_told_a_year(past):
    jobs = list(past.jobs)
    jobs[0] = replace(
        jobs[0],
        changes=(change("verbal", price=120_000, cost=90_000),),
        callbacks=(Callback("tile", 2.0, 80_000),),
    )
    found = overruns(replace(past, jobs=tuple(jobs)))
    # From the first finish to the last there are 29 gaps between 30 jobs.
    years = (jobs[-1].finished - jobs[0].finished).days / 365.25 * 30 / 29
    (table,) = (t for t in found.tables() if t.caption.startswith("Work nobody pays for"))
    assert table.caption.endswith("a year")
    extras, callback = table.rows
    assert extras[2] == f"${1200 / years:,.0f}"
    assert callback[0] == "call-backs, tile and grout"
    assert callback[3] == f"${800 / years:,.0f}"
    assert np.isclose(found.jobs_per_year or 0, 30 / years)
