"""Two versions of one job: what differs, what holds for both, and what past jobs tell of it."""

from dataclasses import replace

import numpy as np
import pytest
from making import bathrooms, new_bathroom

from costlearn.features.measures import measure
from costlearn.features.pairs import Change, alike, changes, measure_pair, support
from costlearn.records import Amounts

ONE = new_bathroom()


def other(**items: float | None):
    return replace(ONE, scope={**ONE.scope, **items})


def pair_of(first, second, jobs=None):
    return measure_pair(
        bathrooms().jobs if jobs is None else jobs, *alike(first, second)[:2], "cost"
    )


def test_what_only_one_version_says_holds_for_both():
    bare = replace(ONE, grade=None, area_sqft=None, plan=Amounts(crew=2.0))
    first, second, told = alike(ONE, bare)
    assert (second.grade, second.area_sqft) == (ONE.grade, ONE.area_sqft)
    assert first.plan.crew == second.plan.crew == 2.0
    assert set(told) == {"finish grade", "floor area", "crew size"}
    assert changes(first, second) == ()


def test_a_version_without_any_scope_takes_the_others():
    _, second, told = alike(ONE, replace(ONE, scope={}))
    assert second.scope == ONE.scope
    assert told == ("scope",)


def test_an_item_one_version_leaves_unsaid_is_the_others():
    first, second, _ = alike(other(bench=None), other(bench=1.0))
    assert changes(first, second) == ()
    first, second, _ = alike(other(bench=None), ONE)
    assert first.scope["bench"] == 0.0


def test_plans_prices_and_dates_play_no_part():
    second = replace(ONE, price=1, quoted_on=None, plan=Amounts(cost=5))
    first, second, told = alike(replace(ONE, price=2), second)
    assert first.day == second.day == ONE.quoted_on
    assert (first.plan, second.plan, told) == (Amounts(), Amounts(), ())


def test_changes_are_named_with_their_sizes():
    second = replace(other(niche=0.0, bench=1.0, floor_tile=60.0), area_sqft=70.0)
    assert set(changes(ONE, second)) == {
        Change("niche", "left out", 1.0, 0.0),
        Change("bench", "added", 0.0, 1.0),
        Change("floor_tile", "size", 30.0, 60.0),
        Change("area_sqft", "changed"),
    }


def test_columns_are_those_of_each_version_on_its_own():
    jobs = bathrooms().jobs
    second = other(curbless=1.0)
    pair = pair_of(ONE, second)
    for job, row in ((ONE, pair.first), (second, pair.second)):
        alone = measure(jobs, job)
        place = {c.name: i for i, c in enumerate(pair.columns)}
        for name in alone.frame.columns:
            assert pair.frame[name].equals(alone.frame[name])
            assert row[place[name]] == pytest.approx(alone.row[name], nan_ok=True)
    assert pair.steps == {"curbless": 1.0}


def test_a_column_no_past_job_speaks_of_stands_between_the_versions():
    jobs = tuple(replace(j, scope={}) for j in bathrooms().jobs)
    pair = pair_of(ONE, other(bench=1.0), jobs)
    assert pair.steps == {"bench": 1.0}
    assert np.unique(pair.frame["bench"]).tolist() == [0.5]


def test_support_counts_the_jobs_on_both_sides():
    jobs = bathrooms().jobs
    had = sum(bool(j.scope.get("bench")) for j in jobs)
    found = support(pair_of(ONE, other(bench=1.0)), Change("bench", "added", 0.0, 1.0))
    assert (found.having, found.lacking) == (had, len(jobs) - had)
    assert found.told


def test_an_item_never_done_is_not_told():
    change = Change("shower_glass", "added", 0.0, 1.0)
    found = support(pair_of(ONE, other(shower_glass=1.0)), change)
    assert (found.having, found.told) == (0, False)


def test_an_item_all_jobs_had_is_not_told():
    found = support(pair_of(ONE, other(toilet=0.0)), Change("toilet", "left out", 1.0, 0.0))
    assert (found.lacking, found.told) == (0, False)


def test_an_item_that_always_came_with_another_is_not_told():
    jobs = tuple(
        replace(
            j, scope={**j.scope, "new_circuit": 1.0} if j.scope.get("heated_floor") else j.scope
        )
        for j in bathrooms().jobs
    )
    change = Change("heated_floor", "added", 0.0, 30.0)
    alone = support(pair_of(ONE, other(heated_floor=30.0), jobs), change)
    assert (alone.twins, alone.told) == (("new_circuit",), False)
    both = support(pair_of(ONE, other(heated_floor=30.0, new_circuit=1.0), jobs), change)
    assert (both.twins, both.told) == ((), True)


def test_a_size_no_column_reads_is_not_weighed():
    found = support(pair_of(ONE, other(paint=400.0)), Change("paint", "size", 150.0, 400.0))
    assert not found.weighed
    tile = support(pair_of(ONE, other(wall_tile=90.0)), Change("wall_tile", "added", 0.0, 90.0))
    assert tile.weighed
