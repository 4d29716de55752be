"""What makes records doubtful as a whole, in sentences, and how much wider that makes a range.

Single records that look wrong are listed by ``costlearn.questions.attention``. Here are doubts that
no interval can hold, since all records share them: costs copied from plans, jobs alike to the
cent, nothing but failures on file, a level of prices that only the last jobs saw.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, hypot, log

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.distribution import Floats, LogSpread
from costlearn.models.regression import LeaveOneOut
from costlearn.questions.wording import count_of
from costlearn.records import History, Job
from costlearn.units import say_percent

HALF_A_CENT = 0.005
KIND_SD = 0.86
"""Log points: a kind never done costs a third to three times the others, 8 in 10 (trade judgement,
no source)."""
KIND_SD_QUOTED = 0.2
"""The same for a job with a quote of its own, which knows of the kind (trade judgement)."""
LAST = (2, 3)
"""So many of the newest jobs may be the first to have seen a jump; one alone is any odd job."""
BEFORE = 6
CLEAR = 2.4
"""How far those must lie off together, in spreads of their mean (``tests/attack``: 1 sound history
in 100)."""
EACH = 0.9
FEWEST = 8
"""Jobs from which "all of them" says something."""
OVER = 1.03
TOO_EVEN = 0.01
"""Log points: jobs that lie closer together than this were hardly counted (trade judgement)."""
USUAL_SD = 0.3
"""Spread of jobs in log points where those on file cannot show it (trade judgement, no source)."""
MOST = 0.5


@dataclass(frozen=True)
class Doubts:
    """Sentences, the weightiest first; ``grave`` if no verdict should rest on such records.

    ``gap`` is how far the newest jobs lie off the others (:func:`recent_gap`).
    """

    said: tuple[str, ...] = ()
    grave: bool = False
    gap: float = 0.0

    @property
    def first(self) -> str:
        """The weightiest, to be put behind an answer; empty if there is none."""
        return f" {self.said[0]}" if self.said else ""


NO_DOUBTS = Doubts()


def doubts_of(jobs: Sequence[Job], totals: Floats, gap: float, target: str = "cost") -> Doubts:
    """What there is to doubt in the records that teach a target.

    Args:
        jobs: those that teach it.
        totals: what they came to, shape (n,).
        gap: how far the newest lie off the others in log points (:func:`recent_gap`), 0 for none.
        target: one of ``features.measures.TARGETS``.
    """
    grave = [*_copied(jobs, target), *_jumped(gap, target), *_even(totals)]
    told = (*grave, *only_over([_ratio(j, target) for j in jobs]))
    return Doubts(told, bool(grave), gap)


def _copied(jobs: Sequence[Job], target: str) -> list[str]:
    copies = sum(is_plan(j) for j in jobs)
    if target != "cost" or copies < MOST * len(jobs) or copies < 2:
        return []
    which = "All" if copies == len(jobs) else f"{copies} of"
    return [
        f"{which} {count_of(len(jobs), 'cost')} on file equal the plan to the cent: if they were "
        "copied, this foretells your plans and not what jobs come to."
    ]


def _jumped(gap: float, target: str) -> list[str]:
    if not gap:
        return []
    way = "above" if gap > 0 else "below"
    what = "cost" if target == "cost" else "take"
    return [
        f"Your last jobs {what} {say_percent(abs(exp(gap) - 1))} {way} what the earlier ones lead "
        "to expect: if prices or your work have changed, trust them and not the range."
    ]


def _even(totals: Floats) -> list[str]:
    if not too_even(totals):
        return []
    return [
        f"All {len(totals)} jobs on file came to nearly the same: counted figures spread more, so "
        "the range is a usual one and not your own."
    ]


def too_even(totals: Floats) -> bool:
    """Whether jobs came out closer together than counted figures do."""
    return len(totals) >= 3 and float(np.std(np.log(totals))) < TOO_EVEN


def untaught(totals: Floats, kind_unseen: bool, mixed: bool) -> float:
    """Spread in log points of what no record tells: a kind never done, jobs too even to be true."""
    kind = (KIND_SD_QUOTED if mixed else KIND_SD) if kind_unseen else 0.0
    return hypot(kind, USUAL_SD if too_even(totals) else 0.0)


def is_plan(job: Job) -> bool:
    """Whether the actual cost of a job is its plan's own figure, to the cent."""
    cost, plan = ms.observed(job, "cost"), ms.planned(job, "cost")
    return cost is not None and plan is not None and abs(cost - plan) < HALF_A_CENT


def only_over(ratios: Sequence[float | None]) -> tuple[str, ...]:
    """A sentence if each of many jobs ran over its plan: perhaps the good ones are not on file."""
    known = [r for r in ratios if r is not None]
    if len(known) < FEWEST or min(known) < OVER:
        return ()
    return (
        f"All {len(known)} jobs that have a plan ran over it. If jobs that went well were never "
        "written down, this is too dark; the records cannot show what is not in them.",
    )


def _ratio(job: Job, target: str) -> float | None:
    plan, came = ms.planned(job, target), ms.observed(job, target)
    return came / plan if plan and came else None


def recent_gap(days: Sequence[date | None], loo: LeaveOneOut) -> float:
    """How far the newest two or three jobs lie off what the others say, in log points; 0 if little.

    Each is foretold from the others (leave-one-out). They must lie off to one side, each of them,
    and together by more than luck shows in 1 history in 100.

    Args:
        days: the dates of the jobs, None where not known.
        loo: their leave-one-out predictions, in the same order.
    """
    order = [i for _, i in sorted((d, i) for i, d in enumerate(days) if d is not None)]
    found = 0.0
    for last in LAST:
        if len(order) < last + BEFORE:
            continue
        off = loo.errors[order[-last:]]
        mean = float(off.mean())
        if abs(mean) * last**0.5 > CLEAR and bool(np.all(off * np.sign(mean) > EACH)):
            found = float(loo.residuals[order[-last:]].mean())
    return found


def widened(spread: LogSpread, *, kind_sd: float = 0.0, gap: float = 0.0) -> LogSpread:
    """A range made wider for what no record tells; the same where there is nothing.

    Args:
        spread: the range as learned.
        kind_sd: spread in log points of what no record tells (:func:`untaught`), 0 for nothing.
        gap: from :func:`recent_gap`; the range then reaches over the newest level.
    """
    if kind_sd:
        spread = spread.wider(hypot(spread.scale, kind_sd) / spread.scale)
    if gap:
        reach = log(spread.interval(0.8).ratio) / 2
        spread = spread.wider(1 + abs(gap) / reach)
    return spread


def why_few(history: History) -> str:
    """Why fewer jobs speak than are on file, to be put behind "too few"; empty if all do."""
    return "".join(f" {note[:1].upper()}{note[1:]}." for note in notes_on(history))


def notes_on(history: History) -> tuple[str, ...]:
    """What was done about records on file twice, and about costs that are no costs."""
    kept = {j.key for j in history.usable}
    again = [j.name for j in history.jobs if j.usable and j.key not in kept]
    said = []
    if again:
        more = len(again) - 3
        names = ", ".join(again[:3]) + (f" and {more} more" if more > 0 else "")
        said.append(
            f"{count_of(len(again), 'job')} with the very figures of another counted once with it: "
            f"{names}"
        )
    tokens = sum(0 < (j.actual.total or 0) < ms.TOKEN_CENTS for j in history.usable)
    if tokens:
        said.append(
            f"{count_of(tokens, 'direct cost')} under {ms.TOKEN_CENTS // 100} taken as not written "
            "down"
        )
    return tuple(said)
