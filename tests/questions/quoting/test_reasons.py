"""Reasons against a quote: three, the largest amount first, in dollars where they are known."""

from dataclasses import replace
from functools import cache

import pytest
from making import bathrooms, new_bathroom, phased

from costlearn.models.distribution import Interval
from costlearn.questions.learning import predict
from costlearn.questions.quoting.gaps import ForgottenItem, PhasePlan
from costlearn.questions.quoting.pricing import Standing
from costlearn.questions.quoting.quote import check
from costlearn.questions.quoting.reasons import Added, Against, Shortfalls, added_by, reasons_of
from costlearn.records import Amounts, History


@cache
def history() -> History:
    return phased(bathrooms(24, plan_noise=0.1, noise=0.05))


def standing(target: str, quoted: float, low: float, middle: float, high: float) -> Standing:
    return Standing(target, quoted, Interval(0.8, low, high), middle, 0.5, 20)


def against(**values) -> Against:
    given = {
        "standings": (), "phases": (), "missing": (), "added": None, "short": Shortfalls(),
        "currency": "USD",
    }  # fmt: skip
    return Against(**{**given, **values})


def forgotten(*names: str, weighty: bool = False) -> tuple[ForgottenItem, ...]:
    return tuple(ForgottenItem(n, n, "why", False, weighty) for n in names)


def test_nothing_against_a_quote_gives_no_reason():
    assert reasons_of(against()) == ()
    fine = standing("cost", 15_000, 12_000, 14_000, 17_000)
    assert reasons_of(against(standings=(fine,), short=Shortfalls(None, -4_000))) == ()


def test_the_three_largest_stand_largest_first():
    phase = PhasePlan("tile", "Tile", "cost", 1_000, Interval(0.8, 2_000, 4_000), 3_000)
    found = reasons_of(
        against(
            standings=(standing("cost", 13_000, 12_000, 14_500, 17_000),),
            phases=(phase,),
            short=Shortfalls(2_500, 900),
        )
    )
    assert found == (
        "it would take $2,500 more to keep your margin in 5 jobs of 10",
        "tile is planned at $1,000, where 8 jobs in 10 took $2,000 to $4,000",
        "the planned cost is $1,500 under the middle of such jobs",
    )


def test_days_missing_from_a_plan_are_priced_at_the_day_rate():
    days = standing("person_days", 7, 10, 12, 15)
    (priced,) = reasons_of(against(standings=(days,), day_rate=500.0))
    assert priced.endswith("took 10 to 15 days (about $2,500 at your day rate)")
    (plain,) = reasons_of(against(standings=(days,)))
    assert plain.endswith("took 10 to 15 days")
    phase = PhasePlan("tile", "Tile", "person_days", 2, Interval(0.8, 4, 8), 6)
    first, _ = reasons_of(against(phases=(phase,), short=Shortfalls(1_900), day_rate=500.0))
    assert first.startswith("tile is planned at 2 days") and "$2,000" in first


def test_scope_that_must_be_settled_comes_first_with_what_it_would_add():
    missing = forgotten("fan", "bench", weighty=True)
    found = reasons_of(
        against(missing=missing, added=Added(("fan", "bench"), 200, 900, 1_700),
                short=Shortfalls(5_000))
    )  # fmt: skip
    assert found[0] == "fan and bench may be forgotten (would add $200 to $1,700, 8 times in 10)"
    part = against(missing=missing, added=Added(("fan",), -100, 300, 700))
    assert reasons_of(part) == (
        "fan and bench may be forgotten (fan would add up to $700, 8 times in 10)",
    )


def test_what_forgotten_items_add_is_learned_from_jobs_with_and_without():
    asked = new_bathroom(scope={"toilet": 1.0, "vanity": 1.0, "floor_tile": 30.0, "paint": 150.0})
    cost = predict(history(), asked, "cost")
    assert cost is not None
    heated = added_by(history(), asked, forgotten("heated_floor"), cost)
    assert heated is not None
    # The invented law adds .09 in logs to a cost of about 14,000.
    assert heated.low < 0.09 * cost.spread.median < heated.high
    assert heated.low < heated.middle < heated.high
    # Every job on file had a toilet: nothing tells what it adds.
    bare = replace(asked, scope={"paint": 150.0})
    assert added_by(history(), bare, forgotten("toilet"), cost) is None


def test_a_quote_far_out_has_three_reasons_and_each_of_money_has_its_dollars():
    asked = new_bathroom(price=1_150_000, plan=Amounts(cost=1_100_000, person_days=7.0))
    jobs = history()
    found = check(replace(jobs, firm=replace(jobs.firm, day_rate=500.0)), asked, margin=0.25)
    assert not found.trusted and len(found.reasons) == 3
    assert all("$" in r for r in found.reasons)
    assert all(r in found.sentence for r in found.reasons)


def test_a_price_that_loses_too_often_says_what_is_missing_even_without_a_margin():
    cost = predict(history(), new_bathroom(plan=Amounts(cost=1_550_000)), "cost", quoted=True)
    assert cost is not None
    price = cost.spread.quantile(0.7)
    asked = new_bathroom(price=round(price * 100), plan=Amounts(cost=1_550_000))
    found = check(history(), asked)
    more = cost.spread.quantile(0.9) - price
    reason = next(r for r in found.reasons if "until only 1 job in 10" in r)
    said = float(reason.split("$")[1].split(" ")[0].replace(",", ""))
    assert said == pytest.approx(more, rel=0.01)


def test_a_price_a_little_short_of_safe_does_not_contradict_its_own_reason():
    planned = Amounts(cost=1_550_000)
    cost = predict(history(), new_bathroom(plan=planned), "cost", quoted=True)
    assert cost is not None
    for level, said in ((0.88, "; a little over 1 job in 10 costs"), (0.92, "; 1 job in 10 costs")):
        price = round(cost.spread.quantile(level) * 100)
        found = check(history(), new_bathroom(price=price, plan=planned))
        assert said in found.sentence
        assert any("until only" in r for r in found.reasons) == (level < 0.9)
