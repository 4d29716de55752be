"""One prediction for every question: when there is none, what widens it, what never feeds it."""

from dataclasses import replace
from datetime import date
from math import log

import numpy as np
import pytest
from making import NEW_DAY, bathrooms, job, new_bathroom

from costlearn.features import measures as ms
from costlearn.firm import Firm
from costlearn.questions.learning import grounds_of, known_totals, latest, predict
from costlearn.records import Amounts, History, Job

FEW_OR_WIDE = ("mostly assumptions, few jobs", "too little like your past jobs to price from")


def spread(history, new=None, target="cost", **options):
    found = predict(history, new or new_bathroom(), target, **options)
    assert found is not None
    return found.spread


def first(history: History, count: int) -> History:
    return replace(history, jobs=history.jobs[:count])


@pytest.mark.parametrize("target", ms.TARGETS)
def test_below_three_jobs_that_say_it_there_is_no_prediction(target):
    history = bathrooms(12)
    assert predict(first(history, 2), new_bathroom(), target) is None
    assert predict(first(history, 3), new_bathroom(), target) is not None
    silent = tuple(replace(j, actual=Amounts()) for j in history.jobs[2:])
    assert predict(History(jobs=history.jobs[:2] + silent), new_bathroom(), target) is None


@pytest.mark.parametrize(("count", "level"), [(3, 0.8), (8, 0.8), (9, 0.9), (20, 0.9)])
def test_no_ninety_percent_interval_below_nine_jobs(count, level):
    found = predict(first(bathrooms(20), count), new_bathroom(), "cost")
    assert found is not None
    assert max(i.level for i in found.intervals()) == level


def test_the_verdict_says_few_jobs_then_nothing():
    history = bathrooms(20, noise=0.05)
    few, enough = first(history, 7), first(history, 20)
    near = new_bathroom(scope=history.jobs[0].scope)
    for case, said in ((few, FEW_OR_WIDE[0]), (enough, "")):
        found = predict(case, near, "cost")
        assert found is not None and found.spread.interval(0.8).ratio < 2
        assert found.verdict == said


def test_the_verdict_says_when_a_range_is_too_wide_to_price_from():
    found = predict(bathrooms(20), new_bathroom(area_sqft=5000.0), "cost")
    assert found is not None and found.spread.interval(0.8).ratio > 2
    assert found.verdict == FEW_OR_WIDE[1]


@pytest.mark.parametrize(("state", "closed"), [("finished", False), ("running", None)])
def test_open_books_and_running_jobs_never_feed_a_prediction(state, closed):
    history = bathrooms(15)
    absurd = replace(
        history.jobs[0],
        key="absurd",
        state=state,
        books_closed=closed,
        actual=Amounts(cost=10**10, person_days=9999.0, site_days=9999.0, elapsed_days=9999.0),
        area_sqft=9000.0,
    )
    with_it = History(jobs=(*history.jobs, absurd))
    for target in ms.TARGETS:
        assert spread(with_it, target=target) == spread(history, target=target)


@pytest.mark.parametrize("area", [118.0, 150.0, 400.0, 20.0])
def test_outside_past_areas_the_range_widens_and_grows_with_the_distance(area):
    history = bathrooms(20)
    areas = [j.area_sqft for j in history.jobs if j.area_sqft]
    assert (min(areas), max(areas)) == (28.0, 117.0), "the seed's history"
    found = predict(history, new_bathroom(area_sqft=area), "cost")
    assert found is not None
    assert found.measures.row is not None
    inside = found.model.distribution(found.measures.row.to_numpy(dtype=float))
    away = log(area / 117.0) if area > 117 else log(28.0 / area)
    assert found.spread.scale / inside.scale == pytest.approx(max(1.15, 1 + away))
    assert found.spread.median == inside.median, "wider, not elsewhere"


def test_inside_past_areas_nothing_widens():
    found = predict(bathrooms(20), new_bathroom(area_sqft=117.0), "cost")
    assert found is not None and found.measures.row is not None
    assert found.spread == found.model.distribution(found.measures.row.to_numpy(dtype=float))


def test_the_plan_is_used_only_when_asked_and_when_three_jobs_had_one():
    history = bathrooms(15, plan_noise=0.1)
    new = new_bathroom(plan=Amounts(cost=4_000_000))
    plain = predict(history, new, "cost")
    used = predict(history, new, "cost", quoted=True)
    assert plain is not None and used is not None
    assert plain.weights == {}
    assert plain.spread == spread(history, replace(new, plan=Amounts()))
    assert set(used.weights) == {"number", "regression", "items"}
    assert sum(used.weights.values()) == pytest.approx(1)
    assert used.spread.median > 1.3 * plain.spread.median, "a plan twice as high pulls"


@pytest.mark.parametrize(("planned", "members"), [(2, 0), (3, 3), (15, 3)])
def test_how_many_plans_are_on_file_decides_who_speaks(planned, members):
    history = bathrooms(15, plan_noise=0.1)
    jobs = tuple(
        j if i < planned else replace(j, plan=Amounts()) for i, j in enumerate(history.jobs)
    )
    new = new_bathroom(plan=Amounts(cost=1_500_000))
    found = predict(History(jobs=jobs), new, "cost", quoted=True)
    assert found is not None
    assert len(found.weights) == members
    if not members:
        assert found.spread == spread(History(jobs=jobs), new)


def test_good_plans_narrow_the_range():
    history = bathrooms(20, plan_noise=0.03, noise=0.2)
    new = new_bathroom(plan=Amounts(cost=1_700_000))
    assert (
        spread(history, new, quoted=True).interval(0.8).ratio
        < spread(history, new).interval(0.8).ratio
    )


def test_a_blank_item_widens_the_range():
    history = bathrooms(20)
    scope = {**new_bathroom().scope}
    blank = new_bathroom(scope={**scope, "curbless": None})
    without = new_bathroom(scope={**scope, "curbless": 0.0})
    with_it = new_bathroom(scope={**scope, "curbless": 1.0})
    assert spread(history, blank).scale > spread(history, without).scale
    assert spread(history, without).median < spread(history, blank).median
    assert spread(history, blank).median < spread(history, with_it).median


@pytest.mark.parametrize("blank", [{"area_sqft": None}, {"scope": {}}, {"grade": None}])
def test_what_is_not_said_of_the_new_job_widens_the_range(blank):
    history = bathrooms(20)
    usual = {"area_sqft": 54.0, "grade": 1.0}
    said = spread(history, new_bathroom(**usual))
    assert spread(history, new_bathroom(**{**usual, **blank})).scale > said.scale


def test_what_history_does_not_say_is_left_out_not_filled_in():
    """A job of unknown area still teaches; it does not count as a job of the mean area."""
    history = bathrooms(20)
    holes = tuple(
        replace(j, area_sqft=None) if i % 4 == 0 else j for i, j in enumerate(history.jobs)
    )
    found = predict(History(jobs=holes), new_bathroom(), "cost")
    assert found is not None and len(found.jobs) == 20
    assert found.measures.frame["log area"].isna().sum() == 5


def test_an_index_says_the_same_as_a_history_repriced_by_hand():
    """The level rises from 100 to 140; both histories then start from no drift."""
    index = {"2022-01-01": 100.0, "2026-01-01": 140.0}
    history = bathrooms(20, firm=Firm(price_index=index))

    def level(day: date) -> float:
        run = (day - date(2022, 1, 1)).days / (date(2026, 1, 1) - date(2022, 1, 1)).days
        return 100 + 40 * run

    def repriced(one: Job) -> Job:
        assert one.started and one.actual.cost
        factor = level(NEW_DAY) / level(one.started)
        cents = one.actual.cost * factor
        return replace(one, actual=replace(one.actual, cost=round(cents)))

    flat = Firm(price_index={"2022-01-01": 100.0})
    by_hand = History(flat, tuple(repriced(j) for j in history.jobs))
    ours, theirs = spread(history), spread(by_hand)
    assert ours.centre == pytest.approx(theirs.centre, abs=1e-6)
    assert ours.scale == pytest.approx(theirs.scale, rel=1e-6)
    assert ours.centre != pytest.approx(spread(replace(history, firm=Firm())).centre, abs=1e-3)


def test_an_index_touches_money_only():
    history = bathrooms(20)
    indexed = replace(history, firm=Firm(price_index={"2022-01-01": 100.0, "2026-01-01": 200.0}))
    for target in ("person_days", "site_days", "elapsed_days"):
        assert spread(indexed, target=target) == spread(history, target=target)


def test_rising_prices_are_found_without_an_index():
    """Costs rise 8 % a year: the same job costs more later, at a pace near that."""
    history = bathrooms(40, noise=0.05, rise=0.08)
    early, late = new_bathroom(quoted_on=date(2022, 6, 1)), new_bathroom(quoted_on=date(2025, 4, 1))
    years = (date(2025, 4, 1) - date(2022, 6, 1)).days / 365.25
    pace = (spread(history, late).centre - spread(history, early).centre) / years
    assert pace == pytest.approx(0.08, abs=0.025)


def test_the_same_question_has_the_same_answer():
    assert spread(bathrooms(15)) == spread(bathrooms(15))


def test_the_order_of_jobs_does_not_matter():
    history = bathrooms(15)
    turned = replace(history, jobs=history.jobs[::-1])
    assert spread(turned).centre == pytest.approx(spread(history).centre, abs=1e-9)
    assert spread(turned).scale == pytest.approx(spread(history).scale, rel=1e-9)


def test_costs_in_other_money_scale_with_it():
    """Ten times the figures, ten times the answer: nothing depends on the currency's size."""
    history = bathrooms(15)
    tenfold = tuple(
        replace(j, actual=replace(j.actual, cost=(j.actual.cost or 0) * 10)) for j in history.jobs
    )
    ours, theirs = spread(history), spread(History(jobs=tenfold))
    assert theirs.centre - ours.centre == pytest.approx(log(10), abs=1e-6)
    assert theirs.scale == pytest.approx(ours.scale, rel=1e-6)


def test_known_totals_and_the_newest_day():
    history = bathrooms(6)
    holes = replace(history, jobs=(*history.jobs[:4], job("x"), replace(history.jobs[5])))
    jobs, totals = known_totals(holes, "cost", None)
    assert [j.key for j in jobs] == ["b00", "b01", "b02", "b03", "b05"]
    assert totals[0] == pytest.approx(history.jobs[0].actual.cost / 100)
    assert latest(history.jobs) == history.jobs[-1].started
    assert latest(()) is None


def test_grounds_count_jobs_dates_and_what_was_left_out():
    history = bathrooms(6)
    jobs = (
        *history.jobs[:4],
        replace(history.jobs[4], books_closed=False),
        replace(history.jobs[5], books_closed=None),
    )
    history = replace(history, jobs=jobs, firm=Firm(currency="CAD", area_unit="sqm"))
    grounds = grounds_of(history, history.usable, ("first",))
    assert (grounds.jobs, grounds.currency, grounds.area_unit) == (5, "CAD", "sqm")
    assert (grounds.first, grounds.last) == (jobs[0].started, jobs[5].started)
    assert grounds.notes == (
        "first",
        "1 job left out: books still open",
        "1 of these jobs does not say whether its books are closed",
    )
    assert "drift your jobs show" in grounds.prices
    assert grounds.span == f"{jobs[0].started:%b %Y} to {jobs[5].started:%b %Y}"
    assert grounds_of(History(), ()).span == "no dates on file"


def test_leave_one_out_errors_come_one_a_job_and_are_fair():
    """Studentised errors of 40 jobs: centred, and of about unit size."""
    found = predict(bathrooms(40), new_bathroom(), "cost")
    assert found is not None and found.errors.shape == (40,)
    assert abs(float(np.mean(found.errors))) < 0.5
    assert 0.7 < float(np.std(found.errors)) < 1.4
