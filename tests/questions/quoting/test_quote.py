"""A quote against history: odds from the distribution, prices for a margin, scope forgotten."""

import json
from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from making import NEW_DAY, bathrooms, change, new_bathroom, phased

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.models.distribution import Interval
from costlearn.questions.learning import predict
from costlearn.questions.quoting.pricing import Standing
from costlearn.questions.quoting.quote import QuoteCheck, check
from costlearn.records import Amounts, History, PhaseRecord


@cache
def history() -> History:
    return phased(bathrooms(20, plan_noise=0.1))


def quote(price: int | None = 2_400_000, cost: int | None = 1_550_000, **values):
    given = {"price": price, "plan": Amounts(cost=cost, person_days=17.0)}
    return new_bathroom(**{**given, **values})


@cache
def sane() -> QuoteCheck:
    return check(history(), quote(), margin=0.25)


def spread_of(asked):
    found = predict(history(), asked, "cost", quoted=True)
    assert found is not None
    return found.spread


def test_odds_are_those_of_the_predicted_cost():
    spread = spread_of(quote())
    assert sane().loss == pytest.approx(1 - spread.cdf(24_000))
    assert sane().over_cost == pytest.approx(1 - spread.cdf(15_500))
    assert sane().reaches_margin == pytest.approx(spread.cdf(24_000 * 0.75))
    cost = next(s for s in sane().standings if s.target == "cost")
    assert cost.share == pytest.approx(spread.cdf(15_500))
    assert cost.share + (sane().over_cost or 0) == pytest.approx(1)


def test_a_price_at_the_middle_loses_money_half_the_time():
    middle = spread_of(quote()).median
    found = check(history(), quote(price=round(middle * 100)))
    assert found.loss == pytest.approx(0.5, abs=1e-3)


@pytest.mark.parametrize("margin", [0.0, 0.2, 0.4])
def test_the_price_ladder_gives_just_the_stated_confidence(margin):
    found = check(history(), quote(), margin=margin)
    spread = spread_of(quote())
    assert [s.confidence for s in found.ladder] == [0.5, 0.8, 0.9]
    for step in found.ladder:
        assert step.price * (1 - margin) == pytest.approx(spread.quantile(step.confidence))
        assert step.reaches_margin == pytest.approx(step.confidence, abs=1e-6)
        assert step.loss == pytest.approx(1 - spread.cdf(step.price))
        assert step.loss <= 1 - step.confidence + 1e-6


def test_asking_the_ladders_price_gives_the_ladders_odds():
    step = sane().ladder[1]
    again = check(history(), quote(price=round(step.price * 100)), margin=0.25)
    assert again.reaches_margin == pytest.approx(0.8, abs=1e-3)
    assert again.loss == pytest.approx(step.loss, abs=1e-3)


def test_without_a_price_the_ladder_stands_and_the_odds_do_not():
    found = check(history(), quote(price=None), margin=0.25)
    assert (found.price, found.loss, found.reaches_margin, found.quoted_margin) == (None,) * 4
    assert len(found.ladder) == 3
    assert "your price" not in found.sentence


def test_margin_is_a_share_of_price_and_markup_of_cost():
    found = check(history(), quote(price=2_000_000, cost=1_500_000), margin=0.25)
    assert found.quoted_margin == pytest.approx(0.25)
    assert found.quoted_markup == pytest.approx(1 / 3)
    ladder = next(t for t in found.tables() if t.caption.startswith("Price"))
    assert ladder.caption == "Price for a margin of 25 % (a markup of 33 %)"


def test_the_wanted_margin_is_the_firms_unless_one_is_given():
    firm = replace(history(), firm=Firm(wanted_margin=0.3))
    assert check(firm, quote()).wanted_margin == 0.3
    assert check(firm, quote(), margin=0.1).wanted_margin == 0.1
    unsaid = check(history(), quote())
    assert (unsaid.wanted_margin, unsaid.reaches_margin) == (None, None)
    assert [s.reaches_margin for s in unsaid.ladder] == [None] * 3


@pytest.mark.parametrize("margin", [-0.1, 1.0, 27.0])
def test_a_margin_that_is_no_share_is_refused(margin):
    with pytest.raises(InputProblem, match=r"a margin of .* expected a share from 0"):
        check(history(), quote(), margin=margin)


def test_a_quote_without_figures_is_refused():
    with pytest.raises(InputProblem, match="holds no figure to check; expected a price"):
        check(history(), new_bathroom())


@pytest.mark.parametrize(
    "figures",
    [{"price": 2_000_000}, {"plan": Amounts(cost=1_500_000)}, {"plan": Amounts(site_days=9.0)}],
)
def test_any_one_figure_is_enough(figures):
    assert check(history(), new_bathroom(**figures)).known


def test_a_sound_quote_gets_one_calm_sentence():
    assert sane().trusted and sane().known
    assert sane().forgotten == ()
    assert "this quote looks sound" in sane().sentence
    assert "What matters most" not in sane().sentence


def test_a_price_that_loses_money_too_often_is_not_trusted():
    low = round(spread_of(quote()).quantile(0.6) * 100)
    found = check(history(), quote(price=low))
    assert found.loss == pytest.approx(0.4, abs=1e-3)
    assert not found.trusted
    assert "4 jobs in 10 cost more than your price" in found.sentence
    assert "sound" not in found.sentence


def test_a_plan_under_the_middle_of_such_jobs_is_the_reason_given():
    found = check(history(), quote(price=1_150_000, cost=1_100_000))
    assert not found.trusted
    cost = next(s for s in found.standings if s.target == "cost")
    assert cost.median > 11_000
    assert "under the middle of such jobs" in found.sentence


def test_days_planned_under_what_such_jobs_took_are_a_reason():
    found = check(history(), quote(plan=Amounts(cost=1_550_000, person_days=7.0)))
    days = next(s for s in found.standings if s.target == "person_days")
    assert days.side == "low"
    assert any("7 days of work are planned" in r for r in found.reasons)


def test_approved_changes_count_as_planned():
    asked = quote(cost=1_450_000, changes=(change(cost=100_000), change("verbal", cost=900_000)))
    cost = next(s for s in check(history(), asked).standings if s.target == "cost")
    assert cost.quoted == 15_500.0


def test_forgotten_scope_is_found_named_and_not_trusted():
    scope = {k: v for k, v in new_bathroom().scope.items() if k != "toilet"}
    found = check(history(), quote(scope={**scope, "tiled_shower_floor": 14.0}))
    assert {f.item: f.trade_knowledge for f in found.forgotten} == {
        "membrane": True,
        "backer": True,
        "toilet": False,
    }
    by_item = {f.item: f for f in found.forgotten}
    assert by_item["toilet"].why == "20 of 20 finished jobs of kind bathroom had it"
    assert "common practice, no source" in by_item["membrane"].why
    assert not found.trusted
    assert "may be forgotten" in found.sentence
    assert "sound" not in found.sentence


def test_scope_left_out_on_purpose_is_not_asked_again():
    found = check(history(), quote(scope={**new_bathroom().scope, "toilet": 0.0}))
    assert found.forgotten == ()
    assert found.trusted


def test_planned_phases_outside_their_range_are_named_furthest_first():
    plans = {"tile": 100_000, "demo": 600_000, "board": 350_000}
    phases = tuple(PhaseRecord(p, Amounts(cost=c)) for p, c in plans.items())
    found = check(history(), quote(phases=phases))
    assert [p.phase for p in found.phases] == ["tile", "demo"]
    tile, demo = found.phases
    assert tile.planned == 1_000.0 < tile.interval.low < tile.median < tile.interval.high
    assert demo.planned == 6_000.0 > demo.interval.high
    rows = next(t for t in found.tables() if t.caption.startswith("Phases planned")).rows
    assert [(r[0], r[3]) for r in rows] == [
        ("Tile and grout", "under its range"),
        ("Demolition and disposal", "over its range"),
    ]
    assert any(r.startswith("tile and grout is planned at $1,000") for r in found.reasons)
    assert not any("demolition" in r for r in found.reasons), "planned dear is no danger"


def test_far_outside_the_history_the_verdict_says_so_and_phases_are_not_compared():
    phases = (PhaseRecord("tile", Amounts(cost=100_000)),)
    found = check(history(), quote(area_sqft=2000.0, price=90_000_000, phases=phases))
    assert not found.trusted
    assert "too little like your past jobs to price from" in found.sentence
    assert "sound" not in found.sentence
    assert found.phases == ()
    assert any("Phases are not compared" in n for n in found.grounds.notes)
    assert found.outside[0].startswith("The floor is larger than any finished job")


def test_with_too_few_jobs_nothing_is_said_and_nothing_trusted():
    found = check(replace(history(), jobs=history().jobs[:2]), quote())
    assert (found.known, found.trusted) == (False, False)
    assert (found.loss, found.standings, found.ladder, found.curve) == (None, (), (), ())
    assert found.sentence == (
        "Your records cannot check this quote: 2 finished jobs with a known direct cost on file, "
        "and at least 3 are needed."
    )
    assert found.price == 24_000.0, "what was quoted is kept"


def test_few_jobs_are_said_to_be_assumptions():
    few = bathrooms(5, noise=0.03)
    found = check(few, quote())
    assert "With 5 jobs on file this is mostly assumptions" in found.sentence


def test_the_weight_of_the_own_plan_is_said():
    assert any("Your own planned cost counts" in n for n in sane().grounds.notes)
    unplanned = check(bathrooms(20), quote())
    assert any("own cost was not used" in n for n in unplanned.grounds.notes)


def test_the_curve_runs_down_from_losing_always_to_losing_never():
    prices, odds = zip(*sane().curve, strict=True)
    assert list(prices) == sorted(prices)
    assert (odds[0], odds[-1]) == pytest.approx((0.99, 0.01))
    spread = spread_of(quote())
    assert prices[49] == pytest.approx(spread.median)


def test_the_side_of_a_standing():
    interval = Interval(0.8, 10.0, 20.0)
    sides = [Standing("cost", q, interval, 14.0, 0.5, 9).side for q in (9.9, 10.0, 20.0, 20.1)]
    assert sides == ["low", "inside", "inside", "high"]


def test_it_is_asked_at_the_quotes_own_day_else_the_given_one():
    assert check(history(), quote()).asked_on == NEW_DAY
    assert check(history(), quote(), on=date(2024, 5, 5)).asked_on == date(2024, 5, 5)


def test_json_holds_no_infinities_and_is_the_same_twice():
    def text() -> str:
        return json.dumps(check(history(), quote(), margin=0.25).plain(), allow_nan=False)

    assert text() == text()


def test_a_nearly_free_or_absurdly_dear_quote_is_answered():
    for price in (1, 10**13):
        found = check(history(), quote(price=price), margin=0.25)
        assert found.loss is not None and 0 <= found.loss <= 1
        assert found.trusted is (price > 1)


def test_tables_are_whole():
    for table in sane().tables():
        assert table.rows and all(len(row) == len(table.heads) for row in table.rows)
