"""Does a second crew member pay off: the effect on days, on one job, and over a year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from costlearn.errors import InputProblem
from costlearn.features import measures as ms
from costlearn.models.crew import break_even_speedup
from costlearn.models.distribution import Interval
from costlearn.questions import cautions
from costlearn.questions.answer import Answer, Table
from costlearn.questions.crewing import words as crew_words
from costlearn.questions.crewing.job import JobGain, job_gain
from costlearn.questions.crewing.speedup import BELIEF, PhaseGain, Silence, Speedup, listen
from costlearn.questions.crewing.what_if import WhatIf, what_if
from costlearn.questions.crewing.year import (
    YearGain,
    YearTerms,
    asks_of,
    check_terms,
    day_costs,
    year_draws,
    year_gain,
)
from costlearn.questions.learning import grounds_of, known_totals, latest
from costlearn.records import History, Job

CURVE_POINTS = 24


@dataclass(frozen=True)
class Crew(Answer):
    """What a second person does to days and money.

    ``factor`` and ``interval`` are of days on site, ``work`` of person-days, each with two over
    alone. ``faster`` is the chance that two are faster at all, ``shown`` the same as the records
    alone show it. ``belief`` is the owner's range where he stated one, ``believed`` True if the
    answer rests on it alone. ``points`` are name, floor area, site days and crew of past jobs;
    ``curves`` floor area with the days alone and with two that go with it on average.
    """

    factor: float | None = None
    interval: Interval | None = None
    work: Interval | None = None
    faster: float | None = None
    shown: float | None = None
    alone: int = 0
    together: int = 0
    by_phase: bool = False
    explained: float = 0.0
    belief: Interval | None = None
    believed: bool = False
    phases: tuple[PhaseGain, ...] = ()
    break_even: float | None = None
    above_break_even: float | None = None
    job: JobGain | None = None
    year: YearGain | None = None
    what_if: WhatIf | None = None
    points: tuple[tuple[str, float, float, float], ...] = ()
    curves: tuple[tuple[float, float, float], ...] = ()
    asks: tuple[str, ...] = ()

    def tables(self) -> tuple[Table, ...]:
        """The effect, phase by phase, the job, the year and what it hangs on, as to be read."""
        if not self.known:
            return ()
        money = self.grounds.currency
        found = (
            crew_words.effect_table(
                self.interval, self.factor, self.work, self.break_even, self.above_break_even
            ),
            crew_words.phases_table(self.phases),
            *crew_words.job_tables(self.job, money),
            *crew_words.year_tables(self.year, money),
            crew_words.lever_table(self.what_if, money),
        )
        return tuple(crew_words.marked(t, self.belief) for t in found if t is not None)


def crew(
    history: History,
    new: Job | None = None,
    terms: YearTerms | None = None,
    *,
    on: date | None = None,
    belief: tuple[float, float] | None = None,
) -> Crew:
    """What a second person does to site days, to one job, and to a year.

    Args:
        history: the firm's jobs; the firm's day costs are used where stated.
        new: a job to weigh; without one only the effect and the year are answered.
        terms: what the owner states about the year; a contribution left open is the firm's own.
        on: the date the question is asked for.
        belief: what the owner believes of days with two over days alone, a range that holds 8 times
            in 10, such as (0.6, 0.85). Marked as a belief wherever it counts.

    Raises:
        InputProblem: a stated figure is negative, or a belief is no range.

    Source: ``costlearn.models.crew``, ``costlearn.models.crew_year``.
    """
    stated = terms or YearTerms()
    if stated.contribution is None:
        stated = replace(stated, contribution=history.firm.contribution)
    check_terms(stated)
    _check_belief(belief)
    asked = on or (new.day if new else None) or latest(history.usable)
    found = listen(history, belief, new)
    if isinstance(found, Silence):
        return _cannot_tell(history, found)
    return _answer(history, new, stated, asked, found, Interval(0.8, *belief) if belief else None)


def _answer(
    history: History,
    new: Job | None,
    terms: YearTerms,
    asked: date | None,
    found: Speedup,
    belief: Interval | None,
) -> Crew:
    effect, money = found.whole, history.firm.currency
    day = day_costs(history, terms)
    job = job_gain(history, new, found, day, asked, terms.free_day) if new else None
    drawn = year_draws(history, found, day, terms, asked)
    year = year_gain(drawn, terms) if drawn else None
    even = break_even_speedup(day) if day else None
    jobs, _ = known_totals(history, "site_days", asked)
    days = effect.interval(0.8)
    points = _points(jobs)
    notes = crew_words.notes(found, belief, history, year)
    unweighed = crew_words.UNWEIGHED if new and job is None else ""
    return Crew(
        crew_words.sentence(found, job, year, belief, money) + unweighed,
        grounds_of(history, jobs, notes, "as the firm states them; days need none"),
        effect.factor,
        days,
        Interval(0.8, 2 * days.low, 2 * days.high),
        effect.chance_below(1.0),
        None if found.believed else effect.shown_below(1.0),
        effect.alone,
        effect.together,
        found.by_phase,
        found.explained,
        belief,
        found.believed,
        found.phases,
        even,
        effect.chance_below(1 / even) if even else None,
        job,
        year,
        what_if(drawn, found, terms, money) if drawn else None,
        points,
        _curves(points, found),
        asks_of(history, day, terms),
        cautions=(cautions.HIRING, cautions.NEW_WORKER, cautions.WET, cautions.TWO_NEEDED),
    )


def _check_belief(belief: tuple[float, float] | None) -> None:
    if belief and not 0.2 <= belief[0] < belief[1] <= 2.0:
        raise InputProblem(
            f"a belief of {belief[0]:g} to {belief[1]:g}",
            expected="days with two as a share of days alone, smaller number first, within 0.2 "
            "to 2, such as 0.6-0.85",
        )


def _points(jobs: Sequence[Job]) -> tuple[tuple[str, float, float, float], ...]:
    """Name, floor area, site days and crew size of each job, for the picture."""
    return tuple(
        (j.name, j.area_sqft, days, size)
        for j in jobs
        if j.area_sqft and (days := ms.observed(j, "site_days")) and (size := ms.crew_of(j))
    )


def _curves(
    points: Sequence[tuple[str, float, float, float]], found: Speedup
) -> tuple[tuple[float, float, float], ...]:
    """Floor area, days alone and days with two: a power of the area through the jobs.

    The jobs are brought to one person by the effect first, so that both curves differ by it alone.
    """
    if len(points) < 3:
        return ()
    area, days, size = (np.array([p[k] for p in points], dtype=float) for k in (1, 2, 3))
    x, y = np.log(area), np.log(days) - found.whole.mean * np.log2(size)
    spread = float(np.sum((x - x.mean()) ** 2))
    if spread <= 0:
        return ()
    # Ridge of two jobs' worth towards a power of .45, the first guess of all size columns.
    power = (float(np.sum((x - x.mean()) * (y - y.mean()))) + 0.45 * 0.2) / (spread + 0.2)
    at = np.linspace(area.min(), area.max(), CURVE_POINTS)
    alone = np.exp(y.mean() + power * (np.log(at) - x.mean()))
    both = alone * found.whole.factor
    return tuple(zip(at.tolist(), alone.tolist(), both.tolist(), strict=True))


def _cannot_tell(history: History, why: Silence) -> Crew:
    return Crew(
        f"Your records cannot tell what a second person does: {why.reason}. The most valuable "
        "thing to write down is who worked on which phase each day.",
        grounds_of(history, history.usable, (why.needs,)),
        known=False,
        asks=(BELIEF,),
        cautions=(cautions.HIRING,),
    )
