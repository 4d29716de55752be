"""Site days and waits on working days."""

from datetime import date

import pytest
from making import job, new_bathroom

from costlearn.questions.calendar import calendar, waits_of
from costlearn.records import Amounts, History, PhaseRecord
from costlearn.workdays import Workdays

MONDAY = date(2026, 11, 2)
WEEK = Workdays()


def test_tile_on_day_one_then_a_day_of_waiting_then_grout():
    """Calendar of the trade (ANSI A108: 24 h before grout): tile Monday, wait, grout Wednesday."""
    tile, grout = calendar(["tile", "grout"], [1.0, 1.0], [1.0, 0.0], MONDAY, WEEK)
    assert (tile.first, tile.last, tile.wait) == (MONDAY, MONDAY, 1.0)
    assert (grout.first, grout.last) == (date(2026, 11, 4), date(2026, 11, 4))


def test_a_second_person_shortens_the_work_and_never_the_wait():
    alone = calendar(["pan", "tile"], [2.0, 4.0], [2.0, 0.0], MONDAY, WEEK)
    two = calendar(["pan", "tile"], [1.0, 2.0], [2.0, 0.0], MONDAY, WEEK)
    assert alone[1].first == date(2026, 11, 6)
    assert two[1].first == date(2026, 11, 5)


def waited(phases: dict[str, float | None], total: float | None) -> History:
    records = tuple(PhaseRecord(p, actual=Amounts(wait_days=w)) for p, w in phases.items())
    return History(
        jobs=(job("a", kind="bathroom", phases=records, actual=Amounts(wait_days=total)),)
    )


def test_recorded_waits_of_jobs_are_shared_out_as_their_phases_waited():
    history = waited({"board": 1.0, "tile": 3.0, "paint": None}, 6.0)
    found = waits_of(history, new_bathroom(), ["board", "tile", "paint"])
    assert found.source == "recorded"
    assert found.total == 6.0
    assert dict(found.by_phase) == pytest.approx({"board": 1.5, "tile": 4.5})


def test_waits_recorded_by_phase_alone_are_summed():
    history = waited({"board": 1.0, "tile": 3.0}, None)
    found = waits_of(history, new_bathroom(), ["board", "tile"])
    assert (found.source, found.total) == ("recorded", 4.0)


def test_where_none_is_on_file_the_usual_of_the_trade_stands_in_and_is_marked():
    """Membrane 24 h before and 24 h of flood test (ASTM D5957), a day before grout (ANSI A108)."""
    history = waited({"board": None}, None)
    found = waits_of(history, new_bathroom(), ["waterproof", "tile", "paint"])
    assert found.source == "usual of the trade, none on file"
    assert dict(found.by_phase) == {"waterproof": 2.0, "tile": 1.0}
    assert found.total == 3.0
    nothing = waits_of(history, new_bathroom(scope={}), ["paint"])
    assert (nothing.source, nothing.total) == ("none on file", 0.0)
