"""Does a second crew member pay off: the effect on days, on one job, and over a year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.crew import CrewEffect, DayCosts, break_even_speedup, job_days_cost
from costlearn.models.distribution import Draws, Interval
from costlearn.questions import cautions
from costlearn.questions.answer import Answer, Table
from costlearn.questions.crew_year import (
    DRAWS,
    SEED,
    YearGain,
    YearTerms,
    check_terms,
    day_costs,
    usual_wait,
    year_gain,
)
from costlearn.questions.learning import grounds_of, known_totals, latest, predict
from costlearn.questions.speedup import PhaseGain, Speedup, speedup
from costlearn.questions.wording import count_of, say_range
from costlearn.records import History, Job
from costlearn.units import say_days, say_money, say_percent


@dataclass(frozen=True)
class JobGain:
    """One job alone and with a helper throughout: site days, wait days, what its days cost."""

    days_alone: Interval
    days_together: Interval
    wait_days: float
    cost_alone: Interval | None
    cost_together: Interval | None
    cheaper: float | None


@dataclass(frozen=True)
class Crew(Answer):
    """What a second person does to days and money."""

    factor: float | None = None
    interval: Interval | None = None
    faster: float | None = None
    alone: int = 0
    together: int = 0
    by_phase: bool = False
    phases: tuple[PhaseGain, ...] = ()
    break_even: float | None = None
    above_break_even: float | None = None
    job: JobGain | None = None
    year: YearGain | None = None
    points: tuple[tuple[str, float, float, float], ...] = ()
    asks: tuple[str, ...] = ()

    def tables(self) -> tuple[Table, ...]:
        """The effect by phase, the job and the year, as they are to be read."""
        return tuple(t for t in (self._phases(), self._job(), self._year()) if t is not None)

    def _phases(self) -> Table | None:
        if not self.phases:
            return None
        rows = tuple(
            (
                p.name,
                f"{say_percent(p.interval.low)} to {say_percent(p.interval.high)}",
                say_percent(p.factor),
                f"{p.alone} / {p.together}",
            )
            for p in self.phases
        )
        return Table(
            "Site days with two, as a share of the days with one",
            ("phase", "8 in 10", "middle", "records with one / two"),
            rows,
            "Phases are drawn towards the common effect: few records cannot tell them apart.",
        )

    def _job(self) -> Table | None:
        if self.job is None:
            return None
        j, money = self.job, self.grounds.currency
        rows = [
            (
                "site days, 8 in 10",
                say_range(j.days_alone, "site_days", money),
                say_range(j.days_together, "site_days", money),
            ),
            ("wait days, as recorded", say_days(j.wait_days), say_days(j.wait_days)),
        ]
        if j.cost_alone and j.cost_together:
            rows.append(
                (
                    "cost of the days, 8 in 10",
                    say_range(j.cost_alone, "cost", money),
                    say_range(j.cost_together, "cost", money),
                )
            )
        return Table("This job", ("", "alone", "with a second person"), tuple(rows))

    def _year(self) -> Table | None:
        if self.year is None:
            return None
        y, money = self.year, self.grounds.currency
        rows = (
            ("jobs that could be sold", f"{y.backlog:g}"),
            ("jobs done alone", f"{y.jobs_alone:.1f}"),
            ("jobs done with a second person", f"{y.jobs_together:.1f}"),
            ("gain of the year, 8 in 10", say_range(y.gain, "cost", money)),
            ("gain, middle", say_money(y.median, money)),
            ("chance that it pays", say_percent(y.pays)),
        )
        return Table(
            "A year",
            ("", ""),
            rows,
            "Days gained and not sold count nothing unless you value them.",
        )


def crew(
    history: History,
    new: Job | None = None,
    terms: YearTerms | None = None,
    *,
    on: date | None = None,
) -> Crew:
    """What a second person does to site days, to one job, and to a year.

    Args:
        history: the firm's jobs; the firm's day costs are used where stated.
        new: a job to weigh; without one only the effect and the year are answered.
        terms: what the owner states about the year.
        on: the date the question is asked for.

    Raises:
        InputProblem: a stated figure is negative.

    Source: ``costlearn.models.crew``.
    """
    stated = terms or YearTerms()
    check_terms(stated)
    asked = on or (new.day if new else None) or latest(history.usable)
    found = speedup(history)
    if found is None:
        return _cannot_tell(history)
    effect = found.whole
    day = day_costs(history, stated)
    job = _job(history, new, effect, day, asked) if new else None
    year, asks = year_gain(history, effect, day, stated)
    even = break_even_speedup(day) if day else None
    above = effect.chance_below(1 / even) if even else None
    jobs, _ = known_totals(history, "site_days", asked)
    return Crew(
        _sentence(effect, even, above, year, history),
        grounds_of(history, jobs, _notes(found), "as the firm states them; days need none"),
        effect.factor,
        effect.interval(0.8),
        effect.chance_below(1.0),
        effect.alone,
        effect.together,
        found.by_phase,
        found.phases,
        even,
        above,
        job,
        year,
        _points(jobs),
        asks,
        cautions=(cautions.HIRING, cautions.NEW_WORKER, cautions.WET),
    )


def _job(
    history: History, new: Job, effect: CrewEffect, day: DayCosts | None, asked: date | None
) -> JobGain | None:
    """The job alone and with a helper; None where site days cannot be predicted."""
    alone = replace(new, quoted_on=asked, plan=replace(new.plan, crew=1.0))
    prediction = predict(history, alone, "site_days")
    if prediction is None:
        return None
    wait = usual_wait(history, new)
    days = prediction.spread.sample(DRAWS, SEED)
    factor = effect.sample(DRAWS, SEED + 1)
    together = Draws.of(days * factor)
    cost_alone = cost_together = cheaper = None
    if day:
        first = np.array([job_days_cost(d, wait, None, day) for d in days])
        second = np.array(
            [job_days_cost(d, wait, 1 / f, day) for d, f in zip(days, factor, strict=True)]
        )
        cost_alone, cost_together = Draws.of(first).interval(0.8), Draws.of(second).interval(0.8)
        cheaper = float(np.mean(second < first))
    return JobGain(
        prediction.spread.interval(0.8),
        together.interval(0.8),
        wait,
        cost_alone,
        cost_together,
        cheaper,
    )


def _points(jobs: Sequence[Job]) -> tuple[tuple[str, float, float, float], ...]:
    """Name, floor area, site days and crew size of each job, for the picture."""
    return tuple(
        (j.name, j.area_sqft, days, size)
        for j in jobs
        if j.area_sqft and (days := ms.observed(j, "site_days")) and (size := ms.crew_of(j))
    )


def _cannot_tell(history: History) -> Crew:
    return Crew(
        "Your records cannot tell what a second person does: at least 2 finished jobs done alone "
        "and 2 done by two, each with its site days and crew size, are needed. The most valuable "
        "thing to write down is who worked on which phase each day.",
        grounds_of(history, history.usable),
        known=False,
        cautions=(cautions.HIRING,),
    )


def _sentence(
    effect: CrewEffect,
    even: float | None,
    above: float | None,
    year: YearGain | None,
    history: History,
) -> str:
    low, high = effect.interval(0.8).low, effect.interval(0.8).high
    text = (
        f"With two, the days on site fall to {say_percent(low)} to {say_percent(high)} of what one "
        f"needs (middle {say_percent(effect.factor)}); wait days stay."
    )
    if even is not None and above is not None:
        text += (
            f" A helper costs what the gained days are worth at a speed-up of {even:.2f}, if you "
            f"can sell those days; the odds that yours is above that are {say_percent(above)}."
        )
    if year is not None:
        money = history.firm.currency
        text += (
            f" Over a year with {year.backlog:g} jobs to be sold, a second person on every job "
            f"{'earns' if year.median >= 0 else 'costs'} about "
            f"{say_money(abs(year.median), money)} ({say_range(year.gain, 'cost', money)}); "
            f"it pays in {say_percent(year.pays)} of cases."
        )
    return text


def _notes(found: Speedup) -> tuple[str, ...]:
    effect = found.whole
    source = "phases whose crew is written down" if found.by_phase else "whole jobs"
    return (
        f"Learned from {source}, size and scope held equal: {count_of(effect.alone, 'record')} "
        f"with one person, {count_of(effect.together, 'record')} with two",
        "First guess before your records: two people need 70 % of the days, 48 to 103 % (trade "
        "judgement, no source)",
        "Wait days are taken as lost to the year; jobs are drawn from those on file",
    )
