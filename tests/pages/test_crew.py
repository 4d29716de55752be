"""The page of the crew: every picture is there, and says what it rests on."""

from dataclasses import replace

import page_making as making
import pytest

from costlearn.pages.crew import sheet
from costlearn.questions.crewing.crew import crew
from costlearn.questions.crewing.year import YearTerms
from costlearn.records import History


def titles(answer) -> list[str]:
    return [p.title for p in sheet(answer).pictures]


def test_all_pictures_stand_in_their_order():
    found = titles(making.crewed())
    starts = [
        "What each choice earns",
        "Odds that a year",
        "Gain with",
        "What the gain of a second person",
        "Days on site with two",
        "This job",
        "Days on site and floor area",
    ]
    assert len(found) == len(starts)
    assert all(t.startswith(s) for t, s in zip(found, starts, strict=True))


def test_without_a_year_and_a_job_the_effect_is_drawn_alone():
    found = titles(crew(making.evil_history()))
    assert [t.split(",")[0] for t in found] == [
        "Days on site with two",
        "Days on site and floor area",
    ]


def test_a_belief_is_marked_on_every_picture_it_moves():
    answer = crew(
        making.evil_history(),
        making.quoted(),
        YearTerms(10.0, backlog_high=16.0),
        belief=(0.6, 0.8),
    )
    found = titles(answer)
    assert all("with your belief, 60 to 80 %" in t for t in found[:-1])


def test_an_answer_on_belief_alone_says_so_under_the_question():
    jobs = tuple(
        replace(j, actual=replace(j.actual, crew=1.0), phases=())
        for j in making.evil_history().jobs
    )
    history = History(making.FIRM, jobs)
    page = sheet(crew(history, terms=YearTerms(14.0), belief=(0.6, 0.8)))
    assert "your belief, not your records" in str(page)


def test_the_bars_of_what_matters_go_from_first_end_to_second():
    answer = making.crewed()
    picture = next(p for p in sheet(answer).pictures if p.title.startswith("What the gain of"))
    drawn = {round(float(x), 4) for t in picture.figure.data if t.mode == "markers" for x in t.x}
    for lever in answer.what_if.levers:
        assert round(lever.at_low, 4) in drawn
        assert round(lever.at_high, 4) in drawn
    assert [r[0] for r in picture.numbers.rows] == [v.name for v in answer.what_if.levers]


@pytest.mark.parametrize("at", [1, 3, 5])
def test_the_gain_against_the_backlog_is_the_years_own(at: int):
    answer = making.crewed()
    picture = next(p for p in sheet(answer).pictures if p.title.startswith("Gain with"))
    jobs, _, middle, _ = answer.year.demand[4 * at]
    line = picture.figure.data[1]
    assert line.y[list(line.x).index(jobs)] == middle
