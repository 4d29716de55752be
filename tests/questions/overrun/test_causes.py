"""Why: days against rates, amount against price, the bridge, and what goes with overrun."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from making import bathrooms, change, job, phased

from costlearn.firm import Firm
from costlearn.questions.overrun.causes import causes_of, overrun_of_job
from costlearn.questions.overrun.overruns import overruns
from costlearn.questions.overrun.records import records_of
from costlearn.records import Amounts, History, PhaseRecord

TILE = PhaseRecord(
    "tile",
    Amounts(cost=300_000, labour=200_000, material=100_000, person_days=5.0),
    Amounts(cost=420_000, labour=300_000, material=110_000, person_days=6.0),
)
"""Labour 6 days at 500 for 5 at 400; goods 1,100 for 1,000; 100 more of no kind."""


def history(*jobs, firm: Firm | None = None) -> History:
    return History(firm or Firm(), jobs=tuple(jobs))


def parts(past: History) -> dict[str, float]:
    (one,) = causes_of(past, records_of(past.usable, "cost"), (), "cost").phases
    return dict(one.parts)


def bridge(past: History) -> dict[str, float]:
    found = causes_of(past, records_of(past.usable, "cost"), (), "cost").bridge
    return {s.key: s.amount for s in found}


def test_cost_splits_into_days_rates_goods_and_the_rest():
    found = parts(history(job("a", phases=(TILE,))))
    assert found == pytest.approx({"days": 400, "rates": 600, "material": 100, "rest": 100})


def test_goods_split_by_the_price_index_between_quote_and_start():
    """Level up by 10 %: 1,100 spent are 1,000 of the quote's money, so all of it is price."""
    firm = Firm(price_index={"2024-01-01": 100.0, "2024-06-01": 110.0})
    one = job("a", quoted_on=date(2024, 1, 1), started=date(2024, 6, 1), phases=(TILE,))
    found = parts(history(one, firm=firm))
    assert found["price"] == pytest.approx(100)
    assert found["quantity"] == pytest.approx(0, abs=1e-9)
    undated = replace(one, quoted_on=None)
    assert parts(history(undated, firm=firm))["material"] == pytest.approx(100)


def test_days_are_priced_at_the_firms_rate_where_the_plan_has_none():
    bare = replace(
        TILE,
        plan=Amounts(cost=300_000, person_days=5.0),
        actual=Amounts(cost=420_000, person_days=6.5),
    )
    assert parts(history(job("a", phases=(bare,)), firm=Firm(day_rate=400.0))) == pytest.approx(
        {"days": 600, "rest": 600}
    )
    assert parts(history(job("a", phases=(bare,)))) == pytest.approx({"rest": 1200})


def test_the_bridge_goes_from_quote_to_actual_and_adds_up():
    changes = (change(cost=20_000, days=0.5, phase="tile"),)
    other = PhaseRecord("demo", Amounts(cost=50_000), Amounts(cost=40_000))
    past = history(job("a", phases=(TILE, other), changes=changes))
    found = bridge(past)
    assert found["quote"] == 3500.0
    assert found["changes"] == 200.0
    assert found["plan"] == 3700.0
    assert found["actual"] == 4600.0
    # Half a day was allowed for by the change: 6 against 5.5 at 400.
    assert found["days"] == pytest.approx(200)
    causes = sum(v for k, v in found.items() if k not in ("quote", "changes", "plan", "actual"))
    assert causes == pytest.approx(4600 - 3700)


def test_no_cost_records_no_bridge():
    days_only = PhaseRecord("tile", Amounts(person_days=5.0), Amounts(person_days=6.0))
    past = history(job("a", phases=(days_only,)))
    assert causes_of(past, (), (), "person_days").bridge == ()


def test_overrun_of_a_job_is_its_totals_else_its_phases():
    whole = job("a", plan=Amounts(cost=10_000), actual=Amounts(cost=13_000), phases=(TILE,))
    assert overrun_of_job(whole, "cost") == pytest.approx(1.3)
    assert overrun_of_job(job("b", phases=(TILE,)), "cost") == pytest.approx(1.4)
    assert overrun_of_job(job("c"), "cost") is None


def driven(seed: int, worth: float, count: int = 40) -> History:
    """Jobs whose cost over plan depends on a curbless entry, if on anything."""
    past = phased(bathrooms(count, seed), seed + 50, noise=0.1, shared=0.05)
    rng = np.random.default_rng(seed)
    jobs = []
    for j in past.jobs:
        over = np.exp(worth * float("curbless" in j.scope) + rng.normal(0, 0.08))
        jobs.append(replace(j, plan=Amounts(cost=round((j.actual.cost or 0) / over))))
    return replace(past, jobs=tuple(jobs))


def test_a_planted_cause_is_named_and_its_size_held():
    found = overruns(driven(1, 0.25)).causes
    assert [c.name for c in found.clear] == ["curbless entry"]
    assert found.clear[0].interval.low < np.exp(0.25) < found.clear[0].interval.high * 1.05
    assert found.looked_at > 10
    (table,) = (
        t for t in overruns(driven(1, 0.25)).tables() if t.caption.startswith("What goes with")
    )
    assert table.rows[0][0] == "curbless entry"
    assert overruns(driven(1, 0.25)).cautions


def test_where_nothing_drives_overrun_nothing_is_named():
    """20 firms at an error rate of 5 %: one expected; 4 is three spreads up."""
    named = 0
    for seed in range(20):
        found = overruns(driven(seed, 0.0, 20))
        named += bool(found.causes.clear)
        if not found.causes.clear:
            assert any("none stands out" in n for n in found.grounds.notes)
            assert not any(t.caption.startswith("What goes with") for t in found.tables())
    assert named <= 4


def test_surprises_become_a_candidate_cause():
    past = driven(3, 0.0)
    jobs = tuple(
        replace(
            j,
            notes="rot found" if i % 3 == 0 else "",
            plan=replace(j.plan, cost=round((j.plan.cost or 0) / (1.35 if i % 3 == 0 else 1.0))),
        )
        for i, j in enumerate(past.jobs)
    )
    found = overruns(replace(past, jobs=jobs))
    assert "surprise: rot or rotten wood" in [c.name for c in found.causes.clear]
    assert found.causes.surprises[0].jobs == tuple(j.key for j in jobs[::3])
