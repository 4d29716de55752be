"""An estimate: ranges that nest, phases that sum, and plain sentences where nothing is known."""

import json
import re
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pytest
from making import NEW_DAY, bathrooms, new_bathroom, phased

from costlearn.firm import Firm
from costlearn.models.phases import draw_matrix
from costlearn.questions import byphase
from costlearn.questions.estimate import Estimate, estimate
from costlearn.questions.learning import predict
from costlearn.records import Amounts, History


@cache
def history() -> History:
    return phased(bathrooms(20))


@cache
def answer() -> Estimate:
    return estimate(history(), new_bathroom(), on=NEW_DAY)


def test_without_jobs_a_plain_sentence_and_no_numbers():
    found = estimate(History(), new_bathroom())
    assert not found.known
    assert (found.targets, found.phases, found.items, found.similar) == ((), (), (), ())
    assert found.tables() == ()
    assert found.sentence.startswith("Your records cannot price this yet: 0 finished jobs")
    assert re.findall(r"\d+", found.sentence) == ["0", "3"], "how many there are, and are needed"
    json.dumps(found.plain(), allow_nan=False)


def test_with_two_jobs_it_says_how_many_are_missing():
    found = estimate(bathrooms(2), new_bathroom())
    assert not found.known
    assert "2 finished jobs with a known direct cost are on file" in found.sentence
    one = estimate(bathrooms(1), new_bathroom())
    assert "1 finished job with a known direct cost is on file" in one.sentence


def test_days_alone_can_be_answered_when_no_cost_is_known():
    days_only = tuple(replace(j, actual=replace(j.actual, cost=None)) for j in bathrooms(10).jobs)
    found = estimate(History(jobs=days_only), new_bathroom())
    assert found.known
    assert found.target("cost") is None
    assert found.target("site_days") is not None
    assert found.items == ()
    assert "$" not in found.sentence


@pytest.mark.parametrize("target", ["cost", "person_days", "site_days", "elapsed_days"])
def test_intervals_nest_around_the_middle(target):
    found = answer().target(target)
    assert found is not None
    half, most, nearly = found.intervals
    assert [i.level for i in found.intervals] == [0.5, 0.8, 0.9]
    assert found.main == most
    ends = [nearly.low, most.low, half.low, found.median, half.high, most.high, nearly.high]
    assert ends == sorted(ends) and len(set(ends)) == 7
    assert len(found.curve) == 99 and list(found.curve) == sorted(found.curve)
    assert (found.curve[9], found.curve[49], found.curve[89]) == pytest.approx(
        (most.low, found.median, most.high)
    )


def test_the_interval_holds_the_invented_truth_about_as_often_as_it_says():
    """200 new jobs in 20 firms: 80 % held, give or take three spreads of sqrt(.8 .2 / 200)."""
    held = []
    for seed in range(20):
        past = bathrooms(25, seed=100 + seed)
        firm = replace(past, jobs=past.jobs[:15])
        for new in past.jobs[15:]:
            asked = replace(new, actual=Amounts(), state="quoted", key="asked")
            found = predict(firm, asked, "cost")
            assert found is not None
            held.append(found.spread.interval(0.8).holds(new.actual.cost / 100))
    assert 0.715 <= np.mean(held) <= 0.885


def test_phases_sum_to_the_total_in_every_draw(monkeypatch):
    """The very draws the split is made of: each row sums to one quantile of the total."""
    kept = []

    def watched(*given):
        kept.append(draw_matrix(*given))
        return kept[-1]

    monkeypatch.setattr(byphase, "draw_matrix", watched)
    new = new_bathroom(quoted_on=NEW_DAY)
    total = predict(history(), new, "cost")
    assert total is not None
    shares = byphase.split(history(), new, "cost", total.spread)
    (draws,) = kept
    sums = np.sort(draws.sum(axis=1))
    wanted = total.spread.quantiles((np.arange(len(sums)) + 0.5) / len(sums))
    assert sums == pytest.approx(wanted, rel=1e-9)
    assert (draws >= 0).all()
    assert [s.phase for s in shares] == ["demo", "plumb_rough", "vent", "board", "tile", "paint"]
    assert [s.median for s in shares] == pytest.approx(np.median(draws, axis=0))
    assert [s.interval.high for s in shares] == pytest.approx(np.quantile(draws, 0.9, axis=0))


def test_every_phase_interval_is_positive_and_middles_add_up_to_about_the_total():
    for target in ("cost", "person_days"):
        shares = [s for s in answer().phases if s.target == target]
        assert len(shares) == 6
        for s in shares:
            assert 0 < s.interval.low < s.median < s.interval.high, s.phase
            assert 0 < s.alone.low < s.alone.high
            assert s.jobs == 20 and 0.9 < s.chance <= 1
        total = answer().target(target)
        assert total is not None
        assert sum(s.median for s in shares) == pytest.approx(total.median, rel=0.06)
        assert sum(s.interval.high for s in shares) > total.main.high, "P90s must not be added"


def test_planned_shares_come_back_in_their_order():
    """Tile is twice board, board is five times the fan: the invented plan."""
    days = {s.phase: s.median for s in answer().phases if s.target == "person_days"}
    assert days["tile"] / days["board"] == pytest.approx(2, rel=0.2)
    assert days["board"] / days["vent"] == pytest.approx(5, rel=0.2)


def test_a_phase_that_rarely_occurs_has_a_small_chance_and_its_range_where_it_occurs():
    jobs = tuple(
        replace(j, phases=tuple(p for p in j.phases if p.phase != "vent" or i < 4))
        for i, j in enumerate(history().jobs)
    )
    found = estimate(replace(history(), jobs=jobs), new_bathroom(), on=NEW_DAY)
    vent = next(s for s in found.phases if s.phase == "vent" and s.target == "cost")
    assert vent.jobs == 4
    assert vent.chance < 0.4
    assert 0 < vent.interval.low < vent.median < vent.interval.high
    assert vent.alone.low > 0


def test_without_phase_records_the_split_is_left_out_and_said():
    found = estimate(bathrooms(12), new_bathroom(), on=NEW_DAY)
    assert found.phases == ()
    assert any("No split by phase" in n for n in found.grounds.notes)
    few = estimate(phased(bathrooms(4)), new_bathroom(), on=NEW_DAY)
    assert few.known and few.phases == ()


def test_the_same_question_gives_the_same_bytes():
    def text() -> str:
        found = estimate(phased(bathrooms(20)), new_bathroom(), on=NEW_DAY)
        return json.dumps(found.plain(), sort_keys=True, allow_nan=False)

    assert text() == text()


def test_plans_in_the_asked_job_are_not_used():
    planned = new_bathroom(plan=Amounts(cost=9_000_000), price=12_000_000)
    found = estimate(bathrooms(12, plan_noise=0.1), planned, on=NEW_DAY)
    assert (
        found.targets == estimate(bathrooms(12, plan_noise=0.1), new_bathroom(), on=NEW_DAY).targets
    )


def test_the_sentence_gives_the_range_first_then_the_middle():
    cost = answer().target("cost")
    assert cost is not None
    said = answer().sentence
    assert said.startswith("8 jobs in 10 like this land at $")
    assert said.index("in direct cost") < said.index("the middle is $") < said.index("on site")
    assert "Taken on their own" in said, "three ranges at once hold less than 8 in 10"
    assert "assumptions" not in said


def test_few_jobs_are_said_to_be_mostly_assumptions():
    found = estimate(bathrooms(6, noise=0.03), new_bathroom(), on=NEW_DAY)
    assert "With 6 jobs on file this is mostly assumptions" in found.sentence
    assert "direct cost: mostly assumptions, 6 jobs" in found.grounds.notes
    assert "too few jobs" in found.tables()[0].rows[0], "no range of 9 in 10"


def test_a_missing_area_widens_the_range_and_is_said():
    blank = estimate(history(), new_bathroom(area_sqft=None), on=NEW_DAY)
    known, less = answer().target("cost"), blank.target("cost")
    assert known is not None and less is not None
    assert less.main.ratio > 1.1 * known.main.ratio
    assert "No floor area was given" in blank.sentence
    assert "No floor area" not in answer().sentence


def test_what_the_history_never_reached_is_said():
    new = new_bathroom(area_sqft=400.0, kind="kitchen", scope={"toilet": 1.0, "wall_removal": 1.0})
    found = estimate(history(), new, on=NEW_DAY)
    assert found.outside == (
        "The floor is larger than any finished job on file (28 sq ft to 117 sq ft): "
        "treat as a guess.",
        "No finished job of this kind is on file.",
        "Never done before: wall removal. Nothing on file tells what that costs.",
    )
    assert found.outside[0] in found.sentence
    assert answer().outside == ()


def test_an_item_seldom_done_is_said_with_its_count():
    jobs = list(history().jobs)
    jobs[3] = replace(jobs[3], scope={**jobs[3].scope, "wall_removal": 9.0})
    new = new_bathroom(scope={**new_bathroom().scope, "wall_removal": 6.0})
    found = estimate(replace(history(), jobs=tuple(jobs)), new, on=NEW_DAY)
    assert found.outside == ("Seldom done: wall removal (1 job).",)
    item = next(i for i in found.items if i.item == "wall_removal")
    assert item.jobs == 1
    rows = next(t for t in found.tables() if t.caption.startswith("What each item adds")).rows
    assert next(r for r in rows if r[0] == "wall removal")[3] == "1, too few to say"


def test_far_too_wide_is_said_in_the_sentence():
    found = estimate(history(), new_bathroom(area_sqft=5000.0), on=NEW_DAY)
    assert "too little like your past jobs to price from" in found.sentence


def test_jobs_alike_that_came_out_far_apart_are_not_called_unlike():
    """The scope asked for is the very one on file: the range is wide for another reason."""
    twins = tuple(
        replace(j, area_sqft=50.0, scope={"toilet": 1.0}, grade=1.0, kind="bathroom")
        for j in bathrooms(20, noise=0.6).jobs
    )
    asked = replace(twins[0], key="new", state="quoted", actual=Amounts())
    found = estimate(History(jobs=twins), asked, on=NEW_DAY)
    assert "like jobs of yours came out far apart" in found.sentence
    assert "too little like" not in found.sentence


def test_similar_jobs_are_the_nearest_with_their_own_figures():
    similar = answer().similar
    assert len(similar) == 5
    by_name = {j.name: j for j in history().jobs}
    for s in similar:
        past = by_name[s.job]
        assert s.cost == pytest.approx((past.actual.cost or 0) / 100)
        assert s.finished == past.finished
    assert all("niche" not in s.differs or "without" in s.differs for s in similar)


def test_answers_are_at_the_prices_of_the_day_asked():
    rising = bathrooms(30, noise=0.03, rise=0.08)
    early = estimate(rising, new_bathroom(), on=date(2023, 1, 1)).target("cost")
    late = estimate(rising, new_bathroom(), on=date(2025, 1, 1)).target("cost")
    assert early is not None and late is not None
    assert late.median > 1.08 * early.median
    assert estimate(rising, new_bathroom(quoted_on=None)).asked_on == rising.jobs[-1].started


def test_cautions_and_units_follow_the_job_and_the_firm():
    firm = Firm(currency="EUR", area_unit="sqm")
    found = estimate(replace(history(), firm=firm), new_bathroom(house_year=1960), on=NEW_DAY)
    assert any("lead-safe" in c for c in found.cautions)
    assert "€" in found.sentence and "$" not in found.sentence
    similar = next(t for t in found.tables() if t.caption.startswith("The finished jobs"))
    assert all(row[2].endswith("m²") for row in similar.rows)


def test_tables_repeat_the_answers_own_figures():
    figures, phases, items, similar = answer().tables()
    assert [r[0] for r in figures.rows] == [
        "direct cost",
        "person-days of work",
        "days on site",
        "working days from first to last",
    ]
    assert len(phases.rows) == 6
    assert len(items.rows) == len(answer().items)
    assert len(similar.rows) == 5
    for table in answer().tables():
        assert all(len(row) == len(table.heads) for row in table.rows)
