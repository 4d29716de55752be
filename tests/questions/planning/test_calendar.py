"""A job on the calendar: what it says with much, with little and with nothing on file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from making import bathrooms, job, new_bathroom, phased

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.questions.answer import plain_data
from costlearn.questions.learning import predict
from costlearn.questions.planning.answer import SiteCalendar
from costlearn.questions.planning.calendar import site_calendar
from costlearn.questions.running.midjob import forecast
from costlearn.records import NOTHING, Amounts, History, Job, PhaseRecord

MONDAY = date(2027, 1, 11)
FULL = phased(bathrooms(20))


def with_waits(history: History, days: float) -> History:
    """The same jobs, each of which waited so long after its board."""

    def wait(one: PhaseRecord) -> PhaseRecord:
        left = days if one.phase == "board" else None
        return replace(one, actual=replace(one.actual, wait_days=left))

    return replace(
        history,
        jobs=tuple(
            replace(
                j,
                phases=tuple(wait(p) for p in j.phases),
                actual=replace(j.actual, wait_days=days, elapsed_days=None),
            )
            for j in history.jobs
        ),
    )


def ends(answer: SiteCalendar) -> tuple[date, date, date]:
    assert answer.finish is not None
    return answer.finish.early, answer.finish.likely, answer.finish.late


def test_phases_stand_in_the_order_of_the_trade_and_end_with_the_job() -> None:
    answer = site_calendar(FULL, new_bathroom(), MONDAY)
    order = ["demo", "plumb_rough", "vent", "board", "tile", "paint"]
    assert [s.phase for s in answer.spans] == order
    assert answer.spans[0].first == answer.start == MONDAY
    for one, following in pairwise(answer.spans):
        assert one.first <= one.last <= following.last
        assert one.first <= following.first
        assert one.begins[0] <= one.first <= one.begins[1]
        assert one.ends[0] <= one.last <= one.ends[1]
    early, likely, late = ends(answer)
    assert early < likely < late
    assert answer.spans[-1].last == likely
    assert "8 jobs in 10 like this are done between" in answer.sentence


def test_the_finish_is_the_elapsed_days_the_estimate_tells_laid_on_working_days() -> None:
    """One figure, one place: the calendar and the estimate cannot disagree."""
    asked = new_bathroom()
    found = predict(FULL, asked, "elapsed_days", quoted=True)
    assert found is not None
    week = FULL.firm.workdays
    told = tuple(week.on(MONDAY, found.spread.quantile(p)) for p in (0.1, 0.5, 0.9))
    assert ends(site_calendar(FULL, asked, MONDAY)) == told


def test_a_range_of_holidays_moves_what_comes_after_it_and_nothing_before() -> None:
    off = [date(2027, 1, 18) + timedelta(days=i) for i in range(5)]
    plain = site_calendar(FULL, new_bathroom(), MONDAY)
    later = site_calendar(FULL, new_bathroom(), MONDAY, holidays=off)
    assert [s.first for s in later.spans if s.first < off[0]] == [
        s.first for s in plain.spans if s.first < off[0]
    ]
    assert not {s.first for s in later.spans} & set(off)
    assert ends(later)[1] == ends(plain)[1] + timedelta(days=7)
    firm = Firm().changed({"holidays": ["2027-01-18..2027-01-22"]})
    assert ends(site_calendar(replace(FULL, firm=firm), new_bathroom(), MONDAY)) == ends(later)
    assert later.week == "Monday to Friday, less 5 holidays"


def test_a_start_on_a_saturday_is_the_monday_after() -> None:
    saturday = site_calendar(FULL, new_bathroom(), MONDAY - timedelta(days=2))
    assert saturday.start == MONDAY
    assert saturday.spans == site_calendar(FULL, new_bathroom(), MONDAY).spans


def test_a_later_start_never_ends_earlier() -> None:
    firm = Firm().changed({"holidays": ["2027-01-27..2027-02-02"], "working_days": ["mon", "wed"]})
    history = replace(FULL, firm=firm)
    found = [
        ends(site_calendar(history, new_bathroom(), MONDAY + timedelta(days=i)))
        for i in range(0, 28, 3)
    ]
    assert all(a <= b for a, b in pairwise(found))


def test_more_recorded_waits_never_end_earlier_and_stay_with_a_helper() -> None:
    asked = new_bathroom()
    answers = [site_calendar(with_waits(FULL, d), asked, MONDAY) for d in (0.0, 2.0, 5.0)]
    assert ends(answers[0]) < ends(answers[1]) < ends(answers[2])
    assert answers[2].waits is not None
    assert (answers[2].waits.source, answers[2].waits.total) == ("recorded", 5.0)
    board = next(s for s in answers[2].spans if s.phase == "board")
    assert board.wait == pytest.approx(5.0, abs=0.3)
    pause = next(p for p in answers[2].pauses if p.phase == "board")
    assert board.last < pause.first <= pause.last
    helped = site_calendar(with_waits(FULL, 5.0), asked, MONDAY, helper=("all",))
    assert next(s for s in helped.spans if s.phase == "board").wait == pytest.approx(board.wait)


def test_a_helper_shortens_the_phases_named_and_no_other() -> None:
    history = with_waits(FULL, 3.0)
    one, all_ = (site_calendar(history, new_bathroom(), MONDAY, helper=h) for h in ((), ("all",)))
    tile = site_calendar(history, new_bathroom(), MONDAY, helper=("tile", "closeout"))
    middles = [{s.phase: s.site_middle for s in a.spans} for a in (one, tile, all_)]
    assert middles[1]["tile"] < middles[0]["tile"]
    assert middles[1]["demo"] == middles[0]["demo"] > middles[2]["demo"]
    assert ends(all_) < ends(tile) < ends(one)
    assert tile.helper == ("tile",)
    assert "with a helper (tile and grout)" in tile.sentence
    assert "with a helper throughout" in all_.sentence


def test_a_helper_nobody_can_tell_of_is_not_made_up() -> None:
    lone = replace(
        FULL,
        jobs=tuple(
            replace(
                j,
                actual=replace(j.actual, crew=1.0),
                phases=tuple(replace(p, actual=replace(p.actual, crew=1.0)) for p in j.phases),
            )
            for j in FULL.jobs
        ),
    )
    answer = site_calendar(lone, new_bathroom(), MONDAY, helper=("all",))
    assert not answer.known
    assert answer.tables() == ()
    assert "cannot tell what a second person does" in answer.sentence
    told = site_calendar(lone, new_bathroom(), MONDAY, helper=("all",), belief=(0.6, 0.8))
    assert told.known
    assert any("your belief" in n for n in told.grounds.notes)


def test_the_odds_of_a_promise_and_of_the_plan() -> None:
    answer = site_calendar(FULL, new_bathroom(), MONDAY, promised=date(2027, 6, 30))
    assert answer.finish is not None
    assert answer.finish.stated
    assert answer.finish.chance is not None
    assert answer.finish.chance > 0.99
    assert "done by the promised Wed 30 Jun 2027" in answer.sentence
    past = site_calendar(FULL, new_bathroom(), MONDAY, promised=date(2027, 1, 4))
    assert past.finish is not None
    assert past.finish.chance == 0.0
    planned = replace(new_bathroom(), plan=Amounts(elapsed_days=5.0))
    quoted = site_calendar(FULL, planned, MONDAY).finish
    assert quoted is not None
    assert (quoted.promised, quoted.stated) == (date(2027, 1, 15), False)


def test_without_phases_it_is_one_stretch_and_says_so() -> None:
    answer = site_calendar(bathrooms(12), new_bathroom(), MONDAY)
    assert answer.known
    assert answer.spans == ()
    assert answer.site is not None
    assert "no dates by phase" in answer.sentence
    assert {h.day for h in answer.holds if h.before} <= {None}
    tile = site_calendar(bathrooms(12), new_bathroom(), MONDAY, helper=("tile",))
    assert "fewer than 5 finished jobs" in tile.sentence
    assert "cannot be reckoned with" in tile.sentence


def test_first_and_last_days_alone_are_a_range_without_days_on_site() -> None:
    history = replace(
        FULL,
        jobs=tuple(
            replace(
                j,
                phases=(),
                actual=replace(NOTHING, elapsed_days=j.actual.elapsed_days),
            )
            for j in FULL.jobs
        ),
    )
    answer = site_calendar(history, new_bathroom(), MONDAY)
    assert answer.known
    assert (answer.site, answer.waits) == (None, None)
    assert "no days on site" in answer.sentence
    early, likely, late = ends(answer)
    assert early < likely < late


def test_nothing_on_file_is_a_sentence() -> None:
    answer = site_calendar(History(), new_bathroom(), MONDAY)
    assert not answer.known
    assert answer.tables() == ()
    assert "cannot lay this job on a calendar" in answer.sentence
    assert plain_data(answer)["finish"] is None


def test_a_job_too_wide_to_lean_on_has_no_dates_by_phase() -> None:
    answer = site_calendar(FULL, new_bathroom(area_sqft=4_000.0), MONDAY)
    assert answer.known
    assert (answer.spans, answer.pauses, answer.maybe) == ((), (), ())
    assert "too wide to lean on: this job is too little like your past jobs" in answer.sentence
    assert "fewer than 5" not in answer.sentence


def test_few_jobs_are_said_to_be_few() -> None:
    answer = site_calendar(bathrooms(5), new_bathroom(), MONDAY)
    assert "With 5 jobs on file this is mostly assumptions." in answer.sentence


def test_usual_waits_stand_in_marked_where_none_is_on_file() -> None:
    """Board 1 and tile 1 day (``USUAL_WAITS``, with their sources): 2 days."""
    silent = replace(
        FULL,
        jobs=tuple(
            replace(j, actual=replace(j.actual, wait_days=None, elapsed_days=None))
            for j in FULL.jobs
        ),
    )
    answer = site_calendar(silent, new_bathroom(), MONDAY)
    assert answer.waits is not None
    assert answer.waits.total == 2.0
    assert "No wait is on file: 2 days stand in" in answer.sentence
    assert any("not known, and not counted" in n for n in answer.grounds.notes)


def running(**values: object) -> Job:
    one = FULL.jobs[7]
    phases = tuple(
        replace(p, percent_complete=1.0)
        if p.phase in ("demo", "plumb_rough", "vent", "board")
        else replace(p, actual=NOTHING, percent_complete=None, books_closed=None)
        for p in one.phases
    )
    done = [p.actual for p in phases if p.percent_complete]
    return replace(
        one,
        key="run",
        name="Run",
        state="running",
        started=date(2027, 1, 4),
        finished=None,
        phases=phases,
        actual=Amounts(
            person_days=sum(a.person_days or 0 for a in done),
            site_days=sum(a.site_days or 0 for a in done),
            elapsed_days=9.0,
        ),
        **values,
    )


def test_a_running_job_ends_where_its_forecast_says() -> None:
    history = replace(FULL, jobs=FULL.jobs[:7] + FULL.jobs[8:])
    answer = site_calendar(history, running(), None)
    told = forecast(history, running()).finish
    assert told is not None
    assert ends(answer) == (told.early, told.middle, told.late)
    assert [s.phase for s in answer.spans] == ["tile", "paint"]
    assert answer.start == date(2027, 1, 15)
    assert "Going on from Fri 15 Jan 2027" in answer.sentence
    later = site_calendar(history, running(), None, holidays=[date(2027, 1, 18)])
    assert ends(later) > ends(answer)


def with_crew(job: Job, crew: float | None) -> Job:
    return replace(job, actual=replace(job.actual, crew=crew))


def crewed(crew: Callable[[Job, str], float]) -> History:
    """The other jobs, each phase done by so many people."""

    def changed(job: Job, phase: PhaseRecord) -> PhaseRecord:
        people = crew(job, phase.phase)
        days = (phase.actual.person_days or 0.0) / people
        return replace(phase, actual=replace(phase.actual, site_days=days, crew=people))

    jobs = FULL.jobs[:7] + FULL.jobs[8:]
    return replace(
        FULL,
        jobs=tuple(replace(j, phases=tuple(changed(j, p) for p in j.phases)) for j in jobs),
    )


STEADY = crewed(lambda job, _: job.actual.crew or 1.0)
"""Nobody comes or goes during a job."""


def test_a_helper_from_here_on_shortens_what_a_running_job_still_has() -> None:
    """One so far: with nobody named nothing changes, with a helper throughout days get fewer."""
    history = STEADY
    one = with_crew(running(), 1.0)
    plain, nobody, tile, all_ = (
        site_calendar(history, one, None, helper=h) for h in (None, (), ("tile",), ("all",))
    )
    assert ends(nobody) == ends(plain) > ends(tile) > ends(all_)
    site = [{s.phase: s.site_middle for s in a.spans} for a in (plain, tile, all_)]
    assert site[1]["tile"] == site[2]["tile"] < site[0]["tile"]
    assert site[1]["paint"] == site[0]["paint"] > site[2]["paint"]
    assert "with a helper (tile and grout)" in tile.sentence
    assert not any("worked on the job so far" in n for n in tile.grounds.notes)


def test_the_rest_of_a_job_by_two_takes_longer_alone_and_as_long_with_both() -> None:
    two = with_crew(running(), 2.0)
    plain, alone, both = (site_calendar(STEADY, two, None, helper=h) for h in (None, (), ("all",)))
    assert ends(alone) > ends(plain) == ends(both)
    assert "none of those phases" not in alone.sentence
    assert any("2 people worked on the job so far; from here" in n for n in both.grounds.notes)


def test_where_helpers_always_leave_before_the_tile_its_days_are_already_those_of_one() -> None:
    """Two until the board is up, then one, in each of 19 finished jobs and in this one.

    The forecast stands for 2 x 2 ** -(19 / 20) = 1.04 people, since one more job counts as if it
    had changed nothing: alone is nearly as forecast, a helper throughout takes about the belief's
    .7 of the days on site.
    """
    early = ("demo", "plumb_rough", "vent", "board")
    history = crewed(lambda _, phase: 2.0 if phase in early else 1.0)
    two = with_crew(running(), 2.0)
    two = replace(two, actual=replace(two.actual, site_days=(two.actual.person_days or 0.0) / 2))
    plain, alone, both = (
        site_calendar(history, two, None, helper=h, belief=(0.6, 0.82))
        for h in (None, (), ("all",))
    )
    assert alone.site_middle == pytest.approx(plain.site_middle, rel=0.03)
    assert both.site_middle == pytest.approx(0.7 * (plain.site_middle or 0.0), rel=0.06)
    said = "its days to come are those of 1 person; from here"
    assert any(said in n for n in both.grounds.notes)


def test_a_helper_in_a_running_job_needs_who_worked_so_far() -> None:
    history = replace(FULL, jobs=FULL.jobs[:7] + FULL.jobs[8:])
    with pytest.raises(InputProblem, match="nothing says how many people worked on 'Run' so far"):
        site_calendar(history, with_crew(running(), None), None, helper=("all",))


def test_a_running_job_without_a_forecast_is_a_sentence() -> None:
    answer = site_calendar(bathrooms(3), running(), None)
    assert not answer.known
    assert answer.sentence.startswith("Where Run ends cannot be told")


def test_a_running_job_without_a_day_asks_for_one_and_goes_on_from_it() -> None:
    history = replace(FULL, jobs=FULL.jobs[:7] + FULL.jobs[8:])
    undated = replace(running(), started=None)
    answer = site_calendar(history, undated, None)
    assert not answer.known
    assert answer.sentence.startswith("Nothing on file says on which day Run stands")
    assert "--start" in answer.sentence
    assert site_calendar(history, undated, date(2027, 1, 18)).known


def test_finished_jobs_and_jobs_without_a_start_are_refused() -> None:
    with pytest.raises(InputProblem, match="is finished"):
        site_calendar(FULL, FULL.jobs[0], MONDAY)
    with pytest.raises(InputProblem, match="when the work starts"):
        site_calendar(FULL, new_bathroom(), None)


def test_a_phase_of_the_firms_own_takes_part() -> None:
    firm = Firm().changed({"phase_words": {"steam_room": ["steam"]}})
    jobs = tuple(
        replace(
            j,
            phases=(
                *j.phases,
                PhaseRecord("steam_room", actual=Amounts(site_days=2.0, person_days=2.0)),
            ),
        )
        for j in FULL.jobs
    )
    answer = site_calendar(replace(FULL, firm=firm, jobs=jobs), new_bathroom(), MONDAY)
    assert answer.spans[-1].name == "steam room"


def test_open_books_and_odd_names_do_no_harm() -> None:
    odd = job("x", name="", state="quoted", area_sqft=None, scope={})
    answer = site_calendar(FULL, odd, date(2100, 12, 30))
    assert answer.known
    assert answer.tables()
