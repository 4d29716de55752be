"""What no range can show is said: the sentence, the refusal or the job to look at is there."""

from __future__ import annotations

import json
from datetime import date

import pytest
from attack.asking import QUESTIONS, ask
from attack.attacks import ALL, case_of

from costlearn.questions.attention import attention
from costlearn.questions.estimate import estimate
from costlearn.questions.learning import UNLIKE, UNLIKE_EACH_OTHER
from costlearn.questions.options import option_prices
from costlearn.questions.overrun.overruns import overruns
from costlearn.questions.quoting.quote import check
from costlearn.questions.withheld import say_withheld

BY_NAME = {a.name: a for a in ALL}
SOUND = "this quote looks sound"


@pytest.mark.parametrize("name", [a.name for a in ALL])
def test_every_question_has_an_answer_or_says_why_not(name: str) -> None:
    case = case_of(BY_NAME[name], 8, 3)
    for question in QUESTIONS:
        cell = ask(case, question)
        json.dumps(cell.answer.plain(), allow_nan=False)
        assert cell.answer.sentence.rstrip().endswith((".", ")"))
        assert cell.width is None or cell.width > 1.0
        for table in cell.answer.tables():
            assert not any("nan" in text for row in table.rows for text in row)


@pytest.mark.parametrize(
    ("name", "question", "said"),
    [
        ("all jobs alike to the cent", "estimate", "very figures of another counted once"),
        ("all jobs alike to the cent", "check", "very figures of another counted once"),
        ("all jobs alike to the cent", "options", "very figures of another counted once"),
        ("all jobs alike to the cent", "overruns", "1 record a phase at most"),
        ("all jobs alike in round sums", "estimate", "came to nearly the same"),
        ("all jobs alike in round sums", "check", "came to nearly the same"),
        ("all actuals copied from quotes", "estimate", "equal the plan to the cent"),
        ("all actuals copied from quotes", "check", "equal the plan to the cent"),
        ("all actuals copied from quotes", "overruns", "copied, not counted?"),
        ("all actuals copied from quotes", "forecast", "copied, not counted?"),
        ("every second actual copied", "overruns", "12 jobs left out"),
        ("prices doubled two jobs ago", "estimate", "Your last jobs cost"),
        ("a kind never done", "estimate", "No finished job of this kind is on file"),
        ("only overrun jobs on file", "estimate", "All 24 jobs that have a plan ran over it"),
        ("only overrun jobs on file", "check", "cannot show what is not in them"),
        ("only overrun jobs on file", "overruns", "cannot show what is not in them"),
        ("last bills missing in half", "overruns", "still waiting for last bills"),
        ("all costs $1", "check", "under 10 taken as not written down"),
        ("all costs $1", "options", "under 10 taken as not written down"),
        ("three wild jobs", "estimate", "Your records hold no price for this"),
        ("one cost in cents", "overruns", "Left out as a likely slip: J04"),
        ("all quotes zero", "overruns", "cannot tell which phases run over"),
        ("no dates", "backtest", "cannot tell yet"),
        ("all on one day", "backtest", "cannot tell yet"),
    ],
)
def test_what_the_records_hide_is_said(name: str, question: str, said: str) -> None:
    assert said in ask(case_of(BY_NAME[name], 24, 2), question).answer.sentence


@pytest.mark.parametrize(
    "name",
    [
        "all jobs alike to the cent",
        "all jobs alike in round sums",
        "all actuals copied from quotes",
        "three wild jobs",
        "one cost in cents",
        "all costs $1",
    ],
)
def test_no_quote_is_called_sound_on_such_records(name: str) -> None:
    for seed in range(4):
        case = case_of(BY_NAME[name], 24, seed)
        answer = check(case.history, case.quote)
        assert not answer.trusted
        assert SOUND not in answer.sentence


def test_a_range_too_wide_to_be_told_gives_no_figure() -> None:
    case = case_of(BY_NAME["three wild jobs"], 24, 1)
    for answer in (estimate(case.history, case.new), check(case.history, case.quote)):
        assert not answer.known
        assert answer.sentence.startswith(say_withheld("price"))


@pytest.mark.parametrize("name", ["one cost in cents", "a kind never done"])
def test_a_range_too_wide_to_price_from_says_so(name: str) -> None:
    case = case_of(BY_NAME[name], 24, 1)
    found = estimate(case.history, case.new).target("cost")
    assert found is not None
    assert found.main.ratio > 2
    assert found.verdict in (UNLIKE, UNLIKE_EACH_OTHER)


@pytest.mark.parametrize("attack", [a for a in ALL if a.culprits], ids=lambda a: a.name)
@pytest.mark.parametrize("count", [8, 24])
def test_the_job_that_spoils_the_rest_is_named(attack, count: int) -> None:
    for seed in range(4):
        found = attention(case_of(attack, count, seed).history).found
        assert set(attack.culprits) <= {a.job for a in found}


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("all jobs alike to the cent", "one job twice"),
        ("all jobs alike in round sums", "one sum many times"),
        ("all costs $1", "one sum many times"),
        ("every job twice", "one job twice"),
        ("one job five times", "one job twice"),
        ("all actuals copied from quotes", "equals the plan"),
        ("a third of areas in square metres", "unit slip"),
        ("one floor of a million sq ft", "area far off"),
    ],
)
def test_records_worth_a_look_are_listed(name: str, kind: str) -> None:
    found = attention(case_of(BY_NAME[name], 24, 2).history).found
    assert kind in {a.kind for a in found}


def test_dates_still_to_come_are_listed() -> None:
    case = case_of(BY_NAME["a quarter of dates six years ahead"], 24, 2)
    ahead = attention(case.history, today=date(2025, 6, 2)).found
    assert sum(a.kind == "date ahead" for a in ahead) == 6
    assert "date ahead" not in {a.kind for a in attention(case.history).found}


@pytest.mark.parametrize(
    "name",
    [
        "one cost in cents",
        "one cost of $1",
        "every job twice",
        "one job five times",
        "every second actual copied",
        "crew is the size of the job",
    ],
)
def test_no_phase_is_called_falsely(name: str) -> None:
    """12 firms of 24 jobs, 5 phases on plan: no more than 1 firm with a false call."""
    wrong = [ask(case_of(BY_NAME[name], 24, seed), "overruns").wrong for seed in range(12)]
    assert sum(bool(w) for w in wrong) <= 1


def test_sound_records_draw_no_doubt() -> None:
    """12 firms: none is doubted, and hardly a job is asked about."""
    listed = 0
    for seed in range(12):
        case = case_of(BY_NAME["sound records"], 24, seed)
        assert estimate(case.history, case.new).outside == () or all(
            "floor" in text or "Seldom" in text for text in estimate(case.history, case.new).outside
        )
        listed += len(attention(case.history, today=date(2025, 6, 2)).found)
    assert listed <= 8


def test_options_that_always_come_together_are_one_row() -> None:
    case = case_of(BY_NAME["two items always together"], 24, 2)
    niches = sum(bool(j.scope.get("niche")) for j in case.history.jobs)
    both = sum(bool(j.scope.get("bench")) for j in case.history.jobs)
    assert niches == both
    rows = [o.items for o in option_prices(case.history, case.new).options]
    assert ("niche",) not in rows


def test_two_are_not_called_faster_where_crew_is_only_the_size() -> None:
    for seed in range(6):
        for count in (8, 24):
            case = case_of(BY_NAME["crew is the size of the job"], count, seed)
            assert ask(case, "crew").wrong == ()


def test_what_overruns_cost_together_has_a_range_of_its_own() -> None:
    """Tile truly runs 20 % over: the range holds that on the jobs on file in most firms."""
    inside = told = 0
    for seed in range(20):
        case = case_of(BY_NAME["sound records"], 24, seed)
        answer = overruns(case.history)
        called = {p.phase for p in answer.of("cost") if p.verdict.endswith("runs over")}
        if answer.stake is None or answer.jobs_per_year is None:
            continue
        share = answer.jobs_per_year / len(case.history.jobs)
        truth = sum(
            (case.truth.over[r.phase] - 1) * r.planned * share
            for r in answer.on_file("cost")
            if r.phase in called
        )
        told += 1
        inside += answer.stake.low <= truth <= answer.stake.high
    assert told >= 18
    assert inside >= 0.6 * told
