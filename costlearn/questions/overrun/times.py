"""When phases run over: charts of single jobs in time order, steps that are no luck, learning."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp

import numpy as np

from costlearn.models.changes import Slope, learning_slope, steps
from costlearn.models.signal import false_discoveries, run_rules, single_value_limits
from costlearn.questions.overrun.records import Record
from costlearn.units import say_percent
from costlearn.vocabulary import standard

FEWEST_CHARTED = 8
"""A chart of fewer jobs says nothing about what is usual."""
FEWEST_LEARNED = 10
MOST_LUCK = 0.05
"""A step or slope is told only if luck shows one so clear in at most so many firms."""
Series = tuple[str, str]
"""A target and a phase."""


@dataclass(frozen=True, slots=True)
class Odd:
    """A job that breaks a rule of the chart: its key, the rule, and whether it lies above."""

    job: str
    rule: str
    above: bool


@dataclass(frozen=True)
class TimeChart:
    """Jobs of one phase in time order: keys, dates, ratios; the middle and limits they keep to.

    ``outside`` are the places of jobs beyond the limits, ``odd`` the jobs that break any rule.
    """

    phase: str
    name: str
    target: str
    jobs: tuple[str, ...]
    days: tuple[date | None, ...]
    ratios: tuple[float, ...]
    middle: float
    low: float
    high: float
    outside: tuple[int, ...]
    odd: tuple[Odd, ...]


@dataclass(frozen=True)
class Change:
    """A phase that has run otherwise since a date: ratios before and after, drawn together.

    ``luck`` is the chance that a steady firm shows a step as clear in any phase at any date.
    """

    phase: str
    name: str
    target: str
    since: date
    before: float
    after: float
    count_before: int
    count_after: int
    luck: float

    @property
    def sentence(self) -> str:
        """The change in words."""
        what = "cost" if self.target == "cost" else "person-days"
        return (
            f"Since {self.since:%B %Y} {self.name.lower()} runs {against(self.after)} in {what}; "
            f"before, {against(self.before)} ({self.count_before} and {self.count_after} records; "
            f"luck alone shows a step as clear in {_one_in(self.luck)})."
        )


@dataclass(frozen=True)
class Learned:
    """How person-days against plan fell or rose with the number of jobs of a phase done."""

    phase: str
    name: str
    slope: Slope
    adjusted: float

    @property
    def sentence(self) -> str:
        """The slope in words, with what it may be confused with."""
        s = self.slope
        return (
            f"{self.name}: each doubling of the jobs on file goes with "
            f"{say_percent(s.ratio - 1, signed=True)} person-days against plan "
            f"({say_percent(s.low - 1, signed=True)} to {say_percent(s.high - 1, signed=True)}, "
            f"{s.count} records). Practice is one reading; plans that followed prices or "
            f"experience, and another mix of jobs, are others."
        )


@dataclass(frozen=True)
class Times:
    """Everything about when: charts, changes and slopes that survive, how many were looked at."""

    charts: tuple[TimeChart, ...] = ()
    changes: tuple[Change, ...] = ()
    learned: tuple[Learned, ...] = ()
    looked_at: int = 0


def against(ratio: float) -> str:
    """A ratio in words: "12 % over plan".

    >>> against(0.88)
    '12 % under plan'
    """
    if abs(ratio - 1) < 0.005:
        return "on plan"
    return f"{say_percent(abs(ratio - 1))} {'over' if ratio > 1 else 'under'} plan"


def times_of(records: Mapping[str, Sequence[Record]]) -> Times:
    """When phases ran over, from the records with a plan of each target.

    Undated jobs stay in the order on file in charts, and tell nothing of steps or learning.
    """
    everything: dict[Series, list[Record]] = {}
    for target, found in records.items():
        for r in found:
            everything.setdefault((target, r.phase), []).append(r)
    for of_phase in everything.values():
        if all(r.day is not None for r in of_phase):
            of_phase.sort(key=lambda r: (r.day or date.min, r.job))
    charts = tuple(
        _chart(key, rs)
        for key, rs in sorted(everything.items())
        if len(rs) >= FEWEST_CHARTED and _varies(rs)
    )
    series = {
        key: dated
        for key, rs in everything.items()
        if (dated := [r for r in rs if r.day is not None])
    }
    changes, looked = _changes(series)
    return Times(charts, changes, _learned(series), looked)


def _varies(records: Sequence[Record]) -> bool:
    return len({round(r.ratio, 9) for r in records}) > 1


def _chart(key: Series, records: Sequence[Record]) -> TimeChart:
    logs = np.log([r.ratio for r in records])
    limits = single_value_limits(logs)
    flags = run_rules(logs, limits)
    return TimeChart(
        key[1],
        standard().phase_name(key[1]),
        key[0],
        tuple(r.job for r in records),
        tuple(r.day for r in records),
        tuple(r.ratio for r in records),
        exp(limits.middle),
        exp(limits.low),
        exp(limits.high),
        limits.outside,
        tuple(Odd(records[f.at].job, f.rule, f.above) for f in flags),
    )


def _changes(series: Mapping[Series, Sequence[Record]]) -> tuple[tuple[Change, ...], int]:
    """Steps that survive having looked at all phases, both targets and all dates."""
    if not series:
        return (), 0
    keys = sorted(series)
    days = {r.job: r.day or date.min for rs in series.values() for r in rs}
    order = sorted(days, key=lambda job: (days[job], job))
    row = {job: i for i, job in enumerate(order)}
    table = np.full((len(order), len(keys)), np.nan)
    for k, key in enumerate(keys):
        rs = series[key]
        table[[row[r.job] for r in rs], k] = np.log([r.ratio for r in rs])
    found = steps(table)
    told = []
    for s in found:
        if s.luck > MOST_LUCK:
            continue
        n = s.count_before + s.count_after
        middle = (s.count_before * s.before + s.count_after * s.after) / n
        target, phase = keys[s.series]
        told.append(
            Change(
                phase,
                standard().phase_name(phase),
                target,
                days[order[s.at]],
                exp(middle - s.shift * s.count_after / n),
                exp(middle + s.shift * s.count_before / n),
                s.count_before,
                s.count_after,
                s.luck,
            )
        )
    return tuple(sorted(told, key=lambda c: (c.luck, -abs(np.log(c.after / c.before))))), len(found)


def _learned(series: Mapping[Series, Sequence[Record]]) -> tuple[Learned, ...]:
    """Learning curves of person-days against plan that survive having looked at all phases."""
    fitted = [
        (phase, learning_slope([r.ratio for r in rs]))
        for (target, phase), rs in sorted(series.items())
        if target == "person_days" and len(rs) >= FEWEST_LEARNED and _varies(rs)
    ]
    if not fitted:
        return ()
    corrected = false_discoveries([s.luck for _, s in fitted], MOST_LUCK)
    return tuple(
        Learned(phase, standard().phase_name(phase), slope, adjusted)
        for (phase, slope), adjusted, kept in zip(
            fitted, corrected.adjusted, corrected.rejected, strict=True
        )
        if kept
    )


def _one_in(luck: float) -> str:
    return f"1 firm in {round(1 / luck):,}"
