"""Room for waits: planned first to last day less planned site days, against recorded waits."""

from __future__ import annotations

from dataclasses import replace

import pytest
from making import ALWAYS, bathrooms, new_bathroom

from costlearn.firm import Firm
from costlearn.models.distribution import Interval
from costlearn.questions.quoting.quote import check
from costlearn.questions.quoting.waits import WaitRoom, wait_room, wait_table
from costlearn.records import Amounts, History, Job, PhaseRecord


def waited(*days: float | None) -> History:
    """Bathrooms without a membrane, each of which waited so many days."""
    made = bathrooms(len(days))
    jobs = tuple(
        replace(j, scope=ALWAYS, actual=replace(j.actual, wait_days=d, elapsed_days=None))
        for j, d in zip(made.jobs, days, strict=True)
    )
    return replace(made, jobs=jobs)


def planned(elapsed: float | None, site: float | None, **more: object) -> Job:
    return new_bathroom(plan=Amounts(elapsed_days=elapsed, site_days=site), **more)


SIX = waited(*[6.0, 5.0, 7.0] * 8)


def test_a_plan_that_leaves_too_few_days_is_said_with_what_such_jobs_needed() -> None:
    """18 working days of which 16 on site leave 2; such jobs waited 5, 6 or 7."""
    room = wait_room(SIX, planned(18.0, 16.0))
    assert room is not None
    assert (room.left, room.jobs, room.short) == (2.0, 24, True)
    assert room.reason == "the plan leaves 2 wait days where such jobs needed 5 to 7"
    table = wait_table(room)
    assert table is not None
    assert table.rows[0][:4] == ("18 days", "16 days", "2 days", "5 to 7 days")
    one = wait_room(SIX, planned(17.0, 16.0))
    assert one is not None
    assert one.reason.startswith("the plan leaves 1 wait day where")
    none = wait_room(SIX, planned(16.0, 16.0))
    assert none is not None
    assert none.reason.startswith("the plan leaves no wait day where")


def test_a_plan_with_room_is_no_reason() -> None:
    room = wait_room(SIX, planned(22.0, 16.0))
    assert room is not None
    assert not room.short
    assert room.reason == ""


def test_more_days_on_site_than_days_is_a_slip() -> None:
    room = wait_room(SIX, planned(12.0, 16.0))
    assert room is not None
    assert room.reason.startswith("more days on site are planned (16) than working days")


def test_usual_waits_stand_in_marked() -> None:
    """Membrane 2, tile 1 (``USUAL_WAITS`` with their sources): 3 days."""
    scope: dict[str, float | None] = {"membrane": 72.0, "wall_tile": 72.0}
    room = wait_room(waited(*[None] * 6), planned(18.0, 17.0, scope=scope))
    assert room is not None
    assert (room.jobs, room.needed.low, room.needed.high) == (0, 3.0, 3.0)
    assert room.reason == (
        "the plan leaves 1 wait day where 3 are usual in the trade (none on file)"
    )
    table = wait_table(room)
    assert table is not None
    assert "stand in" in table.note


def test_without_planned_days_or_waits_nothing_is_said() -> None:
    assert wait_room(SIX, planned(None, 16.0)) is None
    assert wait_room(SIX, planned(18.0, None)) is None
    assert wait_room(History(), planned(18.0, 16.0, scope={})) is None
    assert wait_table(None) is None


def test_planned_phases_give_the_site_days_if_each_says_them() -> None:
    phases = tuple(PhaseRecord(p, Amounts(site_days=d)) for p, d in (("demo", 4.0), ("tile", 11.0)))
    room = wait_room(SIX, planned(18.0, None, phases=phases))
    assert room is not None
    assert room.site == 15.0
    silent = (*phases, PhaseRecord("paint", Amounts(cost=10_000)))
    assert wait_room(SIX, planned(18.0, None, phases=silent)) is None


@pytest.mark.parametrize(("elapsed", "short"), [(17.0, True), (23.0, False)])
def test_it_is_a_reason_against_the_quote(elapsed: float, short: bool) -> None:
    """A price that is sound by far; only the days differ."""
    history = replace(SIX, firm=Firm())
    quote = planned(elapsed, 16.0, price=9_000_000)
    answer = check(history, quote)
    assert answer.waits is not None
    said = [r for r in answer.reasons if "wait day" in r]
    assert bool(said) is short
    assert ("wait day" in answer.sentence) is short
    assert answer.trusted is not short
    assert any(t.caption == "Room for waits in your planned days" for t in answer.tables())


def test_wet_jobs_are_held_against_wet_jobs() -> None:
    """Four with a membrane waited 6 days, the rest 1: a new one with a membrane needs about 6."""
    made = waited(*[6.0] * 4, *[1.0] * 10)
    jobs = tuple(
        replace(j, scope={**j.scope, "membrane": 72.0}) if i < 4 else j
        for i, j in enumerate(made.jobs)
    )
    scope = {**ALWAYS, "membrane": 60.0}
    wet = wait_room(replace(made, jobs=jobs), planned(18.0, 16.0, scope=scope))
    dry = wait_room(replace(made, jobs=jobs), planned(18.0, 16.0, scope=ALWAYS))
    assert wet is not None
    assert dry is not None
    assert (wet.jobs, dry.jobs) == (4, 10)
    assert dry.needed.high < wet.needed.low + 2
    assert (wet.middle, dry.middle) == (pytest.approx(6, abs=0.5), pytest.approx(1, abs=0.3))


@pytest.mark.parametrize(
    ("days", "said"), [((1.0,), "1 day"), ((0.5, 1.0), "0.5 to 1 day"), ((3.0,), "3 days")]
)
def test_the_days_waited_go_with_their_noun(days: tuple[float, ...], said: str) -> None:
    low, high = min(days), max(days)
    table = wait_table(WaitRoom(10.0, 8.0, Interval(0.8, low, high), low, 3))
    assert table is not None
    assert table.rows[0][3] == said
