"""Phases of a new job: which are predicted, from how many jobs, and how they hang together."""

from dataclasses import replace

import pytest
from making import NEW_DAY, bathrooms, job, new_bathroom, phased

from costlearn.models.phases import draw_matrix
from costlearn.questions import byphase
from costlearn.questions.learning import predict
from costlearn.records import Amounts, History, PhaseRecord

NEW = new_bathroom(quoted_on=NEW_DAY)


def split(history: History, target: str = "cost"):
    total = predict(history, NEW, target)
    assert total is not None
    return byphase.split(history, NEW, target, total.spread)


def test_nothing_and_unknown_are_no_phase_total():
    assert byphase.phase_total(Amounts(), "cost") is None
    assert byphase.phase_total(Amounts(cost=0, person_days=0.0), "cost") is None
    assert byphase.phase_total(Amounts(cost=0, person_days=0.0), "person_days") is None
    assert byphase.phase_total(Amounts(cost=12_345), "cost") == 123.45
    assert byphase.phase_total(Amounts(labour=12_345), "cost") is None
    assert byphase.phase_total(Amounts(person_days=2.5), "person_days") == 2.5


def test_jobs_with_three_known_phases_count_as_phased():
    phases = tuple(PhaseRecord(p, actual=Amounts(cost=100)) for p in ("demo", "tile", "paint"))
    jobs = (job("a", phases=phases), job("b", phases=phases[:2]), job("c"))
    opened = job("d", phases=phases, books_closed=False)
    assert [j.key for j in byphase.phased_jobs(History(jobs=(*jobs, opened)), "cost")] == ["a"]
    assert byphase.phased_jobs(History(jobs=jobs), "person_days") == ()


@pytest.mark.parametrize(("with_phases", "shares"), [(4, 0), (5, 6)])
def test_at_least_five_phased_jobs_are_needed(with_phases, shares):
    past = phased(bathrooms(12))
    jobs = tuple(j if i < with_phases else replace(j, phases=()) for i, j in enumerate(past.jobs))
    assert len(split(replace(past, jobs=jobs))) == shares


def test_a_phase_seen_in_two_jobs_is_not_predicted():
    past = phased(bathrooms(12))
    vent_in = {past.jobs[0].key, past.jobs[5].key}
    jobs = tuple(
        replace(j, phases=tuple(p for p in j.phases if p.phase != "vent" or j.key in vent_in))
        for j in past.jobs
    )
    assert "vent" not in {s.phase for s in split(replace(past, jobs=jobs))}


def test_a_phases_chance_follows_jobs_of_like_scope():
    """The fan's phase stands only in jobs with a fan; the new job has one."""
    past = phased(bathrooms(20))
    jobs = tuple(
        replace(j, phases=tuple(p for p in j.phases if p.phase != "vent" or "bath_fan" in j.scope))
        for j in past.jobs
    )
    with_fan = sum("bath_fan" in j.scope for j in jobs)
    assert 5 <= with_fan <= 15
    history = replace(past, jobs=jobs)
    found = {s.phase: s for s in split(history)}
    assert found["vent"].chance == pytest.approx((with_fan + with_fan / 20) / (with_fan + 1))
    without = replace(NEW, scope={**NEW.scope, "bath_fan": 0.0})
    total = predict(history, without, "cost")
    assert total is not None
    bare = {s.phase: s for s in byphase.split(history, without, "cost", total.spread)}
    assert bare["vent"].chance == pytest.approx((with_fan / 20) / (20 - with_fan + 1))


@pytest.mark.parametrize(
    ("shared", "noise", "low", "high"), [(0.3, 0.08, 0.5, 0.9), (0.0, 0.2, 0.0, 0.35)]
)
def test_phases_hang_together_as_much_as_past_jobs_did(monkeypatch, shared, noise, low, high):
    """What a job has in common is read from errors of the same job.

    The invented days scatter by .1 about area and items, so even without a shared part of the
    phases .1^2 of .1^2 + .2^2 is common: .2, a little more with what the model leaves.
    """
    seen = []

    def watched(chances, common, total):
        seen.append(common)
        return draw_matrix(chances, common, total)

    monkeypatch.setattr(byphase, "draw_matrix", watched)
    split(phased(bathrooms(30), shared=shared, noise=noise))
    assert low <= seen[0] <= high
