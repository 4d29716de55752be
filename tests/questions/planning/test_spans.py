"""Waits between phases: which days nobody works on, by hand."""

from __future__ import annotations

from datetime import date

import pytest

from costlearn.firm import Firm
from costlearn.models.distribution import Interval
from costlearn.questions.planning.spans import Span, waits_between

WEEK = Firm().workdays


def span(phase: str, first: date, last: date, wait: float) -> Span:
    """A phase on its days, with a wait after it."""
    return Span(
        phase, phase, 1.0, first, last, (first, first), (last, last),
        Interval(0.8, 1.0, 2.0), 1.5, wait, False, 5, (0.0, 1.0, 1.0 + wait),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("wait", "next_day", "days"),
    [
        # Board is done on Wednesday 13 January 2027; tile begins on Monday 18.
        (2.0, date(2027, 1, 18), [(date(2027, 1, 14), date(2027, 1, 15))]),
        # So short a wait is not what the gap is for.
        (0.1, date(2027, 1, 18), []),
        # Tile begins the day after: the wait falls within the days of work.
        (2.0, date(2027, 1, 14), []),
    ],
)
def test_days_between_two_phases_are_a_wait_if_one_is_on_file(
    wait: float, next_day: date, days: list[tuple[date, date]]
) -> None:
    board = span("board", date(2027, 1, 11), date(2027, 1, 13), wait)
    tile = span("tile", next_day, date(2027, 1, 22), 0.0)
    found = waits_between([board, tile], WEEK)
    assert [(w.first, w.last) for w in found] == days
    assert all((w.phase, w.days) == ("board", wait) for w in found)


def test_a_weekend_alone_is_no_wait() -> None:
    board = span("board", date(2027, 1, 11), date(2027, 1, 15), 1.0)
    tile = span("tile", date(2027, 1, 18), date(2027, 1, 22), 0.0)
    assert waits_between([board, tile], WEEK) == ()
