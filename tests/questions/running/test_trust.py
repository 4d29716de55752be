"""The mid-job backtest: only earlier jobs teach, ranges narrow, and scores are what they say."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise

import pytest

from costlearn.questions.running.trust import after_each_phase
from costlearn.records import NOTHING, Amounts, History, Job
from tests.making import bathrooms, phased


def history(count: int = 24, **more: float) -> History:
    return phased(bathrooms(count, noise=0.1, plan_noise=0.1), **more)


def test_every_stage_is_tried_and_ranges_narrow():
    found = after_each_phase(history(shared=0.12, noise=0.2))
    assert found.known
    for target in ("cost", "person_days"):
        rows = found.of(target)
        assert [r.phases for r in rows] == [1, 2, 3, 4, 5]  # six phases: the sixth ends the job
        widths = [r.width for r in rows]
        # venting is a small phase, and these are medians: to know it narrows next to nothing
        assert all(b < 1.1 * a for a, b in pairwise(widths))
        assert widths[-1] < 0.5 * widths[0]
        assert all(r.held.of == r.jobs for r in rows)
        # jobs last a month: one that began before three others were over is not tried
        assert all(15 <= r.jobs <= 21 for r in rows)
    assert "held" in found.sentence
    json.dumps(found.plain(), allow_nan=False)


def test_carrying_beats_the_index_where_early_misses_do_not_last():
    rows = after_each_phase(history(40, shared=0.02, noise=0.3)).of("cost")
    assert rows[0].own < 0.8 * rows[0].index


def test_carrying_beats_the_rest_as_quoted_where_they_do():
    rows = after_each_phase(history(40, shared=0.3, noise=0.1)).of("cost")
    assert rows[1].own < 0.8 * rows[1].quoted


def test_a_job_teaches_nothing_about_itself_or_earlier_ones():
    """The last job's painting, its last phase, made ten times dearer: no range may change."""
    plain = history(20)
    last = plain.jobs[-1]
    dear = tuple(
        replace(p, actual=replace(p.actual, cost=(p.actual.cost or 0) * 10))
        if p.phase == "paint"
        else p
        for p in last.phases
    )
    spoilt = replace(plain, jobs=(*plain.jobs[:-1], replace(last, phases=dear)))
    before, after = (after_each_phase(h).of("cost")[0] for h in (plain, spoilt))
    assert before.jobs == after.jobs
    assert before.width == pytest.approx(after.width)
    assert before.held.held - after.held.held in (0, 1)


def test_running_jobs_are_listed():
    base = history(20)
    phases = tuple(
        replace(p, actual=p.actual if i < 2 else NOTHING, percent_complete=float(i < 2))
        for i, p in enumerate(base.jobs[0].phases)
    )
    job = Job("run", "R-01", state="running", phases=phases, actual=Amounts(cost=450_000))
    found = after_each_phase(replace(base, jobs=(*base.jobs, job)))
    assert [(j.job, j.finished, j.phases, j.so_far) for j in found.running] == [
        ("R-01", 2, 6, 4500.0)
    ]
    assert "Running: R-01." in found.sentence
    assert found.tables()[0].rows[0] == ("R-01", "2 of 6", "$4,500")


def test_too_few_jobs_say_so():
    found = after_each_phase(history(5))
    assert not found.known
    assert "5 finished jobs are on file with plan and actual by phase" in found.sentence
    assert "at least 8" in found.sentence
    assert found.tables() == ()
    assert not after_each_phase(History()).known
