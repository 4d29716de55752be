"""What is worked out once of a job: kept with the object, gone with it, equal to the slow way."""

from __future__ import annotations

import gc
from dataclasses import replace

import numpy as np
import pytest
from making import bathrooms, job, new_bathroom

from costlearn.features import measures as ms
from costlearn.features.kept import OncePerJob
from costlearn.records import Job
from costlearn.vocabulary import standard


def test_each_job_is_worked_out_once() -> None:
    calls: list[str] = []

    def work(one: Job) -> int:
        calls.append(one.key)
        return len(calls)

    once = OncePerJob(work)
    first, second = job("a"), job("b")
    assert [once(j) for j in (first, second, first, second)] == [1, 2, 1, 2]
    assert calls == ["a", "b"]


def test_equal_jobs_are_two() -> None:
    once = OncePerJob(lambda one: one.area_sqft)
    first = job("a", area_sqft=50.0)
    assert once(first) == 50.0
    assert once(replace(first, area_sqft=60.0)) == 60.0


def test_what_is_kept_goes_with_the_job() -> None:
    once = OncePerJob(lambda one: one.key)
    for k in range(50):
        assert once(job(f"j{k}")) == f"j{k}"
    gc.collect()
    assert len(once) == 0


@pytest.mark.parametrize("target", ms.TARGETS)
@pytest.mark.parametrize("dated", [True, False])
def test_measured_together_is_measured_one_by_one(target: str, dated: bool) -> None:
    jobs = list(bathrooms(30).jobs)
    jobs[3] = replace(jobs[3], scope={}, area_sqft=None, grade=None)
    jobs[5] = replace(jobs[5], started=None, finished=None, house_year=None, condo=True)
    if not dated:
        jobs = [replace(j, started=None, finished=None) for j in jobs]
    new = new_bathroom(scope={"niche": 1.0, "lighting": 4.0, "wall_tile": 90.0, "bench": None})
    found = ms.measure(jobs, new, target=target)
    assert found.row is not None
    slow = {
        column.name: [measured(j) for j in [*jobs, new]]
        for column, measured in ms.every_column(jobs, target=target)
    }
    for column in found.columns:
        quick = [*found.frame[column.name], found.row[column.name]]
        np.testing.assert_array_equal(quick, slow[column.name])
    left = set(slow) - {c.name for c in found.columns}
    assert all(len({v for v in slow[name] if not np.isnan(v)}) < 2 for name in left)


def test_words_of_ones_own_measure_alike() -> None:
    jobs = bathrooms(12).jobs
    usual, own = ms.measure(jobs), ms.measure(jobs, vocabulary=standard())
    assert usual.columns == own.columns
    assert usual.frame.equals(own.frame)


def test_no_jobs_have_no_columns() -> None:
    assert ms.measure([]).columns == ()
    assert ms.measure([], new_bathroom()).columns == ()
