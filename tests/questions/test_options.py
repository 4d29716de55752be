"""What options add: planted effects are found, few jobs say nothing, and the base is a middle."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from math import exp

import pytest

from costlearn.firm import Firm
from costlearn.questions.options import Options, Step, middle_job, option_prices, usual_size
from costlearn.records import History, Job
from tests.making import ALWAYS, SOMETIMES, bathrooms, job, new_bathroom

BASE_AREA = 55.0


def plain_base(**more) -> Job:
    """A bathroom with none of the options."""
    return replace(new_bathroom(scope=dict(ALWAYS)), **more)


def by_item(answer: Options) -> dict[str, object]:
    return {o.items[0]: o for o in answer.options}


def test_planted_effects_are_inside_their_ranges():
    """Each item was planted to add so many log points; 60 jobs, so most of 5 ranges hold it."""
    answer = option_prices(bathrooms(60, noise=0.06), plain_base())
    assert answer.base_cost is not None
    assert answer.base_days is not None
    held = 0
    for option in answer.options:
        assert option.cost is not None
        assert option.person_days is not None
        assert not option.inside
        planted = answer.base_cost * (exp(SOMETIMES[option.items[0]]) - 1)
        held += option.cost.low <= planted <= option.cost.high
        assert option.cost.low < option.cost.middle < option.cost.high
    assert len(answer.options) == len(SOMETIMES)
    assert held >= 3
    found = by_item(answer)
    assert found["curbless"].cost.middle > found["bath_fan"].cost.middle  # type: ignore[attr-defined]
    middles = [o.cost.middle for o in answer.options if o.cost]
    assert middles == sorted(middles, reverse=True)
    json.dumps(answer.plain(), allow_nan=False)


def test_only_options_clear_of_zero_are_called_dearest():
    sure = option_prices(bathrooms(60, noise=0.06), plain_base())
    clear = [o for o in sure.options if o.cost and o.cost.low > 0]
    assert len(clear) > 0
    assert "the dearest" in sure.sentence
    headline = sure.sentence.partition(" add: ")[2]
    for option in sure.options:
        assert (option.name in headline) == (option in clear[:3])
    luck = option_prices(bathrooms(9, 4, noise=0.6), plain_base())
    priced = [o for o in luck.options if o.cost]
    assert priced
    assert all(o.cost.low <= 0 <= o.cost.high for o in priced if o.cost)
    assert "nothing sure can be said of what" in luck.sentence
    assert not any(f"{o.name} " in luck.sentence for o in priced)
    assert "dearest" not in luck.sentence


def test_a_base_of_jobs_without_scope_says_so():
    history = bathrooms(12)
    bare = replace(history, jobs=tuple(replace(j, scope={}) for j in history.jobs))
    notes = option_prices(bare).grounds.notes
    assert any("it has no item, for most of them say none" in n for n in notes)


def test_what_is_in_the_base_is_priced_as_left_out():
    """Adding e to b is b (exp(e) - 1); leaving it out of b exp(e) takes off the same."""
    past = bathrooms(60, noise=0.06)
    without = option_prices(past, plain_base())
    holding = option_prices(past, plain_base(scope={**ALWAYS, "curbless": 1.0}))
    added, off = by_item(without)["curbless"], by_item(holding)["curbless"]
    assert not added.inside  # type: ignore[attr-defined]
    assert off.inside  # type: ignore[attr-defined]
    assert off.cost.middle == pytest.approx(added.cost.middle, rel=0.08)  # type: ignore[attr-defined]
    captions = [t.caption for t in holding.tables()]
    assert captions == ["What it adds", "What leaving it out takes off"]


def test_fewer_than_three_jobs_are_too_few_to_say():
    past = bathrooms(20)
    jobs = tuple(
        replace(j, scope={**j.scope, "tub_install": 1.0}) if i < 2 else j
        for i, j in enumerate(past.jobs)
    )
    answer = option_prices(History(past.firm, jobs), plain_base())
    rare = by_item(answer)["tub_install"]
    assert (rare.jobs, rare.cost, rare.person_days) == (2, None, None)  # type: ignore[attr-defined]
    assert "1 item too seldom done" in answer.sentence
    row = next(r for t in answer.tables() for r in t.rows if r[0] == "tub install")
    assert row[1] == "too few to say"
    assert row[-1] == "2"


def test_items_that_always_came_together_stand_in_one_row():
    past = bathrooms(30)
    jobs = tuple(
        replace(j, scope={**j.scope, "door_window": 1.0}) if j.scope.get("bench") else j
        for j in past.jobs
    )
    answer = option_prices(History(past.firm, jobs), plain_base())
    pair = next(o for o in answer.options if "bench" in o.items)
    assert set(pair.items) == {"bench", "door_window"}
    assert "and" in pair.name


def test_the_price_column_is_at_the_margin_and_only_with_one():
    past = bathrooms(40, firm=Firm(wanted_margin=0.25))
    answer = option_prices(past, plain_base())
    assert answer.margin == 0.25
    table = answer.tables()[0]
    assert table.heads[3] == "in the price"
    first = answer.options[0]
    assert first.cost is not None
    asked = first.cost.middle / 0.75  # a margin is a share of the price, no markup on cost
    shown = float(table.rows[0][3].strip("$").replace(",", ""))
    assert shown == pytest.approx(asked, rel=0.01)
    assert option_prices(past, plain_base(), margin=0.5).margin == 0.5
    without = option_prices(bathrooms(40), plain_base())
    assert "in the price" not in without.tables()[0].heads


def test_no_day_less_than_none_is_shown_as_minus_zero():
    answer = option_prices(bathrooms(30), plain_base())
    days = Step(-0.02, 0.4, 1.0)
    first = replace(answer.options[0], jobs=9, person_days=days, inside=False)
    (table,) = replace(answer, options=(first,)).tables()
    assert "0.0 to 1.0" in table.rows[0]


def test_the_middle_job_of_a_kind():
    """Areas 40, 50, 70: 50. Niche in 2 of 3, bench in 1 of 3: the niche is in, the bench is not."""
    jobs = (
        job("a", kind="bathroom", area_sqft=40.0, scope={"niche": 1.0, "wall_tile": 80.0}),
        job("b", kind="bathroom", area_sqft=50.0, scope={"niche": 1.0, "wall_tile": 120.0}),
        job("c", kind="bathroom", area_sqft=70.0, scope={"bench": 1.0, "wall_tile": 100.0}),
        job("d", kind="laundry", area_sqft=90.0, scope={"bench": 1.0}),
    )
    base = middle_job(History(jobs=jobs))
    assert base is not None
    assert (base.kind, base.area_sqft) == ("bathroom", 50)
    assert dict(base.scope) == {"niche": 1.0, "wall_tile": 100.0}
    laundry = middle_job(History(jobs=jobs), "laundry")
    assert laundry is not None
    assert laundry.area_sqft == 90
    assert middle_job(History(jobs=jobs), "kitchen") is None
    assert usual_size(jobs, "wall_tile") == 100
    assert usual_size(jobs, "heated_floor") == 1


def test_without_a_base_the_middle_job_is_named_in_the_grounds():
    answer = option_prices(bathrooms(30), on=date(2025, 6, 2))
    assert answer.known
    assert answer.base.name == "a middle bathroom of yours"
    assert any("The base is the middle" in n for n in answer.grounds.notes)
    assert answer.asked_on == date(2025, 6, 2)


def test_today_s_prices():
    """Prices that rise by 8 % a year: the same option asked two years later is dearer."""
    past = bathrooms(60, noise=0.05, rise=0.08)
    now, later = (option_prices(past, plain_base(), on=date(y, 6, 2)) for y in (2024, 2026))
    assert now.base_cost is not None
    assert later.base_cost is not None
    assert later.base_cost > 1.05 * now.base_cost


@pytest.mark.parametrize("kind", [None, "kitchen"])
def test_nothing_to_price_from(kind: str | None):
    past = bathrooms(2) if kind is None else bathrooms(20)
    answer = option_prices(past, kind=kind)
    assert not answer.known
    assert "cannot price options yet" in answer.sentence
    assert answer.tables() == ()
    assert not option_prices(History()).known
