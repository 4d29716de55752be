"""The invented firm from its raw files to its answers: what was planted is found, and no more."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from functools import cache
from math import exp, log
from typing import Any

import numpy as np
import pytest

from costlearn.book.store import Book
from costlearn.cli.demo import Asked, answers, import_demo
from costlearn.demo.files import demo_folder
from costlearn.demo.jobs import RUNNING, Dice, _finished, draw_scope
from costlearn.intake.settings import read_settings
from costlearn.models.distribution import Interval
from costlearn.models.signal import false_discoveries
from costlearn.questions.crewing.crew import Crew
from costlearn.questions.crewing.speedup import speedup
from costlearn.questions.estimate import Estimate
from costlearn.questions.learning import predict
from costlearn.questions.overrun.overruns import Overruns
from costlearn.questions.quoting.quote import QuoteCheck
from costlearn.questions.running.midjob import Forecast, forecast
from costlearn.records import Amounts, History

TRUTH: dict[str, Any] = json.loads((demo_folder() / "truth.json").read_text("utf-8"))
PLANTED = {phase for phase, factor in TRUTH["overrun"].items() if factor > 1.05}
TODAY = date.fromisoformat(TRUTH["today"])


@cache
def history() -> History:
    """All files of the demo, imported as the command line does."""
    folder = demo_folder()
    with Book.in_memory() as book:
        firm = read_settings(folder / "firm.toml", book.firm())
        book.set_firm(firm)
        import_demo(book, folder, firm)
        return book.history()


@cache
def asked() -> dict[str, Asked]:
    return {one.page: one for one in answers(history(), demo_folder())}


def overran() -> Overruns:
    found = asked()["overruns"].answer
    assert isinstance(found, Overruns)
    return found


def crewed() -> Crew:
    found = asked()["crew"].answer
    assert isinstance(found, Crew)
    return found


def quote(name: str) -> QuoteCheck:
    found = asked()[f"quote_{name}"].answer
    assert isinstance(found, QuoteCheck)
    return found


def new_bathroom() -> Estimate:
    found = asked()["estimate"].answer
    assert isinstance(found, Estimate)
    return found


def test_three_phases_were_planted_to_run_over():
    assert {"demo", "waterproof", "tile"} == PLANTED


def test_every_question_is_answered_and_fits_json():
    assert len(asked()) >= 6
    for one in asked().values():
        assert one.answer.known, one.page
        json.dumps(one.answer.plain(), allow_nan=False)
        assert one.answer.tables(), one.page
        assert one.answer.grounds.currency == "USD"
        for sentence in (one.answer.sentence, *one.answer.grounds.notes):
            assert "nan" not in sentence.split() and "None" not in sentence


@pytest.mark.parametrize("target", ["cost", "person_days"])
def test_the_planted_overruns_are_called_and_nothing_else_is(target):
    verdicts = {p.phase: p.verdict for p in overran().of(target)}
    called = {p for p, v in verdicts.items() if v in ("runs over", "probably runs over")}
    assert called == PLANTED
    assert set(verdicts) == set(TRUTH["overrun"])
    assert not any(v.endswith("runs under") for v in verdicts.values())


@pytest.mark.parametrize("target", ["cost", "person_days"])
def test_each_true_overrun_lies_in_its_interval(target):
    """All 14 within 95 %; within 80 % at least 8: 11.2 less two spreads of sqrt(14 x .8 x .2)."""
    held = 0
    for p in overran().of(target):
        truth = TRUTH["overrun"][p.phase]
        low, high = p.interval.low, p.interval.high
        # From 80 % to 95 %: the t quantiles of 20 degrees of freedom are 1.33 and 2.09.
        reach, middle = log(high / low) / 2 * 2.09 / 1.33, log(low * high) / 2
        assert abs(log(truth) - middle) <= reach, p.phase
        held += p.interval.holds(truth)
    assert held >= 8


def test_the_plain_test_agrees_on_the_worst_phase():
    worst = min(overran().of("cost"), key=lambda p: p.adjusted if p.adjusted is not None else 1.0)
    assert worst.phase in PLANTED
    assert worst.adjusted is not None and worst.adjusted < 0.05
    assert false_discoveries([worst.adjusted]).rejected[0]


def test_the_whole_crew_effect_holds_the_truth():
    """The firm's truth: the factor by which all site hours of its phases shrink with two."""
    effect = crewed().interval
    assert effect is not None
    factors = TRUTH["crew_factor"]
    plain = exp(np.mean([log(f) for f in factors.values()]))
    hours: dict[str, float] = {}
    for one in TRUTH["jobs"]:
        for phase, entry in one["phases"].items():
            hours[phase] = hours.get(phase, 0.0) + entry["plan_hours"]
    weighted = sum(hours[p] * factors[p] for p in hours) / sum(hours.values())
    assert effect.holds(plain), "each phase counted once, as the model does"
    assert effect.holds(weighted), "each phase counted by its hours"
    assert crewed().by_phase


def test_most_phases_hold_their_own_crew_factor():
    """11 of 14 expected at 80 %; at least 9 asked."""
    held = [p.interval.holds(TRUTH["crew_factor"][p.phase]) for p in crewed().phases]
    assert len(held) == 14
    assert sum(held) >= 9


def test_phases_that_gain_most_and_least_are_told_apart():
    """Rank agreement of found and planted factors, precon left out: nobody helped there."""
    pairs = [
        (p.factor, TRUTH["crew_factor"][p.phase])
        for p in crewed().phases
        if min(p.alone, p.together) > 0
    ]
    found, planted = np.array(pairs).T
    assert np.corrcoef(np.argsort(np.argsort(found)), np.argsort(np.argsort(planted)))[0, 1] > 0.3


def test_whole_jobs_alone_agree_with_phases_on_the_crew():
    """Phase records taken away, the effect from whole jobs is wider and still holds the truth."""
    bare = replace(history(), jobs=tuple(replace(j, phases=()) for j in history().jobs))
    found, best = speedup(bare), speedup(history())
    assert found is not None and best is not None
    assert not found.by_phase
    truth = exp(np.mean([log(f) for f in TRUTH["crew_factor"].values()]))
    assert found.whole.interval(0.95).holds(truth)


def test_prices_rise_by_about_the_planted_five_percent_a_year():
    """The same job priced four years apart: drift and price steps together, per year of log cost.

    The steps share the rise with the drift, so only their sum can be held to the truth. Allowed is
    1.5 points either way: the drift alone has a standard error of .026 per three years.
    """
    early, late = date(2022, 7, 1), date(2026, 7, 1)
    job = new_bathroom().job
    at = [predict(history(), replace(job, quoted_on=day), "cost") for day in (early, late)]
    first, last = at
    assert first is not None and last is not None
    pace = (last.spread.centre - first.spread.centre) / ((late - early).days / 365.25)
    assert pace == pytest.approx(log(1 + TRUTH["yearly_rise"]), abs=0.015)


def test_days_do_not_rise_with_prices():
    job = new_bathroom().job
    early, late = (
        predict(history(), replace(job, quoted_on=date(year, 7, 1)), "person_days")
        for year in (2022, 2026)
    )
    assert early is not None and late is not None
    assert abs(late.spread.centre - early.spread.centre) / 4 < 0.03


def test_the_forgetful_quote_is_caught():
    found = quote("forgotten")
    assert not found.trusted
    items = {f.item for f in found.forgotten}
    assert items >= {"membrane", "backer", "bath_fan", "toilet"}
    assert items <= set(TRUTH["forgotten"]), "nothing is asked that was not left out"
    assert "may be forgotten" in found.sentence
    assert "waterproof" in {p.phase for p in found.phases if p.planned < p.interval.low}


def test_the_sane_quote_is_trusted():
    found = quote("sane")
    assert found.trusted
    assert found.forgotten == ()
    assert found.loss is not None and found.loss < 0.1
    assert all(s.side == "inside" for s in found.standings)
    assert "looks sound" in found.sentence


def test_the_far_outside_quote_is_called_too_little_like_the_past():
    found = quote("far_outside")
    assert not found.trusted
    assert "too little like your past jobs" in found.sentence
    assert found.outside
    assert "looks sound" not in found.sentence


def test_the_new_bathroom_is_answered_whole():
    found = new_bathroom()
    assert {t.target for t in found.targets} == {
        "cost",
        "person_days",
        "site_days",
        "elapsed_days",
    }
    assert {p.target for p in found.phases} == {"cost", "person_days"}
    assert all(t.verdict == "" for t in found.targets)
    assert found.outside == ()
    for target in found.targets:
        assert 1.1 < target.main.ratio < 2.0, target.target


@pytest.mark.parametrize(("target", "fewest"), [("cost", 40), ("person_days", 40)])
def test_ranges_made_without_a_job_hold_it_about_eight_times_in_ten(target, fewest):
    """Each job left out, asked anew from the others: 65 to 95 % held at 80 %.

    44 jobs scatter by sqrt(.8 x .2 / 44) = 6 points; two and a half of these are allowed.
    """
    held = []
    for job in history().usable:
        built = job.actual.total / 100 if target == "cost" and job.actual.total else None
        value = built if target == "cost" else job.actual.person_days
        if value is None:
            continue
        others = replace(history(), jobs=tuple(j for j in history().jobs if j.key != job.key))
        asked_job = replace(job, state="quoted", actual=Amounts(crew=job.actual.crew))
        found = predict(others, asked_job, target)
        assert found is not None
        held.append(found.spread.interval(0.8).holds(value))
    assert len(held) >= fewest
    assert 0.65 <= np.mean(held) <= 0.95


def test_the_models_own_leave_one_out_errors_say_the_same():
    found = predict(history(), new_bathroom().job, "cost")
    assert found is not None
    reach = float(found.spread.multipliers.at(0.8))
    assert 0.65 <= np.mean(np.abs(found.errors) <= reach) <= 0.95


def test_prices_per_person_day_lie_in_the_plausible_band():
    """1,000 to 1,150 USD a person-day, mid-to-high bathrooms (common practice, no source).

    A rough band: the median of such jobs lies in it.
    """
    rates = [
        job.price / 100 / job.actual.person_days
        for job in history().usable
        if job.kind == "bathroom" and job.price and job.actual.person_days and (job.grade or 0) >= 1
    ]
    assert len(rates) >= 20
    assert 1000 <= np.median(rates) <= 1150


def test_the_jobs_with_open_books_and_running_ones_teach_nothing():
    closed = replace(history(), jobs=history().usable)
    job = new_bathroom().job
    ours, theirs = predict(history(), job, "cost"), predict(closed, job, "cost")
    assert ours is not None and theirs is not None
    assert len(history().jobs) > len(closed.jobs)
    assert ours.spread == theirs.spread


def test_the_year_with_a_helper_is_answered_with_a_range():
    year = crewed().year
    assert year is not None
    assert isinstance(year.gain, Interval)
    assert year.gain.low < year.median < year.gain.high
    assert year.jobs_alone < year.jobs_together <= year.backlog
    assert crewed().asks == ()


def foretold(page: str) -> Forecast:
    found = asked()[page].answer
    assert isinstance(found, Forecast)
    return found


@pytest.mark.parametrize(
    ("code", "kind", "begun"),
    [("B26-08", "gut", date(2026, 10, 5)), ("L26-09", "laundry", date(2026, 10, 22))],
)
def test_the_running_jobs_end_where_they_were_going_to(code: str, kind: str, begun: date):
    """The generator makes a running job whole and then cuts it: its true end is known."""
    style = RUNNING[0] if kind == "gut" else RUNNING[1]
    dice = Dice(f"job {code}", TRUTH["seed"])
    whole = _finished(code, draw_scope(style, dice), begun, dice)
    truth = {"cost": sum(p.cost for p in whole.phases) / 100, "person_days": whole.person_days}
    answer = foretold(f"running_{code.lower()}")
    for target, value in truth.items():
        landing = answer.landing(target)
        assert landing is not None
        assert landing.so_far < value
        assert landing.main.holds(value), (target, value, landing.main)
    # Counted from the last day on file: one of them stood still since, for the other's sake.
    finish = forecast(history(), answer.job).finish
    assert finish is not None
    assert whole.finished is not None
    assert finish.early <= whole.finished <= finish.late


def test_the_job_that_waits_for_tile_is_watched_there():
    answer = foretold("running_b26-08")
    assert answer.watch == "tile"
    (rot,) = answer.changes
    assert (rot.label, rot.left) == ("CO1 rot under the old tub", 0)
