"""Two versions of a scope: one difference with a range of its own, exactly nothing where alike."""

from dataclasses import replace
from functools import cache
from math import exp

import pytest
from making import bathrooms, new_bathroom

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.questions.estimate import estimate
from costlearn.questions.quoting.versions import Versions, compare
from costlearn.records import Amounts, History

ONE = new_bathroom(name="plain")


def other(name: str = "with more", **items: float):
    return replace(ONE, name=name, scope={**ONE.scope, **items})


@cache
def history() -> History:
    return bathrooms(40, noise=0.08)


def curbless() -> Versions:
    return compare(history(), ONE, other(curbless=1.0), margin=0.25)


def test_alike_scopes_differ_by_exactly_zero():
    found = compare(history(), ONE, replace(ONE, name="again"), margin=0.3)
    assert found.known
    assert found.sentence == "again against plain: both say the same, so there is no difference."
    assert {d.target for d in found.differences} >= {"cost", "person_days", "elapsed_days"}
    for d in found.differences:
        assert (d.interval.low, d.middle, d.interval.high, d.chance_more) == (0.0, 0.0, 0.0, None)
    assert found.price is not None
    assert (found.price.low, found.price.high) == (0.0, 0.0)
    assert "no difference" in str(found.tables())


def test_each_version_lands_where_its_own_estimate_does():
    found = curbless().difference("cost")
    assert found is not None
    for landing, job in ((found.first, ONE), (found.second, other(curbless=1.0))):
        alone = estimate(history(), job).target("cost")
        assert alone is not None
        assert landing.median == pytest.approx(alone.median)
        assert landing.interval == alone.main


def test_the_range_is_the_differences_own():
    found = curbless().difference("cost")
    assert found is not None
    ends = (found.second.interval.high - found.first.interval.low) - (
        found.second.interval.low - found.first.interval.high
    )
    assert found.interval.high - found.interval.low < 0.3 * ends
    assert found.chance_more is not None
    assert found.chance_more > 0.95


def test_ranges_hold_what_was_planted():
    """A curbless entry adds .15 to the logarithm in 12 invented firms; 80 % ranges hold it."""
    held = 0
    for seed in range(12):
        found = compare(bathrooms(25, seed), ONE, other(curbless=1.0)).difference("cost")
        assert found is not None
        held += found.interval.holds(found.first.median * (exp(0.15) - 1))
    assert held >= 7


def test_the_other_way_round_it_is_saved():
    there = curbless().difference("cost")
    back = compare(history(), other(curbless=1.0), ONE).difference("cost")
    assert there is not None
    assert back is not None
    assert back.middle == pytest.approx(-there.middle)
    assert back.interval.low == pytest.approx(-there.interval.high)
    said = compare(history(), other(curbless=1.0), replace(ONE, name="less")).sentence
    assert " less in direct cost" in said


def test_the_price_keeps_the_margin_of_the_difference():
    found = curbless()
    cost = found.difference("cost")
    assert cost is not None
    assert found.price is not None
    assert found.price.low == pytest.approx(cost.interval.low / 0.75)
    assert found.price_middle == pytest.approx(cost.middle / 0.75)
    assert [s.confidence for s in found.ladder] == [0.5, 0.8, 0.9]
    assert found.ladder[0].first == pytest.approx(cost.first.median / 0.75)
    assert "At your margin of 25 %" in found.sentence
    unsaid = compare(history(), ONE, other(curbless=1.0))
    assert (unsaid.price, unsaid.ladder) == (None, ())


def test_an_item_too_seldom_done_is_said_to_be_a_first_guess():
    jobs = tuple(replace(j, scope={**j.scope, "bench": 0.0}) for j in history().jobs)
    few = replace(
        history(), jobs=(replace(jobs[0], scope={**jobs[0].scope, "bench": 1.0}), *jobs[1:])
    )
    found = compare(few, ONE, other(bench=1.0))
    assert found.sentence.startswith(
        "Your records cannot tell what bench adds (1 of 40 finished jobs had it)."
    )
    assert "as a first guess, not experience" in found.sentence
    seen = compare(history(), ONE, other(bench=1.0)).difference("cost")
    unseen = found.difference("cost")
    assert seen is not None
    assert unseen is not None
    width = unseen.interval.high - unseen.interval.low
    assert width > 1.3 * (seen.interval.high - seen.interval.low)


def test_a_known_change_beside_an_unknown_one_keeps_its_figure():
    found = compare(history(), ONE, other(curbless=1.0, shower_glass=1.0))
    assert found.sentence.startswith("with more against plain: 8 times in 10")
    assert "cannot tell what shower glass adds (0 of 40 finished jobs had it)" in found.sentence
    assert any("Never done before: shower glass" in o for o in found.outside)


def test_what_the_range_does_not_hold_stands_beside_it():
    own = "The luck of the changed work itself comes on top."
    assert own in compare(history(), ONE, other(curbless=1.0)).sentence
    assert own not in compare(history(), ONE, replace(ONE, name="again")).sentence


def test_a_size_the_records_are_not_read_for_has_no_figure():
    found = compare(history(), ONE, other(paint=400.0))
    assert not found.known
    assert found.differences == ()
    assert "cannot tell what this changes: paint" in found.sentence
    assert "not for how much of it" in found.sentence
    mixed = compare(history(), ONE, other(paint=400.0, curbless=1.0))
    assert mixed.known
    assert "Not counted: paint 400 sq ft instead of 150 sq ft." in mixed.sentence


def test_too_few_jobs_give_a_sentence():
    found = compare(bathrooms(2), ONE, other(bench=1.0))
    assert not found.known
    assert "2 finished jobs with a known direct cost are on file" in found.sentence
    assert found.tables() == ()


def test_few_jobs_are_mostly_assumptions():
    assert "this is mostly assumptions" in compare(bathrooms(6), ONE, other(bench=1.0)).sentence


RATES = Firm(
    day_rate=500.0,
    rates={
        "paint": {"person_days": 0.01, "bought": 1.0},
        "toilet": {"person_days": 1.0, "bought": 400.0},
        "vanity": {"person_days": 1.5, "bought": 900.0},
        "floor tile": {"person_days": 0.1, "bought": 9.0},
        "niche": {"person_days": 0.5, "bought": 120.0},
        "bench": {"person_days": 1.0, "bought": 200.0},
    },
)


def test_the_firms_own_rates_speak_before_any_job_does():
    """A bench at 1 day of 500 and 200 bought is 700 in the rates; a common factor may be off."""
    found = compare(History(RATES), ONE, other(bench=1.0))
    cost = found.difference("cost")
    assert cost is not None
    assert cost.middle == pytest.approx(700.0, rel=0.01)
    assert cost.interval.low < 600 < 800 < cost.interval.high
    assert cost.chance_more is None
    assert "by what you stated, not experience" in found.sentence


def test_rates_weigh_a_size_that_records_are_not_read_for():
    firm = replace(history(), firm=RATES)
    found = compare(firm, ONE, other(paint=400.0))
    cost = found.difference("cost")
    assert cost is not None
    assert cost.interval.high > 0
    assert "cannot tell what paint adds (your own rates alone)" in found.sentence


def test_a_larger_floor_than_any_on_file_is_wider_and_said():
    inside = compare(history(), ONE, replace(ONE, area_sqft=60.0)).difference("cost")
    found = compare(history(), ONE, replace(ONE, area_sqft=400.0))
    assert inside is not None
    assert any("larger than any finished job" in o for o in found.outside)
    cost = found.difference("cost")
    assert cost is not None
    assert cost.interval.high - cost.interval.low > 5 * (inside.interval.high - inside.interval.low)


def test_the_difference_of_the_plans_stands_beside():
    first = replace(ONE, plan=Amounts(cost=1_500_000))
    second = replace(other(curbless=1.0), plan=Amounts(cost=1_620_000))
    found = compare(history(), first, second, margin=0.25)
    assert found.planned_more == pytest.approx(1200.0)
    assert "By your own plans the second costs $1,200 more" in str(found.tables())


def test_json_holds_both_versions_and_the_difference():
    data = curbless().plain()
    assert data["question"] == "versions"
    assert data["second"]["scope"]["curbless"] == 1.0
    assert data["differences"][0]["interval"]["low"] == curbless().differences[0].interval.low


@pytest.mark.parametrize("margin", [-0.1, 1.0])
def test_a_margin_that_is_no_share_is_refused(margin: float):
    with pytest.raises(InputProblem, match="expected a share from 0"):
        compare(history(), ONE, other(bench=1.0), margin=margin)
