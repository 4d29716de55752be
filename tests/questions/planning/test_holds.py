"""Hold points: nothing is covered before its rough inspection, and final before use."""

from __future__ import annotations

from datetime import date

from making import job, new_bathroom

from costlearn.questions.planning.holds import holds_of, holds_table
from costlearn.records import PhaseRecord

DAY = date(2027, 1, 20)


def test_rough_before_board_flood_test_before_tile_final_at_the_end() -> None:
    """What is looked at before what: common practice, no source here; local codes decide."""
    phases = ("demo", "plumb_rough", "board", "waterproof", "tile")
    found = holds_of(new_bathroom(), phases, {"board": DAY, "tile": DAY}, date(2027, 2, 9))
    assert [(h.before, h.day) for h in found] == [
        ("board", DAY), ("tile", DAY), ("", date(2027, 2, 9)),
    ]  # fmt: skip
    table = holds_table(found, {"board": "Drywall", "tile": "Tile"})
    assert table is not None
    assert table.rows[0][1:] == ("Drywall", "Wed 20 Jan 2027")
    assert "only as recorded" in table.note


def test_no_rough_work_no_inspection() -> None:
    assert holds_of(new_bathroom(), ("demo", "tile", "paint"), {}, DAY) == ()
    assert holds_table((), {}) is None


def test_walls_already_closed_on_a_running_job_are_not_held_again() -> None:
    """Board is done; only the final inspection and the flood test are still ahead."""
    done = [PhaseRecord(p) for p in ("plumb_rough", "board", "waterproof", "tile", "paint")]
    running = job("r", state="running", phases=tuple(done))
    found = holds_of(running, ("tile", "paint"), {"tile": DAY}, DAY)
    assert [h.before for h in found] == ["tile", ""]
    assert [h.before for h in holds_of(running, ("paint",), {}, DAY)] == [""]


def test_without_phases_the_scope_speaks_and_gives_no_dates() -> None:
    asked = new_bathroom(scope={"bath_fan": 1.0, "drywall": 90.0})
    found = holds_of(asked, (), {}, None)
    assert [(h.before, h.day) for h in found] == [("board", None), ("", None)]
    table = holds_table(found, {})
    assert table is not None
    assert table.rows[0][2] == "no dates by phase"
