"""What the jobs left against the overhead of their time, and what came off it unseen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from costlearn.firm import Firm
from costlearn.questions.earning.takings import Taking
from costlearn.questions.overrun.advice import CallbackSum, Extras, callbacks_of, extras_of
from costlearn.questions.overrun.records import jobs_per_year
from costlearn.records import Job

YEAR = 365.25


@dataclass(frozen=True, slots=True)
class YearSum:
    """One calendar year: the jobs that ended in it, what they left, the overhead of its part.

    Money at one price level; ``share`` is the part of the year that lies within the jobs on file.
    """

    year: int
    jobs: int
    left: float
    overhead: float
    share: float

    @property
    def over(self) -> float:
        """What is left beyond overhead; below zero it fell short."""
        return self.left - self.overhead


@dataclass(frozen=True)
class Recovered:
    """Overhead recovered against overhead spent, over the span of the jobs on file.

    ``uncounted`` finished jobs say no price or no direct cost, so that what they left is missing.
    """

    first: date
    last: date
    years: tuple[YearSum, ...]
    left: float
    overhead: float
    per_day: float
    working_days: float
    uncounted: int

    @property
    def over(self) -> float:
        """What is left beyond overhead; below zero it fell short."""
        return self.left - self.overhead


@dataclass(frozen=True)
class Unseen:
    """What call-backs and extras nobody paid for cost: as counted, and a year of it.

    Money and days as written down. ``share`` turns a sum over the jobs on file into one of a year;
    None with less than a year of them.
    """

    callbacks: tuple[CallbackSum, ...]
    extras: Extras
    share: float | None

    @property
    def callback_cost(self) -> float | None:
        """What call-backs cost over all jobs; None where no cost of any is known."""
        known = [c.cost for c in self.callbacks if c.cost is not None]
        return sum(known) if known else None

    @property
    def callback_days(self) -> float | None:
        """Person-days of call-backs over all jobs."""
        known = [c.person_days for c in self.callbacks if c.person_days is not None]
        return sum(known) if known else None

    @property
    def cost(self) -> float | None:
        """Both together over all jobs; None where neither is known."""
        known = [v for v in (self.callback_cost, self.extras.cost) if v is not None]
        return sum(known) if known else None


def unseen_of(jobs: Sequence[Job]) -> Unseen:
    """What call-backs and unbilled extras cost, over jobs whose books are closed."""
    yearly = jobs_per_year(jobs)
    share = yearly / len(jobs) if yearly and jobs else None
    return Unseen(callbacks_of(jobs), extras_of(jobs), share)


def recovered(firm: Firm, found: Sequence[Taking], finished: int) -> Recovered | None:
    """Overhead recovered against spent; None without stated overhead or dated jobs of a span.

    Spent is the overhead of a working day, as it is now, times the working days of the span from
    the first start to the last finish on file.

    Args:
        firm: its overhead and working days a year.
        found: the jobs with what they left.
        finished: how many finished jobs there are in all.
    """
    dated = [t for t in found if t.day is not None]
    per_day, days = firm.overhead_per_day, firm.working_days_per_year
    if per_day is None or days is None or len(dated) < 2:
        return None
    ends = [t.day for t in dated if t.day]
    first, last = min(t.started or t.day or ends[0] for t in dated), max(ends)
    if first >= last:
        return None
    years = tuple(
        _year(year, dated, per_day * days, first, last) for year in range(first.year, last.year + 1)
    )
    working = days * ((last - first).days + 1) / YEAR
    return Recovered(
        first,
        last,
        years,
        sum(t.left for t in dated),
        per_day * working,
        per_day,
        working,
        finished - len(dated),
    )


def _year(year: int, dated: Sequence[Taking], overhead: float, first: date, last: date) -> YearSum:
    """One calendar year, of which the span may cover a part."""
    mine = [t.left for t in dated if t.day and t.day.year == year]
    start, end = max(first, date(year, 1, 1)), min(last, date(year, 12, 31))
    share = ((end - start).days + 1) / YEAR
    return YearSum(year, len(mine), sum(mine), overhead * share, share)
