"""What was on file on a day, and what is said where there was more than is learned from."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from making import bathrooms, phased

from costlearn.firm import Firm
from costlearn.questions import known_then
from costlearn.questions.known_then import MOST_KNOWN, NEWEST, bounds_met, known_on, quote_day
from costlearn.questions.trust import backtest
from costlearn.records import History


def test_only_jobs_finished_before_the_day_are_known() -> None:
    history = bathrooms(20, firm=Firm(usual={"cost": 300.0}))
    day = history.jobs[10].finished
    assert day is not None
    past = known_on(history, day)
    assert past.jobs == tuple(j for j in history.jobs if j.finished and j.finished < day)
    assert 0 < len(past.jobs) < 20
    assert past.firm.usual == {}


def test_known_jobs_are_told_apart_once_with_the_same_result() -> None:
    twice = bathrooms(12)
    history = replace(twice, jobs=(*twice.jobs, replace(twice.jobs[0], key="again")))
    assert len(history.usable) == 12
    past = known_on(history, date(2030, 1, 1))
    assert past.usable == History(past.firm, past.jobs).usable
    assert past.usable == past.jobs


def test_of_many_jobs_the_newest_are_known(monkeypatch: pytest.MonkeyPatch) -> None:
    history = bathrooms(20)
    whole = known_on(history, date(2030, 1, 1))
    monkeypatch.setattr(known_then, "MOST_KNOWN", 8)
    assert known_on(history, date(2030, 1, 1)).jobs == whole.jobs[-8:]


def test_the_answer_says_its_bounds_only_where_they_are_met(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    history = phased(bathrooms(30, plan_noise=0.1))
    free = backtest(history)
    assert not any("newest" in note for note in free.grounds.notes)
    monkeypatch.setattr(known_then, "MOST_KNOWN", 12)
    bound = backtest(history)
    assert max(t.known for t in bound.targets[0].tried) == 12
    said = [note for note in bound.grounds.notes if "newest 12 jobs known on that day" in note]
    assert len(said) == 1
    # Up to the twelfth job known, nothing differs.
    early = [t for t in free.targets[0].tried if t.known < 12]
    assert early
    assert list(bound.targets[0].tried[: len(early)]) == early


def test_the_newest_tried_are_counted_out() -> None:
    history = bathrooms(NEWEST + 20)
    said = bounds_met(history, [40] * NEWEST)
    assert said == (f"Of {NEWEST + 20} finished jobs with dates the newest {NEWEST} were tried",)
    assert bounds_met(history, [40] * (NEWEST - 1)) == ()
    assert "newest 2,000" in bounds_met(history, [MOST_KNOWN])[0]
    assert bounds_met(history, []) == ()


def test_a_job_is_priced_on_its_quotes_day_else_at_its_start() -> None:
    job = bathrooms(3).jobs[0]
    assert quote_day(job) == job.started
    assert job.started is not None
    earlier = job.started - timedelta(days=9)
    assert quote_day(replace(job, quoted_on=earlier)) == earlier


def test_too_few_jobs_are_counted_with_what_they_must_say() -> None:
    history = bathrooms(8)
    undated = replace(history, jobs=(replace(history.jobs[0], finished=None), *history.jobs[1:]))
    found = backtest(undated)
    assert not found.known
    assert "7 finished jobs are on file with cost or days, start and finish" in found.sentence
