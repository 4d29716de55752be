"""A running job that was never planned by phase: phase models, pulled by those finished."""

from dataclasses import replace

import pytest

from costlearn.questions.running.stage import standings
from costlearn.questions.running.unplanned import without_plan
from costlearn.records import NOTHING, Amounts, History, Job
from tests.making import bathrooms, new_bathroom, phased

HISTORY = phased(bathrooms(24, noise=0.05), noise=0.1, shared=0.15)


def stopped(after: int, times: float = 1.0) -> Job:
    """The last job, its first phases done at ``times`` their cost, without any plan."""
    last = HISTORY.usable[-1]
    parts = tuple(
        replace(
            p,
            plan=NOTHING,
            percent_complete=float(i < after),
            actual=Amounts(cost=int((p.actual.cost or 0) * times)) if i < after else NOTHING,
        )
        for i, p in enumerate(last.phases)
    )
    return replace(last, state="running", plan=NOTHING, actual=NOTHING, phases=parts)


def past() -> History:
    return replace(HISTORY, jobs=HISTORY.jobs[:-1])


def test_it_holds_what_the_job_came_to():
    last = HISTORY.usable[-1]
    truth = sum(p.actual.cost or 0 for p in last.phases) / 100
    one = stopped(3)
    found = without_plan(past(), one, standings(one), "cost")
    assert found is not None
    assert found.ends.interval(0.9).holds(truth)
    assert len(found.jobs) == 23
    assert found.most == "tile"  # by far the largest phase


def test_dear_phases_pull_the_rest_up_beyond_what_they_took():
    calm, dear = stopped(3), stopped(3, 1.4)
    ends = [without_plan(past(), j, standings(j), "cost") for j in (calm, dear)]
    assert ends[0] is not None
    assert ends[1] is not None
    more = sum((p.actual.cost or 0) for p in calm.phases) / 100 * 0.4
    assert ends[1].ends.median - ends[0].ends.median > 1.1 * more


def test_more_phases_done_narrow_it():
    widths = []
    for k in (1, 3, 5):
        one = stopped(k)
        found = without_plan(past(), one, standings(one), "cost")
        assert found is not None
        ends = found.ends.interval(0.8)
        widths.append(ends.high - ends.low)
    assert widths == sorted(widths, reverse=True)


def test_few_phase_records_say_nothing():
    few = replace(HISTORY, jobs=HISTORY.jobs[:4])
    one = stopped(2)
    assert without_plan(few, one, standings(one), "cost") is None
    assert without_plan(past(), new_bathroom(), (), "cost") is not None


@pytest.mark.parametrize("after", [1, 5])
def test_nothing_ends_under_what_is_spent(after: int):
    one = stopped(after, 3.0)
    found = without_plan(past(), one, standings(one), "cost")
    assert found is not None
    assert found.ends.values[0] >= sum(p.actual.cost or 0 for p in one.phases) / 100 - 0.01


def test_an_open_phase_that_no_finished_job_has_leaves_the_end_unknown():
    one = stopped(3)
    sauna = replace(one.phases[-1], phase="sauna", percent_complete=0.0, actual=Amounts(cost=90000))
    for actual in (NOTHING, sauna.actual):
        odd = replace(one, phases=(*one.phases, replace(sauna, actual=actual)))
        assert without_plan(past(), odd, standings(odd), "cost") is None
    closed = replace(one, phases=(*one.phases, replace(sauna, percent_complete=1.0)))
    found = without_plan(past(), closed, standings(closed), "cost")
    assert found is not None
    assert found.ends.interval(0.8).low < found.ends.interval(0.8).high
