"""Times of day to the hours between them, breaks, and hours of several people in one cell."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.intake.values.cells import Raw
from costlearn.intake.values.clocks import LONGEST_SHIFT, Clock, read_clock, read_pause, shifts
from costlearn.intake.values.gangs import Gang, read_gang


def ends(*texts: Raw) -> list[Clock]:
    read = [read_clock(text) for text in texts]
    assert all(read)
    return [clock for clock in read if clock]


@pytest.mark.parametrize(
    ("raw", "hour", "settled"),
    [
        ("7:30", 7.5, False), ("07:30", 7.5, False), ("16:00", 16, True), ("4", 4, False),
        ("730", 7.5, False), ("1630", 16.5, True), ("7h30", 7.5, False), ("16.30", 16.5, True),
        ("4:15 p.m.", 16.25, True), ("7am", 7, True), ("12 am", 0, True), ("noon", 12, True),
        (time(7, 45), 7.75, False), (time(16, 0), 16, True), (timedelta(hours=7), 7, False),
        (datetime(2024, 5, 1, 7, 30), 7.5, True), (7.5, 7.5, False), (730, 7.5, False),
    ],
)  # fmt: skip
def test_a_time_of_day(raw: Raw, hour: float, settled: bool) -> None:
    assert read_clock(raw) == Clock(hour, settled)


@pytest.mark.parametrize(
    "raw", [None, "", "7.5", "7.20", "25", "13 pm", "8 h", "lunch", "2024-01-01", 7.3, True,
            date(2024, 5, 1)]
)  # fmt: skip
def test_no_time_of_day(raw: Raw) -> None:
    assert read_clock(raw) is None


@pytest.mark.parametrize(
    ("texts", "hours"),
    [
        (("7:30", "4"), (8.5,)),
        (("7:30 am", "4:00 pm"), (8.5,)),
        (("22:00", "02:00"), (4.0,)),
        (("8:00", "11:30"), (3.5, 15.5)),
        (("8", "12", "12:30", "4:30"), (8.0,)),
        (("8:00", "11:30", "12:00", "4:00"), (7.5,)),
        (("1:30 am", "6:45 pm"), ()),
        (("8:00", "8:00"), (12.0,)),
    ],
)
def test_the_hours_between(texts: tuple[str, ...], hours: tuple[float, ...]) -> None:
    assert shifts(ends(*texts)) == hours


def test_a_clock_of_24_hours_leaves_one_reading_of_a_short_morning() -> None:
    assert shifts(ends("08:00", "11:30"), by_24=True) == (3.5,)
    assert shifts(ends("7:30", "4:00"), by_24=True) == (8.5,)
    assert shifts(ends("08:00", "08:00"), by_24=True) == ()


@given(st.integers(0, 95), st.integers(1, 63))
def test_any_day_of_work_is_among_its_readings(start: int, quarters: int) -> None:
    """True of any day under 16 hours, however its ends are written."""
    end = (start + quarters) % 96
    whole = [Clock(at / 4, settled=True) for at in (start, end)]
    assert shifts(whole) == (quarters / 4,)
    halves = [Clock(at / 4 % 12, settled=False) for at in (start, end)]
    assert quarters / 4 in shifts(halves)
    assert all(0 < hours < LONGEST_SHIFT for hours in shifts(halves))


@pytest.mark.parametrize(
    ("raw", "hours"),
    [
        ("30", 0.5), (30, 0.5), ("0:30", 0.5), ("0h30", 0.5), ("1/2 h", 0.5), ("½ h", 0.5),
        (".5", 0.5), (0.5, 0.5), ("30 min", 0.5), ("45m", 0.75), ("half hour", 0.5), ("1 hr", 1),
        ("an hour", 1), (1, 1), ("12-12:30", 0.5), (time(0, 45), 0.75), ("none", 0), ("-", 0),
        (None, 0), (0, 0), ("no", 0),
    ],
)  # fmt: skip
def test_a_break(raw: Raw, hours: float) -> None:
    assert read_pause(raw).value == pytest.approx(hours)


def test_a_break_that_is_only_marked_or_unclear() -> None:
    assert read_pause("yes") == read_pause("x")
    assert (read_pause("yes").value, read_pause("yes").note) == (None, "yes")
    assert read_pause("3").problem and read_pause("soup").problem
    assert read_pause("3", minutes=True).value == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("text", "gang"),
    [
        ("8 ea", Gang(8, None, True)), ("7.5h each", Gang(7.5, None, True)),
        ("8 per man", Gang(8, None, True)), ("2 men 7 hrs", Gang(7, 2, True)),
        ("two guys 7.5", Gang(7.5, 2, True)), ("2 men @ 7:30", Gang(7.5, 2, True)),
        ("8h (2 men)", Gang(8, 2, True)), ("2 x 8", Gang(8, 2, True)),
        ("8 x 2", Gang(8, 2, True)), ("8 + 2 OT", Gang(10)), ("8+2", Gang(10)),
        ("8 reg + 1.5 ot", Gang(9.5)),
        ("8", None), ("2 men", None), ("8 (2 OT)", None), ("5x8", None), ("5x8 tub", None),
    ],
)  # fmt: skip
def test_hours_of_several(text: str, gang: Gang | None) -> None:
    assert read_gang(text) == gang
