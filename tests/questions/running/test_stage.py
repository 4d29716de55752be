"""Which phases are done, what was planned for them, and finished jobs cut at that stage."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from costlearn.questions.running.stage import (
    cost_ends,
    loose_factor,
    now_of,
    phase_plan,
    phase_table,
    rest_days,
    rest_of,
    standings,
)
from costlearn.records import NOTHING, Amounts, Job, PhaseRecord
from tests.making import bathrooms, change, job, phased


def cost(amount: float, **more: float) -> Amounts:
    return Amounts(cost=int(amount * 100), **more)


def record(phase: str, plan: float, spent: float | None = None, **more) -> PhaseRecord:
    actual = NOTHING if spent is None else cost(spent)
    return PhaseRecord(phase, cost(plan), actual, **more)


def running(*phases: PhaseRecord, **more) -> Job:
    return job("run", state="running", phases=phases, **more)


def states(one: Job, **more) -> dict[str, tuple[float, str]]:
    return {s.phase: (s.done, s.how) for s in standings(one, **more)}


def test_stated_parts_count_and_spend_alone_does_not_finish_a_phase():
    found = states(
        running(
            record("demo", 1000, 900, percent_complete=1.0),
            record("board", 1000, 300, percent_complete=0.4),
            record("tile", 2000, 100, percent_complete=0.0),
            record("paint", 500),
        )
    )
    assert found == {
        "demo": (1.0, "finished"),
        "board": (0.4, "part done"),
        "tile": (0.0, "under way"),
        "paint": (0.0, "not begun"),
    }


def test_a_phase_is_taken_as_finished_once_a_later_one_has_begun():
    one = running(record("tile", 2000), record("board", 900, 800), record("demo", 500, 450))
    found = standings(one)
    assert [s.phase for s in found] == ["demo", "board", "tile"]
    assert [(s.done, s.inferred) for s in found] == [(1.0, True), (0.0, False), (0.0, False)]
    assert found[1].how == "under way"
    closed = running(record("demo", 500, 450, books_closed=True), record("tile", 900))
    assert states(closed)["demo"] == (1.0, "finished")


def test_work_left_goes_before_what_is_on_file():
    worked = PhaseRecord("tile", cost(2000), cost(900, person_days=3.0), percent_complete=0.2)
    planned = PhaseRecord("paint", cost(500, person_days=2.0))
    one = running(worked, planned)
    found = states(one, left={"tile": 1.0, "paint": 1.5})
    assert found["tile"] == (0.75, "part done")
    assert found["paint"] == (0.25, "part done")
    assert states(one, left={"tile": 0.0})["tile"] == (1.0, "finished")


def test_approved_changes_join_the_plan_of_their_phase_or_of_all():
    named = change(phase="tile", cost=20_000)
    verbal = change("verbal", phase="tile", cost=99_900)
    loose = change(cost=30_000)
    one = running(record("demo", 1000), record("tile", 1800), changes=(named, verbal, loose))
    assert phase_plan(one, one.phases[1], "cost") == pytest.approx(2000)
    assert loose_factor(one, "cost") == pytest.approx(1.1)  # 300 on 3000
    assert loose_factor(replace(one, changes=()), "cost") == 1.0
    table = phase_table((), "cost", ["demo", "tile"])
    now = now_of(one, table, standings(one))
    assert now.plan == pytest.approx([1100, 2200])
    assert now.budget == pytest.approx(3300)


def test_the_running_job_in_figures():
    one = running(
        record("demo", 1000, 1200, percent_complete=1.0),
        record("board", 1000, 300, percent_complete=0.4),
        record("tile", 2000, 100, percent_complete=0.0),
        actual=cost(1700),
    )
    now = now_of(one, phase_table((), "cost", ["demo", "board", "tile"]), standings(one))
    assert now.so_far == pytest.approx(1700)  # 100 of it stands in no phase
    assert now.loose == pytest.approx(100)
    assert now.settled == pytest.approx(1600)
    assert now.earned == pytest.approx(1400)


def on_plan(count: int, over: float = 1.0) -> tuple[Job, ...]:
    """Jobs of demo 1000, board 1000, tile 2000; demo on plan, the rest ``over`` times plan.

    All came to a cent more: to the cent as planned, they would be taken for copies.
    """
    return tuple(
        job(
            f"p{i}",
            phases=(
                record("demo", 1000, 1000.01),
                record("board", 1000, 1000 * over + 0.01),
                record("tile", 2000, 2000 * over + 0.01),
            ),
        )
        for i in range(count)
    )


def test_a_job_like_the_others_ends_where_the_others_did():
    table = phase_table(on_plan(12), "cost")
    one = running(
        record("demo", 500, 500, percent_complete=1.0), record("board", 500), record("tile", 1000)
    )
    now = now_of(one, table, standings(one))
    rest = rest_of(table, now)
    assert rest is not None
    assert rest.carried == pytest.approx(0.0, abs=1e-4)
    assert cost_ends(now, rest).median == pytest.approx(2000, rel=0.01)
    assert rest.left == pytest.approx([0, 500, 1000], rel=0.01)
    assert rest.shares[0] == 0
    assert rest.shares.sum() == pytest.approx(1)
    assert rest.jobs == 12


def test_a_miss_so_far_is_carried_on_in_part():
    table = phase_table(on_plan(12), "cost")
    one = running(
        record("demo", 500, 650, percent_complete=1.0), record("board", 500), record("tile", 1000)
    )
    now = now_of(one, table, standings(one))
    rest = rest_of(table, now)
    assert rest is not None
    whole = cost_ends(now, rest).median
    assert 650 + 1500 < whole < 650 + 1500 * 1.3
    # twelve alike jobs never erred, so they say nothing of the carry: the first guess of .4 stays
    assert whole == pytest.approx(650 + 1500 * 1.3**0.4, rel=0.01)


def test_the_stage_is_which_phases_are_done_not_how_many():
    """Board doubled in every job. Asked after demo it is to come; asked after board it is past."""
    jobs = tuple(
        replace(j, phases=(j.phases[0], record("board", 1000, 2000), j.phases[2]))
        for j in on_plan(15)
    )
    table = phase_table(jobs, "cost")
    plans = {"demo": 1000, "board": 1000, "tile": 2000}

    def end_after(phase: str, spent: float) -> float:
        parts = tuple(
            record(p, v, spent if p == phase else None, percent_complete=float(p == phase))
            for p, v in plans.items()
        )
        now = now_of(running(*parts), table, standings(running(*parts)))
        rest = rest_of(table, now)
        assert rest is not None
        return cost_ends(now, rest).median

    assert end_after("demo", 1000) == pytest.approx(5000, rel=0.03)
    assert end_after("board", 2000) == pytest.approx(5000, rel=0.03)


def test_before_anything_is_done_the_plan_times_what_plans_were_worth():
    table = phase_table(on_plan(20, over=1.2), "cost")
    one = running(record("demo", 1000), record("board", 1000), record("tile", 2000))
    rest = rest_of(table, now_of(one, table, standings(one)))
    assert rest is not None
    assert rest.carried is None
    assert rest.spread.median == pytest.approx(4600, rel=0.02)


def test_too_few_jobs_or_nothing_left_is_none():
    one = running(record("demo", 500, 500, percent_complete=1.0), record("tile", 1000))
    for count in (0, 2):
        table = phase_table(on_plan(count), "cost", ["demo", "tile"])
        assert rest_of(table, now_of(one, table, standings(one))) is None
    table = phase_table(on_plan(5), "cost")
    over = running(record("demo", 500, 500, percent_complete=1.0))
    assert rest_of(table, now_of(over, table, standings(over))) is None


def test_a_job_with_two_known_phases_teaches_nothing():
    jobs = tuple(replace(j, phases=j.phases[:2]) for j in on_plan(4))
    assert phase_table(jobs, "cost").jobs == ()


def with_days(count: int, wait: float = 2.0) -> tuple[Job, ...]:
    """Three phases of 2, 2, 4 person-days by one person, ``wait`` wait days after board."""

    def one(phase: str, days: float, waits: float | None = None) -> PhaseRecord:
        actual = Amounts(person_days=days, site_days=days, wait_days=waits)
        return PhaseRecord(phase, Amounts(person_days=days), actual)

    phases = (one("demo", 2.0), one("board", 2.0, wait), one("tile", 4.0))
    whole = Amounts(person_days=8.0, site_days=8.0, wait_days=wait, elapsed_days=8.0 + wait)
    return tuple(job(f"d{i}", phases=phases, actual=whole) for i in range(count))


def halfway(people: float) -> Job:
    done = Amounts(person_days=2.0, site_days=2.0 / people)
    return running(
        PhaseRecord("demo", Amounts(person_days=2.0), done, percent_complete=1.0),
        PhaseRecord("board", Amounts(person_days=2.0)),
        PhaseRecord("tile", Amounts(person_days=4.0)),
        actual=done,
    )


@pytest.mark.parametrize(("people", "site", "elapsed"), [(1.0, 6.0, 8.0), (2.0, 3.0, 5.0)])
def test_a_bigger_crew_shortens_the_work_but_not_the_waits(
    people: float, site: float, elapsed: float
):
    """6 person-days to come and 2 wait days: 6 + 2 alone, 3 + 2 by two."""
    table = phase_table(with_days(12), "person_days")
    one = halfway(people)
    now = now_of(one, table, standings(one))
    ahead = ["board", "tile"]
    for target, expected in (("site_days", site), ("elapsed_days", elapsed)):
        found = rest_days(table, one, now, target, ahead)
        assert found is not None
        assert found[0].median == pytest.approx(expected, rel=0.02)
        assert found[1] == 12


def test_a_crew_that_comes_and_goes_makes_days_to_come_less_sure():
    """Six jobs that take their plan throughout; in every other one a second person joins later.

    By hand: those then need half of the days that the crew so far foretells, log .5 = -.69.
    """
    steady = with_days(6)

    def joined(one: Job) -> Job:
        later = tuple(
            p if p.phase == "demo" else replace(p, actual=replace(p.actual, site_days=half))
            for p in one.phases
            for half in [(p.actual.site_days or 0.0) / 2]
        )
        return replace(one, phases=later, actual=replace(one.actual, site_days=5.0))

    changing = tuple(joined(j) if i % 2 else j for i, j in enumerate(steady))
    widths = []
    for jobs in (steady, changing):
        table = phase_table(jobs, "person_days")
        now = now_of(halfway(1.0), table, standings(halfway(1.0)))
        found = rest_days(table, halfway(1.0), now, "site_days", ["board", "tile"])
        assert found is not None
        widths.append(np.log(found[0].interval(0.8).ratio))
    # Exact records leave 2 jobs' worth of .2 against 6 of 0: sigma = .1.
    assert widths[0] == pytest.approx(2 * 1.397 * 0.1 * np.sqrt(1 + 9 / 55), rel=0.02)
    assert widths[1] > 2 * 1.28 * np.log(2) / 2


def test_days_are_not_known_without_a_crew_or_enough_jobs():
    one = halfway(1.0)
    nobody = replace(one, actual=replace(one.actual, site_days=None))
    table = phase_table(with_days(12), "person_days")
    now = now_of(nobody, table, standings(nobody))
    assert rest_days(table, nobody, now, "site_days", ["board"]) is None
    few = phase_table(with_days(2), "person_days", ["demo", "board", "tile"])
    now = now_of(one, few, standings(one))
    assert rest_days(few, one, now, "site_days", ["board"]) is None


def test_real_histories_give_ranges_that_narrow_with_each_phase():
    history = phased(bathrooms(24, noise=0.1, plan_noise=0.1))
    table = phase_table(history.usable[:-1], "cost")
    last = history.usable[-1]
    widths = []
    for k in range(1, 6):
        parts = tuple(
            replace(p, percent_complete=float(i < k), actual=p.actual if i < k else NOTHING)
            for i, p in enumerate(last.phases)
        )
        one = replace(last, state="running", phases=parts, actual=NOTHING)
        now = now_of(one, table, standings(one))
        rest = rest_of(table, now)
        assert rest is not None
        ends = cost_ends(now, rest).interval(0.8)
        widths.append(ends.high - ends.low)
    assert np.all(np.diff(widths) < 0)
