"""A second person: the sign survives a reversal; money follows from stated days and costs."""

import json
from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest
from making import bathrooms, job, new_bathroom, phased

from costlearn.errors import InputProblem
from costlearn.features.prices import PriceIndex
from costlearn.firm import Firm
from costlearn.models.crew import DayCosts, break_even_speedup, job_days_cost
from costlearn.questions.calendar import usual_wait
from costlearn.questions.crewing.crew import Crew, crew
from costlearn.questions.crewing.speedup import speedup
from costlearn.questions.crewing.words import to_sell
from costlearn.questions.crewing.year import YearGain, YearTerms
from costlearn.records import Amounts, History, PhaseRecord

FIRM = Firm(
    owner_day_cost=400.0,
    helper_day_cost=300.0,
    overhead_per_year=46_000.0,
    working_days_per_year=200.0,
)
STOOD = {"2020-01-01": 100.0, "2030-01-01": 100.0}
"""A price index that does not move."""
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


def alike(firm: Firm = FIRM) -> History:
    """24 equal jobs, every other by two: 15 days alone, 9.9 with two, 4 wait days each."""
    jobs = []
    for i, one in enumerate(helped().jobs):
        days, crew = (15.0, 1.0) if i % 2 else (9.9, 2.0)
        off = 1.01 if i % 4 < 2 else 1 / 1.01
        amounts = replace(one.actual, site_days=days * off, crew=crew)
        jobs.append(replace(one, area_sqft=50.0, actual=amounts))
    return History(firm, tuple(jobs))


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
        assert [a.split(" ")[0] for a in found.asks] == ["what"], "it goes on from 'say'"
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


def gained(history: History, **terms: float) -> YearGain:
    found = crew(history, terms=YearTerms(**terms)).year
    assert found is not None
    return found


def test_nothing_to_sell_leaves_a_second_person_all_year_unpaid_for():
    none = gained(helped(), backlog=0.0)
    assert (none.jobs_alone, none.jobs_together) == (0.0, 0.0)
    assert none.median == pytest.approx(-200 * 300)
    assert none.choice("every").median == 0.0, "by the day, no day is paid"
    assert none.best == "alone"


def test_a_backlog_one_can_do_alone_costs_the_helpers_days():
    """4 jobs a year fit either way: by the day the gain is minus 4 x 9.9 days at 300."""
    found = gained(alike(), backlog=4.0)
    by_day = found.choice("every")
    assert (found.jobs_alone, by_day.jobs_middle) == (4.0, 4.0)
    assert by_day.median == pytest.approx(-4 * 9.9 * 300, rel=0.01)
    assert by_day.gain.high < 0
    assert (by_day.pays, found.pays, found.best) == (0.0, 0.0, "alone")


def test_days_gained_and_not_sold_count_what_the_owner_says_they_are_worth():
    """4 jobs free 4 x 5.1 days at 200."""
    nothing = gained(alike(), backlog=4.0).choice("every")
    valued = gained(alike(), backlog=4.0, free_day=200.0).choice("every")
    assert valued.median - nothing.median == pytest.approx(4 * 5.1 * 200, rel=0.02)


def test_a_full_backlog_sells_the_gained_days_by_hand():
    """200 / 19 and 200 / 13.9 jobs, each leaving 25,000 less 10,000 bought; prices stood still."""
    year = gained(alike(replace(FIRM, price_index=STOOD)), backlog=30.0)
    alone, together = 200 / 19, 200 / 13.9
    assert year.jobs_alone == pytest.approx(alone, rel=0.005)
    assert year.jobs_together == pytest.approx(together, rel=0.005)
    assert year.contribution == pytest.approx(15_000)
    more = (together - alone) * 15_000
    assert year.median == pytest.approx(more - 200 * 300, rel=0.05)
    assert year.choice("every").median == pytest.approx(more - together * 9.9 * 300, rel=0.03)
    first = year.choices[0]
    assert first.gain is None and first.pays is None
    assert first.income == pytest.approx(alone * 15_000 - 46_000, rel=0.005)
    assert first.per_day_middle == pytest.approx((alone * 15_000 - 46_000) / (alone * 15), rel=0.01)


def test_what_past_jobs_left_is_brought_to_the_prices_of_the_day_asked():
    """Prices twice as high leave twice as much of each job; the owner's own figure stays."""
    risen = replace(FIRM, price_index={**STOOD, "2026-01-01": 200.0, "2030-01-01": 200.0})
    day, terms = date(2026, 6, 1), YearTerms(30.0)
    found = crew(alike(risen), None, terms, on=day)
    assert found.year is not None
    level = PriceIndex.of(risen.price_index)
    assert level is not None
    factors = [level.factor(j.day, day) for j in alike().jobs]
    assert found.year.contribution == pytest.approx(15_000 * np.mean(factors), rel=0.02)
    assert found.year.prices == "brought to Jun 2026 by your price index"
    assert any("What past jobs left after bought cost is brought" in n for n in found.grounds.notes)
    said = crew(alike(risen), None, YearTerms(30.0, contribution=9_000.0), on=day).year
    assert said is not None
    assert (said.contribution, said.prices) == (pytest.approx(9_000.0), "")


def test_the_gain_is_a_distribution_and_its_odds_are_of_it():
    year = answered().year
    assert year is not None
    assert list(year.curve) == sorted(year.curve)
    assert year.pays == pytest.approx(np.mean(np.array(year.curve) > 0), abs=0.02)
    assert year.gain.low < year.median < year.gain.high
    assert year.jobs_alone < year.jobs_together < 30
    assert year.best == year.rival == "every"


def test_a_helper_paid_while_waiting_costs_more():
    plain = gained(helped(), backlog=4.0).choice("every")
    waiting = gained(helped(), backlog=4.0, helper_paid_waiting=True).choice("every")
    assert plain.median - waiting.median == pytest.approx(4 * 4 * 300, rel=0.01)


def test_what_the_firm_states_of_a_second_person_all_year_is_counted():
    """10 idle days and a vehicle of 5,000; a year of ramp-up halves the gained pace for a year."""
    plain = gained(helped(), backlog=4.0)
    stated = replace(FIRM, helper_idle_days=10.0, helper_extra_per_year=5_000.0)
    more = gained(History(stated, helped().jobs), backlog=4.0)
    assert plain.median - more.median == pytest.approx(10 * 300 + 5_000, rel=0.01)
    assert more.choice("every").median == pytest.approx(plain.choice("every").median)
    slow = gained(alike(replace(FIRM, helper_ramp_up_weeks=40.0)), backlog=30.0)
    alone, full = 200 / 19, 200 / 13.9
    assert slow.jobs_together == pytest.approx((alone + full) / 2, rel=0.02)


def test_a_backlog_in_a_range_widens_the_gain():
    one, wide = gained(helped(), backlog=10.0), gained(helped(), backlog=6.0, backlog_high=14.0)
    assert (wide.backlog, wide.backlog_high) == (6.0, 14.0)
    assert wide.gain.high - wide.gain.low > one.gain.high - one.gain.low
    with pytest.raises(InputProblem, match="smaller number first"):
        crew(helped(), terms=YearTerms(14.0, backlog_high=6.0))


def test_the_break_even_backlog_stands_where_the_drawn_gain_crosses_zero():
    year = gained(alike(), backlog=30.0)
    turn = year.choice(year.rival).turns.demand
    jobs, _, middle, _ = np.array(year.demand).T
    crossed = float(np.interp(0.0, middle[np.argmin(middle) :], jobs[np.argmin(middle) :]))
    assert turn == pytest.approx(crossed, rel=0.06)


def test_of_choices_as_good_the_surer_is_named():
    """Help on some phases at nearly the same gain and far better odds comes before all phases."""
    firm = replace(FIRM, helper_day_cost=235.0)
    year = gained(phased(bathrooms(24, firm=firm), seed=3), backlog=30.0, contribution=15_000.0)
    helped = [c for c in year.choices if c.gain is not None]
    best = year.choice(year.best)
    most = max(c.median for c in helped)
    assert best.median >= 0.85 * most
    assert all(c.pays <= best.pays for c in helped if c.median >= 0.97 * most)


def test_a_third_person_is_weighed_only_where_three_were_at_work():
    assert answered().year.choice("third") is None
    assert "too few jobs by three" in answered().year.third
    jobs = [
        replace(j, actual=replace(j.actual, crew=3.0, site_days=j.actual.site_days * 0.8))
        if j.actual.crew == 2.0 and i % 2
        else j
        for i, j in enumerate(helped().jobs)
    ]
    year = gained(History(FIRM, tuple(jobs)), backlog=30.0)
    third = year.choice("third")
    assert third is not None and third.jobs_middle > year.jobs_together
    assert "records by three" in year.third


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
    one = replace(helped(), firm=replace(FIRM, owner_day_cost=None))
    assert crew(one).asks[1] == "what your own day costs (owner_day_cost)"
    days = replace(helped(), firm=replace(FIRM, working_days_per_year=None))
    assert [a for a in crew(days).asks if "day cost" in a] == []
    assert answered().asks == ()


def test_a_job_without_stated_day_costs_still_gets_its_days():
    found = crew(replace(helped(), firm=Firm()), new_bathroom())
    assert found.job is not None
    assert [w.cost for w in found.job.ways] == [None, None]
    assert found.job.together.site_days.high < found.job.alone.site_days.high


def test_a_stated_contribution_stands_in_for_the_records():
    found = crew(helped(), terms=YearTerms(backlog=30.0, contribution=9_000.0)).year
    assert found is not None and found.contribution == 9_000.0


def test_a_contribution_in_the_settings_counts_unless_one_is_stated():
    firm = FIRM.changed({"contribution": 9_000})
    history = replace(helped(), firm=firm)
    found = crew(history, terms=YearTerms(backlog=30.0))
    assert found.year is not None and found.year.contribution == 9_000.0
    assert any("$9,000, is as your settings state it" in n for n in found.grounds.notes)
    other = crew(history, terms=YearTerms(backlog=30.0, contribution=12_000.0))
    assert other.year is not None and other.year.contribution == 12_000.0
    assert not any("as your settings state" in n for n in other.grounds.notes)
    with pytest.raises(InputProblem, match="contribution"):
        FIRM.changed({"contribution": -1})


@pytest.mark.parametrize("field", ["backlog", "contribution", "free_day"])
@pytest.mark.parametrize("value", [-1.0, float("nan"), 1e12])
def test_figures_below_zero_or_absurd_are_refused(field, value):
    with pytest.raises(InputProblem, match=field.replace("_", " ")):
        crew(helped(), terms=YearTerms(**{field: value}))


def tied(count: int = 24) -> History:
    """Laundries alone and big kitchens by two, nothing between: crew is only a name for size."""
    jobs = []
    for i, one in enumerate(helped(count).jobs):
        two = i % 2 == 1
        amounts = replace(one.actual, crew=2.0 if two else 1.0)
        jobs.append(replace(one, area_sqft=180.0 + i if two else 30.0 + i / 4, actual=amounts))
    return History(FIRM, tuple(jobs))


def test_crew_tied_to_size_beyond_rescue_cannot_tell_and_says_what_is_needed():
    found = crew(tied(), new_bathroom(), YearTerms(backlog=14.0))
    assert not found.known
    assert "the work itself foretells 100 %" in found.sentence
    assert "crew size (R2)" in found.sentence
    assert "--belief" in found.asks[0]
    assert any("Only if days grew evenly with the work" in n for n in found.grounds.notes)
    assert (found.factor, found.job, found.year) == (None, None, None)


def test_a_stated_belief_answers_where_records_cannot_and_is_marked_everywhere():
    found = crew(tied(), new_bathroom(), YearTerms(backlog=14.0), belief=(0.6, 0.85))
    assert found.known and found.believed
    assert found.interval.low == pytest.approx(0.6) and found.interval.high == pytest.approx(0.85)
    assert (found.alone, found.together, found.shown) == (0, 0, None)
    assert found.sentence.startswith("By your own belief, not your records")
    assert found.year is not None and found.job is not None
    assert all("your belief, 60 to 85 %" in t.caption for t in found.tables())
    assert any("A belief of yours, on no record" in n for n in found.grounds.notes)


def test_a_belief_is_corrected_by_records_that_can_tell():
    found = crew(helped(), belief=(0.85, 1.1))
    assert not found.believed and found.belief is not None
    usual = crew(helped())
    assert usual.factor < found.factor < 0.97
    assert "starting from your belief of 85 to 110 %" in found.sentence
    assert all("your belief" in t.caption for t in found.tables())


@pytest.mark.parametrize("belief", [(0.9, 0.6), (0.0, 0.5), (0.5, 3.0), (0.7, 0.7)])
def test_a_belief_that_is_no_range_is_refused(belief):
    with pytest.raises(InputProblem, match="a belief of"):
        crew(helped(), belief=belief)


def test_person_days_with_two_are_twice_the_share_of_days():
    found = answered()
    assert found.work.low == pytest.approx(2 * found.interval.low)
    assert found.work.high == pytest.approx(2 * found.interval.high)
    assert found.work.low > 1, "two waste some time: person-days rise"


def test_no_saving_is_said_to_be_shown_where_two_are_no_faster():
    found = crew(helped(seed=1, factor=1.0, count=12))
    assert found.shown < 0.9
    assert found.sentence.startswith("Your records do not show that two are faster than one")


def test_phases_always_done_by_the_same_crew_cannot_tell():
    """Demolition always by two, the rest alone, in every job: the phase is the crew."""
    jobs = []
    for one in bathrooms(20).jobs:
        phases = tuple(
            PhaseRecord(p, actual=Amounts(site_days=2.0 + len(one.key), crew=c))
            for p, c in {"demo": 2.0, "board": 2.0, "tile": 1.0, "paint": 1.0}.items()
        )
        jobs.append(replace(one, phases=phases, actual=replace(one.actual, crew=1.4)))
    assert speedup(History(FIRM, tuple(jobs))) is None


def test_curves_of_days_over_size_differ_by_the_effect_alone():
    found = answered()
    area, alone, both = np.array(found.curves).T
    assert both / alone == pytest.approx(np.full(len(area), found.factor))
    power = np.log(alone[-1] / alone[0]) / np.log(area[-1] / area[0])
    assert power == pytest.approx(0.8, abs=0.12), "invented days rise with area^.8"


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
    assert usual_wait(History(), None) is None


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
    assert any("two people whatever" in c for c in found.cautions)
    assert [t.caption for t in found.tables()] == [
        "With two, as a share of alone",
        "This job",
        "A year with 30 jobs to be sold",
        "Where the year turns, the rest at its middle",
        "What the gain of a second person all year hangs on most",
    ]
    for table in found.tables():
        assert all(len(row) == len(table.heads) for row in table.rows)
    assert len(found.points) == 24


@pytest.mark.parametrize(
    ("least", "most", "said"),
    [
        (1.0, 1.0, "1 job"),
        (0.0, 1.0, "0 to 1 job"),
        (5.0, 8.0, "5 to 8 jobs"),
        (4.5, 4.5, "4.5 jobs"),
    ],
)
def test_jobs_to_be_sold_go_with_their_number(least: float, most: float, said: str) -> None:
    year = gained(alike(), backlog=4.0)
    assert to_sell(replace(year, backlog=least, backlog_high=most)) == said
