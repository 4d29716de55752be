"""What a record is held against: its plan; without one, what other jobs say of its scope."""

from dataclasses import replace
from math import log

import numpy as np
import pytest
from making import bathrooms, phased

from costlearn.questions.overrun.overruns import overruns
from costlearn.questions.overrun.records import (
    FEWEST_ALIKE,
    HISTORY,
    PLAN,
    records_of,
    unplanned_records,
)
from costlearn.records import NOTHING, History


def without_plan(history: History, *numbers: int, factor: float = 1.0) -> History:
    """Some jobs lose the plan of tile, and their tile is multiplied."""
    jobs = list(history.jobs)
    for i in numbers:
        phases = tuple(
            replace(
                p,
                plan=NOTHING,
                actual=replace(
                    p.actual,
                    cost=round((p.actual.cost or 0) * factor),
                    person_days=(p.actual.person_days or 0) * factor,
                ),
            )
            if p.phase == "tile"
            else p
            for p in jobs[i].phases
        )
        jobs[i] = replace(jobs[i], phases=phases)
    return replace(history, jobs=tuple(jobs))


@pytest.fixture(scope="module")
def past() -> History:
    return phased(bathrooms(24), seed=4, noise=0.1)


def test_only_figures_without_a_plan_are_held_against_history(past):
    mixed = without_plan(past, 3, 7)
    found = unplanned_records(mixed, "cost")
    assert {(r.job, r.phase, r.baseline) for r in found} == {
        ("b03", "tile", HISTORY),
        ("b07", "tile", HISTORY),
    }
    planned = records_of(mixed.usable, "cost")
    assert {r.baseline for r in planned} == {PLAN}
    assert not {(r.job, r.phase) for r in planned} & {(r.job, r.phase) for r in found}
    assert unplanned_records(past, "cost") == ()


def test_what_is_expected_comes_from_the_other_jobs_alone(past):
    """Doubling a job's own tile doubles its ratio exactly: it teaches nothing of itself.

    The weights of the shrinkage, which all jobs shape, are kept: a few percent are allowed.
    """
    plain = {r.job: r for r in unplanned_records(without_plan(past, 5), "cost")}["b05"]
    twice = {r.job: r for r in unplanned_records(without_plan(past, 5, factor=2.0), "cost")}["b05"]
    assert twice.actual == pytest.approx(2 * plain.actual, rel=1e-4)
    assert twice.planned == pytest.approx(plain.planned, rel=0.08)
    assert twice.ratio / plain.ratio == pytest.approx(2, rel=0.08)


def test_expected_figures_are_right_on_the_whole(past):
    every = without_plan(past, *range(24))
    ratios = [log(r.ratio) for r in unplanned_records(every, "person_days")]
    assert len(ratios) == 24
    assert np.mean(ratios) == pytest.approx(0.0, abs=0.08)
    assert np.std(ratios) < 0.3


def test_few_jobs_or_nothing_known_of_them_expect_nothing(past):
    few = without_plan(replace(past, jobs=past.jobs[: FEWEST_ALIKE - 1]), 2)
    assert unplanned_records(few, "cost") == ()
    bare = tuple(replace(j, area_sqft=None, scope={}) for j in past.jobs)
    assert unplanned_records(without_plan(replace(past, jobs=bare), 2), "cost") == ()


def test_open_books_are_held_against_nothing(past):
    mixed = without_plan(past, 3)
    jobs = list(mixed.jobs)
    jobs[3] = replace(jobs[3], books_closed=False)
    opened = replace(mixed, jobs=tuple(jobs))
    assert unplanned_records(opened, "cost") == ()
    assert overruns(opened).left_out == 1


def test_figures_held_against_history_change_no_phase_figure(past):
    mixed = without_plan(past, 3, 7, factor=5.0)
    found = overruns(mixed)
    dropped = tuple(
        replace(j, phases=tuple(p for p in j.phases if p.phase != "tile"))
        if j.key in ("b03", "b07")
        else j
        for j in mixed.jobs
    )
    assert found.phases == overruns(replace(mixed, jobs=dropped)).phases
    assert len(found.on_file("cost", HISTORY)) == 2
    assert min(r.ratio for r in found.on_file("cost", HISTORY)) > 3
    assert any(n.startswith("4 figures without a plan") for n in found.grounds.notes)


def test_without_any_plan_single_jobs_are_all_that_can_be_said(past):
    bare = replace(
        past,
        jobs=tuple(
            replace(j, phases=tuple(replace(p, plan=NOTHING) for p in j.phases)) for j in past.jobs
        ),
    )
    found = overruns(bare)
    assert not found.known
    assert found.phases == ()
    assert {r.baseline for _, r in found.records} == {HISTORY}
    assert "can only be held against what your other jobs say" in found.sentence
