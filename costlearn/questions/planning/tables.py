"""The tables of a job on the calendar: the likely plan, and the finish."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.models.distribution import Interval
from costlearn.questions.answer import Table
from costlearn.questions.calendar import Waits
from costlearn.questions.planning.dates import day, days_within, short, short_between
from costlearn.questions.planning.spans import SHOWN_WAIT, Finish, Span
from costlearn.questions.wording import say_list
from costlearn.units import say_days, say_odds


def spans_table(spans: Sequence[Span], waits: Waits | None, week: str) -> Table | None:
    """The likely plan, a row a phase; None where phases are not told apart."""
    if not spans or waits is None:
        return None
    helped = any(s.helper for s in spans)
    rows = tuple(
        (
            s.name,
            *(("helper" if s.helper else "",) if helped else ()),
            short(s.first),
            short(s.last),
            days_within(s.site),
            say_days(s.wait) if s.wait >= SHOWN_WAIT else "",
            short_between(s.begins),
            short_between(s.ends),
        )
        for s in spans
    )
    return Table(
        f"The likely plan, {week}",
        (
            "phase",
            *(("with",) if helped else ()),
            "first day",
            "last day",
            "on site",
            "then wait",
            "begins",
            "ends",
        ),
        rows,
        f"First and last day: middle of such jobs; days on site, begins and ends: 8 jobs in 10. "
        f"Waits: {waits.source}; on average, the same with any crew.",
    )


def finish_table(
    finish: Finish, elapsed: Interval, middle: float | None, maybe: Sequence[tuple[str, float]]
) -> Table:
    """Earliest, likely and late finish; ``maybe`` are phases that fewer than half have."""
    rows = [
        ("early", day(finish.early), "1 in 10", say_days(elapsed.low)),
        ("likely", day(finish.likely), "5 in 10", say_days(middle)),
        ("late", day(finish.late), "9 in 10", say_days(elapsed.high)),
    ]
    note = ""
    if maybe:
        said = [f"{name.lower()} ({say_odds(chance)})" for name, chance in maybe]
        note = f"Counted, but not on the plan, since fewer than half have it: {say_list(said)}."
    return Table(
        "Finish", ("", "last day on site", "done by then", "working days"), tuple(rows), note
    )
