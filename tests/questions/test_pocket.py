"""What the pocket sheet carries: enough to answer, nothing that names anybody."""

import json
import re
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from making import bathrooms

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.questions import cautions
from costlearn.questions.pocket import pocket
from costlearn.records import History, Job
from costlearn.vocabulary import standard

MADE = date(2026, 11, 2)
STATED = Firm(usual={"cost": 260.0})
ITEMS = standard().items


@pytest.mark.parametrize("count", [0, 1, 2])
def test_under_three_jobs_there_is_nothing_to_carry(count):
    found = pocket(bathrooms(count) if count else History(), on=MADE)
    assert not found.known
    assert (found.targets, found.jobs, found.items) == ((), (), ())
    noun = "1 finished job" if count == 1 else f"{count} finished jobs"
    verb = "is" if count == 1 else "are"
    assert f"{noun} with a known direct cost {verb} on file" in found.sentence


def test_what_the_firm_states_can_be_carried_without_any_job():
    found = pocket(History(STATED), on=MADE)
    assert found.known and found.belief is not None
    assert all(t.plain is None and t.jobs == () for t in found.targets)
    alone = pocket(bathrooms(2, firm=STATED), on=MADE)
    ways = {t.target: t.plain for t in alone.targets}
    assert ways["cost"] is not None and ways["cost"].weights == {"belief": 1.0}
    assert ways["site_days"] is not None and ways["site_days"].belief is None


def test_a_rate_for_an_item_nobody_knows_is_refused():
    firm = Firm(rates={"left-handed tile": {"person_days": 1.0}})
    with pytest.raises(InputProblem, match="left-handed tile"):
        pocket(bathrooms(5, firm=firm), on=MADE)


def test_no_name_note_or_key_of_a_job_is_carried():
    jobs = [
        replace(j, name=f"Quenelle {i} lane", key=f"zz{i}secret", notes="the dog bites")
        for i, j in enumerate(bathrooms(12).jobs)
    ]
    whole = History(Firm(name="Umbrella & Tallow"), tuple(jobs))
    text = json.dumps(pocket(whole, on=MADE).plain(), allow_nan=False)
    assert not re.search("Quenelle|secret|bites|Umbrella", text)


def test_jobs_with_open_books_are_not_on_the_sheet():
    jobs = list(bathrooms(6).jobs)
    jobs[0] = replace(jobs[0], books_closed=False)
    found = pocket(History(jobs=tuple(jobs)), on=MADE)
    assert len(found.jobs) == 5
    assert [t.jobs for t in found.targets] == [(0, 1, 2, 3, 4)] * 4
    assert any("books still open" in n for n in found.grounds.notes)


def test_each_target_points_at_its_own_jobs():
    jobs = [
        j if i % 2 else replace(j, actual=replace(j.actual, site_days=None))
        for i, j in enumerate(bathrooms(10).jobs)
    ]
    found = {t.target: t for t in pocket(History(jobs=tuple(jobs)), on=MADE).targets}
    assert found["cost"].jobs == tuple(range(10))
    assert found["site_days"].jobs == (1, 3, 5, 7, 9)


def test_only_sizes_the_models_look_at_are_carried():
    past = bathrooms(4)
    scope = {"wall_tile": 80.0, "paint": 150.0, "lighting": 3.0, "niche": None, "bench": 0.0}
    jobs = (replace(past.jobs[0], scope=scope), *past.jobs[1:])
    first = pocket(replace(past, jobs=jobs), on=MADE).jobs[0]
    assert {ITEMS[i].key: size for i, size in first.scope} == {
        "wall_tile": 80.0,
        "paint": 1,
        "lighting": 3.0,
        "niche": None,
    }


def test_a_sheet_by_a_price_index_says_that_it_stands_at_its_day():
    firm = Firm(price_index={"2021-01-01": 100.0, "2026-01-01": 130.0})
    found = pocket(bathrooms(6, firm=firm), on=MADE)
    assert found.dated
    assert any("price index on the day the sheet was made" in n for n in found.grounds.notes)
    assert not pocket(bathrooms(6), on=MADE).dated


def test_a_scope_to_start_from_says_no_house_and_only_whole_crews():
    (start,) = pocket(bathrooms(15), on=MADE).starts
    assert start.kind == "bathroom"
    assert start.area and 30 < start.area < 90
    assert start.crew in (None, 1.0, 2.0) and start.grade in (None, 0.0, 1.0, 2.0)
    assert {ITEMS[i].key for i, _ in start.scope} >= {"toilet", "vanity", "floor_tile", "paint"}


def test_the_rules_show_what_the_cautions_of_a_scope_are():
    rng = np.random.default_rng(4)
    rules = cautions.rules()
    for _ in range(300):
        held = rng.random(len(ITEMS)) < rng.choice([0.0, 0.03, 0.3])
        year = rng.choice([None, 1900, 1977, 1978, 1985, 1990, 2010])
        scope = {i.key: 1.0 for i, there in zip(ITEMS, held, strict=True) if there}
        shown = [
            r.text
            for r in rules
            if (r.items is None or any(held[i] for i in r.items))
            and (r.before is None or year is None or year < r.before)
        ]
        job = Job("a", "A", state="quoted", scope=scope, house_year=year)
        assert tuple(shown) == cautions.for_scope(job)


def test_a_column_that_no_job_tells_apart_is_marked():
    columns = pocket(bathrooms(8), on=MADE).targets[0].columns
    seen = {ITEMS[c.of].key: c.seen for c in columns if c.how == "item"}
    assert seen["niche"] and seen["curbless"]
    assert not seen["toilet"] and not seen["wall_hung_toilet"]


def test_floors_all_alike_with_gaps_have_a_way_of_their_own_for_another_floor():
    jobs = [replace(j, area_sqft=50.0) for j in bathrooms(6).jobs]
    assert [t.sized for t in pocket(History(jobs=tuple(jobs)), on=MADE).targets] == [None] * 4
    jobs[2] = replace(jobs[2], area_sqft=None)
    found = pocket(History(jobs=tuple(jobs)), on=MADE).targets[0]
    assert found.sized is not None and found.plain is not None
    assert found.sized.items.fit.variance != found.plain.items.fit.variance


def test_newest_jobs_that_lie_off_the_others_are_doubted_on_the_sheet_too():
    past = bathrooms(20, noise=0.05)
    raised = [
        j if i < 17 else replace(j, actual=replace(j.actual, cost=3 * (j.actual.cost or 0)))
        for i, j in enumerate(past.jobs)
    ]
    (plain, *_) = [t.plain for t in pocket(History(jobs=tuple(raised)), on=MADE).targets]
    assert plain is not None and plain.gap > 0.3
    assert plain.doubts.said and plain.doubts.first.strip() == plain.doubts.said[0]
    (calm, *_) = [t.plain for t in pocket(past, on=MADE).targets]
    assert calm is not None and (calm.gap, calm.doubts.said) == (0.0, ())
