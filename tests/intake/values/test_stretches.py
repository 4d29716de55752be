"""Clock times in one cell are hours worked; what may be two lengths is none until asked."""

from __future__ import annotations

import pytest

from costlearn.intake.values.stretches import holds_stretches, read_stretch


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("7:30-4", 8.5),
        ("7.30 - 16", 8.5),
        ("8-3", 7.0),
        ("8-12", 4.0),
        ("7:30-10:30", 3.0),
        ("730-1600", 8.5),
        ("7h30-16h", 8.5),
        ("7:30am to 4pm", 8.5),
        ("8-12, 1-4:30", 7.5),
        ("8 to 12 and 12:30 to 4", 7.5),
        ("8-12; 1-5; 6-7", 9.0),
        ("7:30-4 (lunch 30)", 8.0),
        ("8-4:30, 30 min lunch", 8.0),
        ("8-4:30 less 30", 8.0),
        ("7:30-4 (1 h lunch)", 7.5),
        ("8-4, no lunch", 8.0),
    ],
)
def test_the_hours_between_times_of_day(text: str, hours: float) -> None:
    reading = read_stretch(text)
    assert reading is not None
    assert reading.value == hours


@pytest.mark.parametrize("text", ["7:30", "8", "10-12 days", "2025-03-01", "5-6 h", "half day"])
def test_what_is_no_two_times_of_day_is_read_elsewhere(text: str) -> None:
    assert read_stretch(text) is None


def test_two_lengths_of_a_day_are_a_choice_and_no_figure() -> None:
    reading = read_stretch("7-8")
    assert reading is not None
    assert reading.value is None
    assert reading.choices == (1.0, 13.0)


def test_a_break_without_its_length_is_no_figure() -> None:
    reading = read_stretch("8-4:30 (lunch)")
    assert reading is not None
    assert reading.value is None
    assert "break" in reading.problem


def test_a_range_of_hours_is_taken_for_times_only_beside_times() -> None:
    assert not holds_stretches(["6-8", "8-10", "7"])
    assert holds_stretches(["8-12", "8-3"])
    assert holds_stretches(["8-12", "7:30-10"])
