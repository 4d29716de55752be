"""Whether a quote's days leave room for the waits: planned first to last day against site days."""

from __future__ import annotations

from dataclasses import dataclass

from costlearn.features import measures as ms
from costlearn.models.distribution import Draws, Interval
from costlearn.questions.answer import Table
from costlearn.questions.calendar import between
from costlearn.questions.wording import count_of
from costlearn.records import History, Job
from costlearn.units import say_days

DRAWS = 4096


@dataclass(frozen=True)
class WaitRoom:
    """Working days a quote leaves between its site days, and the wait days such jobs need.

    ``needed`` holds 8 jobs in 10; where ``jobs`` is 0 no job recorded its waits, and the usual ones
    of the trade stand in.
    """

    elapsed: float
    site: float
    needed: Interval
    middle: float
    jobs: int

    @property
    def left(self) -> float:
        """Days the plan leaves for waits; below zero where it has more site days than days."""
        return self.elapsed - self.site

    @property
    def short(self) -> bool:
        """True if the plan leaves fewer days than 9 in 10 such jobs waited."""
        return self.left < self.needed.low - 1e-9

    @property
    def reason(self) -> str:
        """Why the plan is too short, as a clause; empty where it is not."""
        if not self.short:
            return ""
        if self.left < 0:
            return (
                f"more days on site are planned ({_plain(self.site)}) than working days from first "
                f"to last ({_plain(self.elapsed)})"
            )
        left = "no wait day" if self.left < 0.25 else f"{_plain(self.left)} wait days"
        left = "1 wait day" if left == "1 wait days" else left
        if self.jobs:
            return f"the plan leaves {left} where such jobs needed {_range(self.needed)}"
        return (
            f"the plan leaves {left} where {_plain(self.needed.low)} are usual in the trade (none "
            "on file)"
        )


def wait_room(history: History, job: Job) -> WaitRoom | None:
    """The room a quote leaves for waits; None where it plans no elapsed or no site days.

    Nothing is said either where no wait is on file and none is usual for the scope.
    """
    elapsed, site = ms.planned(job, "elapsed_days"), _site_days(job)
    if elapsed is None or site is None:
        return None
    idle = between(history, job, [p.phase for p in job.phases], DRAWS)
    if not idle.wait_jobs and not idle.waits.total:
        return None
    drawn = Draws.of(idle.wait_draws)
    return WaitRoom(elapsed, site, drawn.interval(0.8), drawn.median, idle.wait_jobs)


def _site_days(job: Job) -> float | None:
    """Planned site days of the job, else the sum of its planned phases if each says them."""
    whole = ms.planned(job, "site_days")
    parts = [p.plan.site_days for p in job.phases if not p.plan.empty]
    if whole is not None or not parts:
        return whole
    known = [d for d in parts if d is not None]
    return sum(known) if len(known) == len(parts) else None


def wait_table(room: WaitRoom | None) -> Table | None:
    """Planned days against the waits the calendar needs, as they are to be read."""
    if room is None:
        return None
    row = (
        say_days(room.elapsed),
        say_days(room.site),
        say_days(room.left),
        _in_days(room.needed),
        say_days(room.middle),
        str(room.jobs) if room.jobs else "none",
    )
    source = (
        f"Waits as {count_of(room.jobs, 'job')} recorded them."
        if room.jobs
        else "No wait is on file: the usual ones of the trade stand in."
    )
    return Table(
        "Room for waits in your planned days",
        ("first to last", "on site", "left for waits", "8 in 10 such jobs", "middle", "jobs"),
        (row,),
        f"{source} Drying, curing, tests and inspections take the same with any crew.",
    )


def _plain(days: float) -> str:
    return say_days(days).split(" ", 1)[0]


def _range(interval: Interval) -> str:
    low, high = _plain(interval.low), _plain(interval.high)
    return low if low == high else f"{low} to {high}"


def _in_days(interval: Interval) -> str:
    low, high = _plain(interval.low), say_days(interval.high)
    return high if low == _plain(interval.high) else f"{low} to {high}"
