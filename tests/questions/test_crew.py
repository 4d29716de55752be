"""A second person: the sign survives a reversal; money follows from stated days and costs."""

import json
from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest
from making import bathrooms, job, new_bathroom, phased

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.models.crew import DayCosts, break_even_speedup, job_days_cost
from costlearn.questions.crew import Crew, crew
from costlearn.questions.crew_year import YearTerms, usual_wait
from costlearn.questions.speedup import speedup
from costlearn.records import Amounts, History, PhaseRecord

FIRM = Firm(
    owner_day_cost=400.0,
    helper_day_cost=300.0,
    overhead_per_year=46_000.0,
    working_days_per_year=200.0,
)
DAY = DayCosts(400.0, 300.0, 230.0)


def helped(count: int = 24, seed: int = 3, factor: float = 0.66, noise: float = 0.1) -> History:
    """Bathrooms of all sizes; the second person is sent to the big ones, and makes them faster."""
    rng = np.random.default_rng(seed)
    jobs = []
    for i in range(count):
        area = float(np.round(np.exp(rng.normal(4.0, 0.6))))
        two = area > 55 if rng.random() < 0.85 else bool(rng.random() < 0.5)
        days = 15 * (area / 50) ** 0.8 * (factor if two else 1.0) * np.exp(rng.normal(0, noise))
        day = date(2022, 1, 3) + timedelta(days=40 * i)
        jobs.append(
            job(
                f"j{i:02d}",
                kind="bathroom",
                started=day,
                finished=day + timedelta(days=30),
                area_sqft=area,
                scope={"toilet": 1.0},
                price=2_500_000,
                actual=Amounts(
                    cost=1_800_000,
                    labour=800_000,
                    site_days=float(days),
                    wait_days=4.0,
                    crew=2.0 if two else 1.0,
                ),
                books_closed=True,
            )
        )
    return History(FIRM, tuple(jobs))


@cache
def answered() -> Crew:
    return crew(helped(), new_bathroom(), YearTerms(backlog=30.0))


def test_without_two_jobs_of_each_crew_it_cannot_tell():
    alone = tuple(replace(j, actual=replace(j.actual, crew=1.0)) for j in helped().jobs)
    one_pair = (*alone[:-1], helped().jobs[-1])
    for jobs in ((), alone, one_pair):
        found = crew(History(FIRM, jobs), new_bathroom(), YearTerms(backlog=12.0))
        assert not found.known
        assert (found.factor, found.interval, found.job, found.year) == (None,) * 4
        assert found.tables() == ()
        assert found.sentence.startswith("Your records cannot tell what a second person does")
        json.dumps(found.plain(), allow_nan=False)


def test_the_reversal_mean_days_say_slower_and_the_answer_says_faster():
    """Big jobs get two people, so plain means point the wrong way (Simpson, 1951)."""
    jobs = helped().jobs
    means = {
        size: np.mean([j.actual.site_days for j in jobs if j.actual.crew == size])
        for size in (1.0, 2.0)
    }
    assert means[2.0] > 1.1 * means[1.0], "the plain comparison: two are slower"
    found = crew(helped())
    assert found.factor is not None and found.interval is not None and found.faster is not None
    assert found.interval.high < 1
    assert found.factor == pytest.approx(0.66, abs=0.08)
    assert found.faster > 0.95


def test_over_many_firms_the_sign_is_right_and_the_interval_holds():
    """20 firms, truth .66: 16 hold it, less three spreads of sqrt(20 x .8 x .2) = 1.8."""
    found = [crew(helped(seed=seed)) for seed in range(20)]
    factors = [f.factor for f in found if f.factor is not None]
    assert len(factors) == 20 and max(factors) < 1
    assert abs(np.mean(np.log(factors)) - np.log(0.66)) < 0.06
    held = sum(f.interval.holds(0.66) for f in found if f.interval is not None)
    assert held >= 11


def test_a_second_person_who_does_nothing_is_not_praised():
    found = [crew(helped(seed=seed, factor=1.0, count=40)).factor for seed in range(8)]
    assert np.mean([f for f in found if f is not None]) > 0.9


def test_records_of_each_crew_are_counted():
    jobs = helped().jobs
    assert answered().alone == sum(j.actual.crew == 1.0 for j in jobs)
    assert answered().together == sum(j.actual.crew == 2.0 for j in jobs)
    assert not answered().by_phase


def test_phase_records_with_their_own_crew_are_used_where_crews_differ_inside_jobs():
    past = phased(bathrooms(20), seed=9)
    found = crew(past)
    assert found.by_phase
    assert found.alone + found.together == 20 * 6
    assert found.factor == pytest.approx(2**-0.55, abs=0.08), "invented days fall with crew^.55"
    assert [p.phase for p in found.phases] == [
        "demo", "plumb_rough", "vent", "board", "tile", "paint"
    ]  # fmt: skip
    for p in found.phases:
        assert p.interval.low < p.factor < p.interval.high
        assert p.alone + p.together == 20
        assert 0 <= p.gains <= 1


def test_phases_of_one_crew_per_job_do_not_replace_whole_jobs():
    past = phased(bathrooms(20), seed=9)

    def same_crew(one):
        phases = tuple(
            replace(p, actual=replace(p.actual, crew=one.actual.crew)) for p in one.phases
        )
        return replace(one, phases=phases)

    found = speedup(replace(past, jobs=tuple(same_crew(j) for j in past.jobs)))
    assert found is not None
    assert not found.by_phase
    assert len(found.phases) == 6


def test_a_phase_where_two_gain_more_shows_it():
    """Demolition halves, the rest gains 20 %: demolition's factor comes out clearly lower."""
    rng = np.random.default_rng(5)
    jobs = []
    for one in bathrooms(30).jobs:
        phases = []
        for phase, factor in {"demo": 0.5, "tile": 0.8, "board": 0.8, "paint": 0.8}.items():
            two = bool(rng.random() < 0.5)
            days = 4 * (factor if two else 1.0) * np.exp(rng.normal(0, 0.1))
            phases.append(PhaseRecord(phase, actual=Amounts(site_days=float(days), crew=1.0 + two)))
        jobs.append(replace(one, phases=tuple(phases)))
    found = {p.phase: p for p in crew(History(FIRM, tuple(jobs))).phases}
    assert found["demo"].factor == pytest.approx(0.5, abs=0.07)
    assert found["demo"].interval.high < min(found[p].factor for p in ("tile", "board", "paint"))


def test_cost_of_a_jobs_days_by_hand():
    """12 days and 3 waiting; alone 12 x 630 + 3 x 230; with a helper at 1.5: 8 x 930 + 3 x 230."""
    assert job_days_cost(12, 3, None, DAY) == pytest.approx(8_250)
    assert job_days_cost(12, 3, 1.5, DAY) == pytest.approx(8_130)
    paid = replace(DAY, helper_paid_waiting=True)
    assert job_days_cost(12, 3, 1.5, paid) == pytest.approx(8_130 + 900)


def test_at_the_break_even_speed_up_both_ways_cost_the_same():
    even = break_even_speedup(DAY)
    assert even == pytest.approx(1 + 300 / 630)
    assert job_days_cost(12, 3, even, DAY) == pytest.approx(job_days_cost(12, 3, None, DAY))
    assert answered().break_even == pytest.approx(even)


def test_the_odds_above_break_even_follow_from_the_effect():
    found = speedup(helped())
    assert found is not None
    assert answered().above_break_even == pytest.approx(
        found.whole.chance_below(1 / break_even_speedup(DAY))
    )


def test_a_job_alone_and_together():
    gain = answered().job
    assert gain is not None and gain.cost_alone and gain.cost_together
    assert gain.wait_days == 4.0
    assert gain.days_together.low < gain.days_alone.low
    assert gain.days_together.high < gain.days_alone.high
    middle = np.sqrt(gain.days_alone.low * gain.days_alone.high)
    assert np.sqrt(gain.days_together.low * gain.days_together.high) / middle == pytest.approx(
        answered().factor, rel=0.03
    )
    for end in ("low", "high"):
        alone = getattr(gain.days_alone, end) * 630 + 4 * 230
        assert getattr(gain.cost_alone, end) == pytest.approx(alone, rel=0.01), "from draws"
        together = getattr(gain.days_together, end) * 930 + 4 * 230
        assert getattr(gain.cost_together, end) == pytest.approx(together, rel=0.01)
    assert gain.cheaper is not None and 0 < gain.cheaper < 1


def test_no_backlog_no_gain_but_the_helpers_pay():
    """Nothing to sell: both do no jobs, so nobody earns and nobody is paid."""
    none = crew(helped(), terms=YearTerms(backlog=0.0)).year
    assert none is not None
    assert (none.jobs_alone, none.jobs_together, none.median) == (0.0, 0.0, 0.0)


def test_a_backlog_one_can_do_alone_costs_the_helpers_days():
    """4 jobs a year fit either way: the gain is minus 4 jobs' days with two at 300 a day."""
    history = helped()
    found = crew(history, terms=YearTerms(backlog=4.0)).year
    assert found is not None
    assert (found.jobs_alone, found.jobs_together) == (4.0, 4.0)
    factor = speedup(history).whole.factor
    alone = np.mean(
        [j.actual.site_days / (factor if j.actual.crew == 2.0 else 1.0) for j in history.jobs]
    )
    assert found.median == pytest.approx(-4 * alone * factor * 300, rel=0.03)
    assert found.gain.high < 0
    assert found.pays == 0.0


def test_days_gained_and_not_sold_count_what_the_owner_says_they_are_worth():
    history = helped()
    nothing = crew(history, terms=YearTerms(backlog=4.0)).year
    valued = crew(history, terms=YearTerms(backlog=4.0, free_day=200.0)).year
    assert nothing is not None and valued is not None
    factor = speedup(history).whole.factor
    alone = np.mean(
        [j.actual.site_days / (factor if j.actual.crew == 2.0 else 1.0) for j in history.jobs]
    )
    gained = 4 * alone * (1 - factor)
    assert valued.median - nothing.median == pytest.approx(gained * 200, rel=0.05)


def test_a_full_backlog_sells_the_gained_days():
    year = answered().year
    assert year is not None
    assert year.backlog == 30.0
    assert year.jobs_alone < year.jobs_together < 30
    factor = answered().factor
    jobs = helped().jobs
    alone = np.mean([j.actual.site_days / (factor if j.actual.crew == 2.0 else 1.0) for j in jobs])
    assert year.jobs_alone == pytest.approx(200 / (alone + 4), rel=0.03)
    assert year.jobs_together == pytest.approx(200 / (alone * factor + 4), rel=0.03)
    assert year.contribution == pytest.approx(15_000), "25,000 less 10,000 bought"
    by_hand = (year.jobs_together - year.jobs_alone) * 15_000
    by_hand -= year.jobs_together * alone * factor * 300
    assert year.median == pytest.approx(by_hand, rel=0.1)
    assert list(year.curve) == sorted(year.curve)
    assert year.pays == pytest.approx(np.mean(np.array(year.curve) > 0), abs=0.02)


def test_a_helper_paid_while_waiting_costs_more():
    plain = crew(helped(), terms=YearTerms(backlog=4.0)).year
    waiting = crew(helped(), terms=YearTerms(backlog=4.0, helper_paid_waiting=True)).year
    assert plain is not None and waiting is not None
    assert plain.median - waiting.median == pytest.approx(4 * 4 * 300, rel=0.01)


def test_what_must_be_stated_first_is_asked():
    bare = replace(helped(), firm=Firm())
    priceless = replace(bare, jobs=tuple(replace(j, price=None) for j in bare.jobs))
    found = crew(priceless)
    assert found.year is None
    assert [a.split("(")[-1].rstrip(")") for a in found.asks] == [
        "backlog",
        "working_days_per_year",
        "owner_day_cost, helper_day_cost, overhead_per_year",
        "contribution",
    ]
    assert (found.break_even, found.above_break_even) == (None, None)
    assert crew(helped()).asks == ("how many jobs a year you could sell (backlog)",)
    assert answered().asks == ()


def test_a_job_without_stated_day_costs_still_gets_its_days():
    found = crew(replace(helped(), firm=Firm()), new_bathroom())
    assert found.job is not None
    assert (found.job.cost_alone, found.job.cheaper) == (None, None)
    assert found.job.days_together.high < found.job.days_alone.high


def test_a_stated_contribution_stands_in_for_the_records():
    found = crew(helped(), terms=YearTerms(backlog=30.0, contribution=9_000.0)).year
    assert found is not None and found.contribution == 9_000.0


@pytest.mark.parametrize("field", ["backlog", "contribution", "free_day"])
@pytest.mark.parametrize("value", [-1.0, float("nan"), 1e12])
def test_figures_below_zero_or_absurd_are_refused(field, value):
    with pytest.raises(InputProblem, match=field.replace("_", " ")):
        crew(helped(), terms=YearTerms(**{field: value}))


def test_wait_days_are_the_mean_of_the_kind_else_of_all():
    jobs = [
        job("a", kind="bathroom", actual=Amounts(wait_days=2.0)),
        job("b", kind="bathroom", actual=Amounts(wait_days=4.0)),
        job("c", kind="kitchen", actual=Amounts(wait_days=9.0)),
        job("d", kind="kitchen"),
    ]
    history = History(jobs=tuple(jobs))
    assert usual_wait(history, new_bathroom()) == 3.0
    assert usual_wait(history, new_bathroom(kind="laundry")) == 5.0
    assert usual_wait(history, None) == 5.0


def test_the_same_question_gives_the_same_bytes_and_json_holds_it():
    def text() -> str:
        found = crew(helped(), new_bathroom(), YearTerms(backlog=30.0))
        return json.dumps(found.plain(), allow_nan=False)

    assert text() == text()


def test_the_answer_is_spoken_with_its_cautions_and_tables():
    found = answered()
    assert found.sentence.startswith("With two, the days on site fall to ")
    assert "wait days stay" in found.sentence
    assert "30 jobs to be sold" in found.sentence
    assert any("ask an accountant" in c for c in found.cautions)
    assert [t.caption for t in found.tables()] == ["This job", "A year"]
    for table in found.tables():
        assert all(len(row) == len(table.heads) for row in table.rows)
    assert len(found.points) == 24
