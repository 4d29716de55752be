"""Ranges too wide to tell: a sentence and no figure, in every question that would give one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from making import bathrooms, new_bathroom, phased

from costlearn.firm import Firm
from costlearn.models.distribution import LogSpread, Multipliers
from costlearn.questions.crewing.crew import crew
from costlearn.questions.crewing.words import UNWEIGHED
from costlearn.questions.estimate import estimate
from costlearn.questions.learning import predict
from costlearn.questions.options import option_prices
from costlearn.questions.planning.calendar import site_calendar
from costlearn.questions.quoting.quote import check
from costlearn.questions.quoting.versions import compare
from costlearn.questions.withheld import MOST_TOLD, say_withheld, withheld
from costlearn.records import NOTHING, Amounts, Job

FULL = phased(bathrooms(20, plan_noise=0.15))
MONDAY = date(2027, 1, 11)


def far(area: float = 1e6) -> Job:
    """A bathroom with a floor no bathroom has."""
    return new_bathroom(area_sqft=area)


def ending(ratio: float) -> LogSpread:
    """A distribution whose 80 % range has an upper end so many times its lower one."""
    even = Multipliers.from_errors((), 1e6)
    one = LogSpread(0.0, 1.0, even)
    return LogSpread(0.0, float(np.log(ratio) / np.log(one.interval(0.8).ratio)), even)


@pytest.mark.parametrize(("ratio", "gone"), [(2.0, False), (999.0, False), (1001.0, True)])
def test_a_thousand_to_one_is_the_most_that_is_told(ratio: float, gone: bool) -> None:
    assert MOST_TOLD == 1000
    assert withheld(ending(ratio)) is gone


def test_an_estimate_far_outside_gives_a_sentence_and_no_figure() -> None:
    answer = estimate(FULL, far())
    assert not answer.known
    assert (answer.targets, answer.phases, answer.items) == ((), (), ())
    assert answer.sentence.startswith(say_withheld("price") + " The floor is larger than any")
    assert "guess" not in answer.sentence
    assert "$" not in answer.sentence
    assert answer.tables() == ()
    assert answer.sentence.endswith(answer.outside[0])


def test_less_far_outside_figures_are_given_and_said_to_be_no_price() -> None:
    """2,000 sq ft, some 30 times a bathroom's floor: over 10 to 1 and under 1,000 to 1."""
    answer = estimate(FULL, far(2_000.0))
    cost = answer.target("cost")
    assert cost is not None
    assert 10 < cost.main.ratio < MOST_TOLD
    assert answer.sentence.startswith("Your records hold no price for this. 8 jobs in 10")


def test_a_quote_far_outside_is_not_checked_and_not_trusted() -> None:
    quote = replace(far(), price=5_000_000_00, plan=Amounts(cost=4_000_000_00))
    answer = check(FULL, quote)
    assert not answer.known and not answer.trusted
    assert answer.loss is None and answer.reaches_margin is None
    assert (answer.standings, answer.ladder, answer.curve) == ((), (), ())
    assert answer.sentence == estimate(FULL, far()).sentence


def test_versions_and_options_far_outside_give_no_figure() -> None:
    other = replace(far(), scope={**far().scope, "bench": 1.0})
    versions = compare(FULL, far(), other)
    assert not versions.known and versions.differences == ()
    options = option_prices(FULL, far())
    assert not options.known and options.options == ()
    assert versions.sentence == options.sentence == say_withheld("price")


@pytest.mark.parametrize("helper", [None, (), ("all",)])
def test_a_calendar_far_outside_ends_on_no_day(helper: tuple[str, ...] | None) -> None:
    """Dates millions of working days ahead are on no calendar."""
    answer = site_calendar(FULL, far(), MONDAY, helper=helper)
    assert not answer.known and answer.finish is None
    assert answer.sentence == say_withheld("number of days")
    whole = tuple(
        replace(j, phases=(), actual=replace(j.actual, site_days=None)) for j in FULL.jobs
    )
    only = site_calendar(replace(FULL, jobs=whole), far(), MONDAY)
    assert only.sentence == say_withheld("number of days")


def test_a_second_person_on_a_job_far_outside_is_answered_without_the_job() -> None:
    answer = crew(FULL, far())
    assert answer.known and answer.job is None
    assert answer.sentence.endswith(UNWEIGHED)
    assert UNWEIGHED not in crew(FULL, None).sentence
    assert UNWEIGHED not in crew(FULL, new_bathroom()).sentence


def test_the_figure_that_leads_is_the_one_that_silences() -> None:
    """Wild costs silence an answer that leads with them; without any costs days lead."""
    wild = tuple(
        replace(j, actual=replace(j.actual, cost=100 * 10 ** (2 + 3 * (i % 3))))
        for i, j in enumerate(FULL.jobs[:6])
    )
    history = replace(FULL, jobs=wild)
    cost = predict(history, new_bathroom(), "cost")
    assert cost is not None and withheld(cost.spread)
    assert estimate(history, new_bathroom()).sentence.startswith(say_withheld("price"))
    silent = tuple(replace(j, actual=replace(j.actual, cost=None), plan=NOTHING) for j in FULL.jobs)
    found = estimate(replace(FULL, jobs=silent), far(), on=MONDAY)
    assert found.sentence.startswith(say_withheld("number of days"))


def test_beliefs_alone_are_not_withheld() -> None:
    """A stated cost per floor area speaks for any floor: its spread is what the owner says."""
    firm = Firm(usual={"cost": 260.0}, belief_spread=0.3)
    answer = estimate(replace(FULL, firm=firm, jobs=()), far())
    assert answer.known
