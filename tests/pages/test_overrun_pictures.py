"""The pictures of overruns show the figures of the answer and nothing else."""

from dataclasses import replace
from datetime import date

import page_making as making
import pytest
from making import bathrooms, phased

from costlearn.pages.overrun_pictures import (
    MOST_CHARTS,
    NEWEST_JOBS,
    bridge_picture,
    matrix_picture,
    time_pictures,
)
from costlearn.pages.overruns import sheet
from costlearn.questions.overrun.causes import Causes, Step
from costlearn.questions.overrun.overruns import HISTORY, overruns
from costlearn.records import NOTHING


@pytest.fixture(scope="module")
def answer():
    return making.overran()


def test_the_bridge_starts_at_the_quote_and_ends_at_what_it_came_to(answer):
    picture = bridge_picture(answer)
    assert picture is not None
    steps = answer.causes.bridge
    assert [r[0] for r in picture.numbers.rows] == [s.name for s in steps]
    bands = next(t for t in picture.figure.data if t.mode == "lines")
    ends = [v for v in bands.x if v is not None]
    assert min(ends) == pytest.approx(steps[0].amount)
    assert max(ends) == pytest.approx(steps[-1].amount)


def test_what_costs_more_points_up_and_what_costs_less_points_down(answer):
    steps = (
        Step("quote", "quoted", 1000.0, True),
        Step("days", "days", 300.0),
        Step("sub", "subs", -100.0),
        Step("actual", "came to", 1200.0, True),
    )
    picture = bridge_picture(replace(answer, causes=Causes(steps)))
    assert picture is not None
    marks = {t.marker.symbol: list(t.x) for t in picture.figure.data if t.mode == "markers"}
    assert marks == {
        "square": [1000.0, 1200.0],
        "triangle-up": [1300.0],
        "triangle-down": [1200.0],
    }
    assert [r[2] for r in picture.numbers.rows] == ["$1,000", "$1,300", "$1,200", "$1,200"]


def test_no_causes_no_bridge(answer):
    assert bridge_picture(replace(answer, causes=Causes())) is None


def test_the_field_shows_the_newest_jobs_in_order(answer):
    picture = matrix_picture(answer)
    assert picture is not None
    rows = picture.numbers.rows
    assert len(rows) == NEWEST_JOBS
    days = {r.job: r.day for r in answer.on_file("cost")}
    newest = sorted(days, key=lambda j: days[j] or date.min)[-NEWEST_JOBS:]
    names = dict(answer.names)
    assert [r[0] for r in rows] == [names[j] for j in reversed(newest)]
    drawn = sum(len(t.x) for t in picture.figure.data)
    assert drawn == sum(r.job in newest for r in answer.on_file("cost"))


def test_records_without_a_plan_are_struck_through_and_starred():
    past = phased(bathrooms(24), seed=4)
    last = past.jobs[-1]
    phases = tuple(replace(p, plan=NOTHING) if p.phase == "tile" else p for p in last.phases)
    found = overruns(replace(past, jobs=(*past.jobs[:-1], replace(last, phases=phases))))
    assert len(found.on_file("cost", HISTORY)) == 1
    picture = matrix_picture(found)
    assert picture is not None
    (strike,) = (t for t in picture.figure.data if t.marker.symbol == "line-ew")
    assert len(strike.x) == 1
    assert sum(c.endswith(" *") for c in picture.numbers.rows[0]) == 1
    assert any(k.shape == "strike" for k in picture.key)


def test_phases_most_at_stake_are_shown_in_time_order(answer):
    pictures = time_pictures(answer)
    assert len(pictures) == MOST_CHARTS
    most = max(answer.of("cost"), key=lambda p: abs(p.at_stake))
    assert pictures[0].title.startswith(most.name)
    assert len(pictures[0].numbers.rows) == most.records
    assert "told from luck" in pictures[0].caption


def test_a_change_comes_first_and_is_said():
    past = phased(bathrooms(30), seed=6, noise=0.08)
    jobs = tuple(
        replace(
            j,
            phases=tuple(
                replace(p, actual=replace(p.actual, cost=round((p.actual.cost or 0) * 1.3)))
                if p.phase == "vent" and i >= 18
                else p
                for p in j.phases
            ),
        )
        for i, j in enumerate(past.jobs)
    )
    found = overruns(replace(past, jobs=jobs))
    assert [c.phase for c in found.times.changes] == ["vent"]
    first = time_pictures(found)[0]
    assert first.title.startswith("Ventilation")
    assert found.times.changes[0].sentence in first.caption
    assert found.times.changes[0].sentence in found.sentence
    thick = [t for t in first.figure.data if t.mode == "lines" and t.line.width == 5]
    assert len(thick) == 2
    remarks = {r.title: r.lines for r in sheet(found).remarks}
    assert remarks["Since when"] == (found.times.changes[0].sentence,)


def test_nothing_known_nothing_drawn():
    none = making.unknown()[2]
    assert matrix_picture(none) is None
    assert bridge_picture(none) is None
    assert time_pictures(none) == ()
