"""Scope that looks forgotten: what such jobs nearly always had, and what the trade calls for."""

from dataclasses import replace

import pytest
from making import job

from costlearn.features.forgotten import learned, trade

NEW = job("new", kind="bathroom", state="quoted", scope={"vanity": 1.0})


def past(count: int, *items: str, kind: str = "bathroom"):
    return [
        job(f"{kind}{items}{i}", kind=kind, scope=dict.fromkeys(items, 1.0)) for i in range(count)
    ]


def asked(jobs, new=NEW):
    return [m.item for m in learned(jobs, new)]


def test_an_item_every_job_had_is_asked_with_its_counts():
    (one,) = learned(past(6, "vanity", "toilet"), NEW)
    assert (one.item, one.because, one.had, one.of) == ("toilet", "", 6, 6)
    assert one.share == pytest.approx(7 / 8), "drawn to a half as if by two jobs"


def test_below_four_jobs_nothing_is_learned():
    assert asked(past(3, "vanity", "toilet")) == []
    assert asked(past(4, "vanity", "toilet")) == ["toilet"], "5 of 6 is over eight in ten"


@pytest.mark.parametrize(("without", "expected"), [(1, ["toilet"]), (3, [])])
def test_nearly_always_is_eight_in_ten(without, expected):
    jobs = past(10 - without, "vanity", "toilet") + past(without, "vanity")
    assert asked(jobs) == expected


def test_an_item_that_goes_with_one_of_the_quotes_is_asked_for_its_sake():
    jobs = past(5, "niche", "bench") + past(5, "mirror")
    (one,) = learned(jobs, replace(NEW, scope={"niche": 1.0}))
    assert (one.item, one.because, one.had, one.of) == ("bench", "niche", 5, 5)
    assert one.share == pytest.approx((5 + 2 * 0.5) / 7)
    assert asked(jobs, replace(NEW, scope={"paint": 1.0})) == []


def test_an_explicit_no_is_an_answer_and_a_blank_is_not():
    jobs = past(8, "vanity", "toilet")
    assert asked(jobs, replace(NEW, scope={"vanity": 1.0, "toilet": 0.0})) == []
    assert asked(jobs, replace(NEW, scope={"vanity": 1.0, "toilet": None})) == ["toilet"]
    assert asked(jobs, replace(NEW, scope={"vanity": 1.0, "toilet": 1.0})) == []


def test_only_jobs_of_the_same_kind_teach():
    jobs = past(8, "vanity", "toilet", kind="kitchen")
    assert asked(jobs) == []
    assert asked(jobs, replace(NEW, kind=None)) == ["toilet"]


def test_jobs_of_unknown_scope_are_no_jobs_without_the_item():
    jobs = past(6, "vanity", "toilet") + [job(f"s{i}", kind="bathroom") for i in range(20)]
    (one,) = learned(jobs, NEW)
    assert (one.had, one.of) == (6, 6)


def test_a_quote_without_scope_is_not_pestered():
    assert asked(past(8, "vanity", "toilet"), replace(NEW, scope={})) == []
    assert trade(replace(NEW, scope={})) == ()


def test_the_most_certain_is_asked_first():
    jobs = past(9, "vanity", "toilet", "mirror") + past(1, "vanity", "toilet")
    assert asked(jobs) == ["toilet", "mirror"]


@pytest.mark.parametrize(
    ("scope", "expected"),
    [
        (("tiled_shower_floor",), {"membrane": ("tiled_shower_floor", ()), "backer":
            ("tiled_shower_floor", ("membrane",))}),
        (("tiled_shower_floor", "membrane"), {}),
        (("curbless", "backer"), {"membrane": ("curbless", ())}),
        (("wall_tile",), {"backer": ("wall_tile", ("membrane",))}),
        (("wall_tile", "membrane"), {}),
        (("heated_floor",), {"new_circuit": ("heated_floor", ("outlet",))}),
        (("heated_floor", "outlet"), {}),
        (("gut_demo",), {"drywall": ("gut_demo", ("backer",))}),
        (("toilet", "paint"), {}),
    ],
)  # fmt: skip
def test_what_the_trade_calls_for(scope, expected):
    """Common practice, no source."""
    found = trade(job("new", scope=dict.fromkeys(scope, 1.0)))
    assert {m.item: (m.because, m.instead) for m in found} == expected
    assert all(m.of == 0 for m in found), "nobody counted jobs for it"


def test_an_explicit_no_silences_the_trade_too():
    assert trade(job("n", scope={"heated_floor": 9.0, "new_circuit": 0.0, "outlet": 0.0})) == ()
    (one,) = trade(job("n", scope={"heated_floor": 9.0, "new_circuit": 0.0}))
    assert (one.item, one.instead) == ("outlet", ())
