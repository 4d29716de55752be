"""Scope that looks forgotten: what such jobs nearly always had, and what the trade calls for."""

from dataclasses import replace

import numpy as np
import pytest
from making import job
from scipy.special import betaln

from costlearn.features.forgotten import learned, trade
from costlearn.vocabulary import standard

NEW = job("new", kind="bathroom", state="quoted", scope={"vanity": 1.0})


def past(count: int, *items: str, kind: str = "bathroom"):
    return [
        job(f"{kind}{items}{i}", kind=kind, scope=dict.fromkeys(items, 1.0)) for i in range(count)
    ]


def asked(jobs, new=NEW):
    return [m.item for m in learned(jobs, new)]


def averaged(jobs, mine, item):
    """The share by all rules, computed anew from Beta functions (Bayesian model averaging)."""
    scopes = [set(j.scope) for j in jobs]
    every = sorted(set().union(*scopes))
    had = np.array([item in s for s in scopes])

    def evidence(of):
        return betaln(had[of].sum() + 0.5, (~had[of]).sum() + 0.5) - betaln(0.5, 0.5)

    def share(of):
        return (had[of].sum() + 0.5) / (of.sum() + 1)

    whole = np.ones(len(jobs), dtype=bool)
    logs, shares = [evidence(whole)], [share(whole)]
    for other in every:
        there = np.array([other in s for s in scopes])
        if other != item and 0 < there.sum() < len(jobs):
            logs.append(evidence(there) + evidence(~there) - np.log(len(every)))
            shares.append(share(there if other in mine else ~there))
    weights = np.exp(np.array(logs) - max(logs))
    return float(weights @ shares / weights.sum())


def test_an_item_every_job_had_is_asked_with_its_counts():
    (one,) = learned(past(6, "vanity", "toilet"), NEW)
    assert (one.item, one.because, one.had, one.of) == ("toilet", "", 6, 6)
    assert one.share == pytest.approx(6.5 / 7), "Jeffreys' prior: half a job on either side"


def test_below_four_jobs_nothing_is_learned():
    assert asked(past(3, "vanity", "toilet")) == []
    assert asked(past(4, "vanity", "toilet")) == ["toilet"], "4.5 of 5 is over 85 in 100"


@pytest.mark.parametrize(("without", "expected"), [(1, ["toilet"]), (2, [])])
def test_nearly_always_is_85_in_100(without, expected):
    """9.5 of 11 and 8.5 of 11."""
    jobs = past(10 - without, "vanity", "toilet") + past(without, "vanity")
    assert asked(jobs) == expected


def test_an_item_that_goes_with_one_of_the_quotes_is_asked_for_its_sake():
    jobs = past(5, "niche", "bench") + past(5, "mirror")
    (one,) = learned(jobs, replace(NEW, scope={"niche": 1.0}))
    assert (one.item, one.because, one.had, one.of) == ("bench", "niche", 5, 5)
    assert one.share == pytest.approx(averaged(jobs, {"niche"}, "bench"))
    assert asked(jobs, replace(NEW, scope={"mirror": 1.0})) == []


def test_an_item_that_stands_in_for_another_is_asked_where_neither_is():
    jobs = past(6, "vanity", "tub_install") + past(6, "vanity", "shower_base")
    first, second = learned(jobs, NEW)
    assert {first.item, second.item} == {"tub_install", "shower_base"}
    assert first.lacking and second.lacking
    assert (first.had, first.of) == (6, 6)
    assert asked(jobs, replace(NEW, scope={"vanity": 1.0, "shower_base": 1.0})) == []


def test_the_luckiest_of_many_rules_is_not_believed():
    """An item thrown by a coin goes with some other item by luck alone; it is not asked for."""
    rng = np.random.default_rng(4)
    names = [i.key for i in standard().items[:40]]
    jobs = [
        job(f"a{k}", kind="bathroom", scope={n: 1.0 for n in names if rng.random() < 0.5})
        for k in range(12)
    ]
    mine = names[:20]
    lucky = [
        (item, other)
        for item in names[20:]
        for other in mine
        if (seen := [item in j.scope for j in jobs if other in j.scope])
        and sum(seen) >= 4
        and all(seen)
    ]
    assert lucky
    assert len(asked(jobs, replace(NEW, scope=dict.fromkeys(mine, 1.0)))) <= 2


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
