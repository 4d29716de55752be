"""Which jobs are nearest, how they differ, and what the history does not reach."""

from dataclasses import replace
from datetime import date
from math import log

import pytest
from making import job

from costlearn.features.likeness import items_of, nearest, reach
from costlearn.features.measures import measure

NEW = job("new", kind="bathroom", started=date(2025, 1, 1), area_sqft=50.0, scope={"toilet": 1.0})


def past(key: str, area: float | None, *items: str, kind: str = "bathroom"):
    return job(
        key,
        kind=kind,
        started=date(2022, 1, 1),
        area_sqft=area,
        scope={"toilet": 1.0, **dict.fromkeys(items, 1.0)},
    )


def found(jobs, new=NEW, count=5):
    return nearest(measure(jobs, new), jobs, new, count)


def test_the_nearest_job_comes_first_and_size_counts_three_times():
    jobs = [past("far", 100.0), past("near", 52.0), past("below", 40.0)]
    alike = found(jobs)
    assert [a.job.key for a in alike] == ["near", "below", "far"]
    assert [a.distance for a in alike] == pytest.approx(
        [3 * log(52 / 50), 3 * log(50 / 40), 3 * log(2)]
    )


def test_one_item_is_one_step_away():
    jobs = [past("more", 50.0, "niche"), past("same", 50.0), past("two", 50.0, "niche", "bench")]
    alike = found(jobs)
    assert [a.job.key for a in alike] == ["same", "more", "two"]
    assert [a.distance for a in alike] == pytest.approx([0, 1, 2**0.5])


def test_differences_are_named_both_ways():
    new = replace(NEW, scope={"toilet": 1.0, "vanity": 1.0, "bath_fan": None, "mirror": 0.0})
    (one,) = found([past("a", 50.0, "niche", "bench")], new)
    assert one.has_more == ("bench", "niche")
    assert one.has_less == ("vanity",)


def test_a_scope_nobody_wrote_down_is_no_difference():
    unsaid = job("u", kind="bathroom", started=date(2022, 1, 1), area_sqft=50.0)
    (one,) = found([unsaid])
    assert (one.has_more, one.has_less) == ((), ())
    (other,) = found([past("a", 50.0, "niche")], replace(NEW, scope={}))
    assert (other.has_more, other.has_less) == ((), ())


def test_when_it_was_built_makes_no_job_less_alike():
    old, recent = past("old", 50.0), replace(past("recent", 51.0), started=date(2025, 1, 1))
    assert [a.job.key for a in found([recent, old])] == ["old", "recent"]


def test_what_is_not_said_is_no_difference():
    alike = found([past("unsaid", None), past("close", 51.0), past("far", 99.0)])
    assert alike[0].job.key == "unsaid"
    assert alike[0].distance == 0.0


def test_no_more_than_asked_and_ties_in_the_order_on_file():
    jobs = [past(f"j{i}", 60.0) for i in range(6)]
    assert [a.job.key for a in found(jobs, count=3)] == ["j0", "j1", "j2"]
    assert nearest(measure(jobs), jobs, NEW) == (), "nothing to compare with"
    assert nearest(measure([], NEW), [], NEW) == ()


def test_items_of_a_job_are_those_it_is_known_to_have():
    assert items_of(job("a", scope={"niche": 2.0, "bench": 0.0, "toilet": None})) == {"niche"}


def test_reach_names_items_never_and_seldom_done():
    jobs = [past("a", 40.0, "niche"), past("b", 60.0, "niche"), past("c", 80.0, "bench")]
    jobs.append(past("d", 70.0, "bench", "niche"))
    new = replace(NEW, scope=dict.fromkeys(("toilet", "niche", "bench", "curbless"), 1.0))
    out = reach(jobs, new)
    assert out.never == ("curbless",)
    assert out.seldom == (("bench", 2),), "niche and toilet were done three times or more"
    assert (out.area, out.area_range) == ("", (40.0, 80.0))
    assert not out.kind_unseen


@pytest.mark.parametrize(
    ("area", "side"), [(39.9, "below"), (40.0, ""), (80.0, ""), (80.1, "above"), (None, "")]
)
def test_reach_says_on_which_side_of_past_areas_a_job_lies(area, side):
    jobs = [past("a", 40.0), past("b", 80.0), past("c", None)]
    assert reach(jobs, replace(NEW, area_sqft=area)).area == side


def test_reach_without_areas_or_kinds_claims_nothing():
    out = reach([job("a")], NEW)
    assert (out.area, out.area_range, out.kind_unseen) == ("", None, False)
    assert reach([past("a", 40.0)], replace(NEW, kind="kitchen")).kind_unseen
    assert not reach([past("a", 40.0)], replace(NEW, kind=None)).kind_unseen
