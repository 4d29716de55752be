"""What the year hangs on: each lever by the same arithmetic as the year."""

from dataclasses import replace

import pytest
from making import bathrooms, phased

from costlearn.firm import Firm
from costlearn.models.crew_year import gain
from costlearn.questions.crewing.crew import crew
from costlearn.questions.crewing.speedup import Speedup, listen
from costlearn.questions.crewing.what_if import WhatIf, what_if
from costlearn.questions.crewing.year import YearTerms, day_costs, year_draws, year_gain
from costlearn.records import History

FIRM = Firm(
    owner_day_cost=400.0,
    helper_day_cost=300.0,
    overhead_per_year=46_000.0,
    working_days_per_year=200.0,
)
TERMS = YearTerms(backlog=10.0, backlog_high=16.0, contribution=15_000.0)


def asked(terms: YearTerms = TERMS, firm: Firm = FIRM):
    history = History(firm, phased(bathrooms(24), seed=3).jobs)
    found = listen(history)
    assert isinstance(found, Speedup)
    drawn = year_draws(history, found, day_costs(history, terms), terms)
    assert drawn is not None
    return drawn, what_if(drawn, found, terms, "USD")


def named(found: WhatIf) -> dict[str, object]:
    return {v.name: v for v in found.levers}


def test_levers_stand_in_the_order_of_what_they_move():
    _, found = asked()
    reach = [v.reach for v in found.levers]
    assert reach == sorted(reach, reverse=True)
    assert len(found.levers) == 9
    assert all(v.source for v in found.levers)


def test_each_lever_moves_its_own_figure_only():
    drawn, found = asked()
    middle = drawn.middle()
    hands = dict(drawn.hands)["all_year"]
    one = replace(
        hands,
        factor=float(sorted(hands.factor)[2000]),
        helped=float(sorted(hands.factor)[2000]),
    )
    assert found.base == pytest.approx(gain(middle, one, drawn.costs), rel=0.01, abs=50)
    wage = named(found)["a helper's day"]
    assert wage.at_high - wage.at_low == pytest.approx(200 * 300 * 0.3), "255 against 345 a day"
    idle = named(found)["days paid without work"]
    assert idle.at_high - idle.at_low == pytest.approx(20 * 300)
    left = named(found)["what a job leaves"]
    assert (left.low, left.high) == ("$12,800", "$17,200")
    assert left.at_high > found.base > left.at_low


def test_a_stated_backlog_is_moved_over_its_own_range_a_single_one_by_a_fifth():
    _, ranged = asked()
    backlog = named(ranged)["jobs that can be sold"]
    assert (backlog.low, backlog.high, backlog.source) == ("10", "16", "as you state it")
    _, single = asked(YearTerms(backlog=10.0, contribution=15_000.0))
    backlog = named(single)["jobs that can be sold"]
    assert (backlog.low, backlog.high) == ("8", "12")
    assert "20 % either way" in backlog.source


def test_knowing_better_is_worth_nothing_where_a_helper_can_never_pay():
    _, found = asked(YearTerms(backlog=0.0, contribution=15_000.0))
    assert found.worth == pytest.approx(0.0, abs=1e-6)
    assert found.changes == 0.0


def test_knowing_better_is_worth_most_where_the_choice_is_close():
    """A wage far too high or near nothing settles it; near the break-even five jobs can change it.

    Help on the dearest phases alone stays worth a little more, so the closest wage lies above.
    """
    drawn, _ = asked()
    close = 1.1 * year_gain(drawn, TERMS).choice("every").turns.wage
    near, low, high = (
        asked(firm=replace(FIRM, helper_day_cost=wage))[1] for wage in (close, 60.0, 2_000.0)
    )
    assert near.worth > max(low.worth, high.worth, 10.0)
    assert near.changes > 0.05
    assert min(near.worth, low.worth, high.worth) >= -1e-6


def test_the_answer_carries_it_and_says_it_again_the_same():
    history = History(FIRM, phased(bathrooms(24), seed=3).jobs)
    one, two = crew(history, terms=TERMS), crew(history, terms=TERMS)
    assert one.what_if == two.what_if is not None
    assert "What the gain of a second person all year hangs on most" in [
        t.caption for t in one.tables()
    ]
