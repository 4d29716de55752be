"""What is told of a job on the calendar."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from costlearn.models.distribution import Interval
from costlearn.questions.answer import Answer, Table
from costlearn.questions.calendar import Waits
from costlearn.questions.planning.holds import Hold, holds_table
from costlearn.questions.planning.spans import Finish, Span, Wait
from costlearn.questions.planning.tables import finish_table, spans_table
from costlearn.records import Job
from costlearn.vocabulary import standard


@dataclass(frozen=True)
class SiteCalendar(Answer):
    """A job on the calendar.

    Days are working days of ``week``. ``elapsed`` counts from first to last day on site, ``site``
    the days of work in it (None where only first to last is known), ``off`` all others: ``waits``
    and, where jobs tell, gaps. Intervals hold 8 in 10.
    """

    job: Job
    start: date
    week: str = ""
    finish: Finish | None = None
    elapsed: Interval | None = None
    elapsed_middle: float | None = None
    site: Interval | None = None
    site_middle: float | None = None
    off: Interval | None = None
    off_middle: float | None = None
    waits: Waits | None = None
    spans: tuple[Span, ...] = ()
    pauses: tuple[Wait, ...] = ()
    maybe: tuple[tuple[str, float], ...] = ()
    holds: tuple[Hold, ...] = ()
    helper: tuple[str, ...] = ()
    asked_on: date | None = None

    def tables(self) -> tuple[Table, ...]:
        """Phase by phase, the finish, hold points."""
        if not self.known or self.finish is None or self.elapsed is None:
            return ()
        names = {s.phase: s.name for s in self.spans} | _names()
        found = (
            spans_table(self.spans, self.waits, self.week),
            finish_table(self.finish, self.elapsed, self.elapsed_middle, self.maybe),
            holds_table(self.holds, names),
        )
        return tuple(t for t in found if t is not None)


def _names() -> dict[str, str]:
    return {p.key: p.name for p in standard().phases}
