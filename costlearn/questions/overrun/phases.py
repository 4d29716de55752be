"""One phase against plan: pooled over phases and jobs, and whether it is signal or luck."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from costlearn.models.distribution import Interval
from costlearn.models.ladder import LabourVariance
from costlearn.models.pooling import PooledGroups, called_over, called_under, pool
from costlearn.models.signal import false_discoveries, luck_above
from costlearn.questions.overrun.records import Record
from costlearn.vocabulary import standard

MATTERS = 1.05
"""A phase runs over only if it is above plan by more than this (trade judgement, no source)."""
SURE, LIKELY = 0.95, 0.8
FEWEST_CALLED = 3
"""With fewer records than this nothing but "could be luck" is said of a phase."""
FEWEST_SURE = 4
"""With fewer nothing more than "probably": three that agree by luck pass for a phase that scatters
little, and of the calls on 3 records only 85 of 100 came true (``tests/bench/overruns.py``)."""
MUCH = 1.1
"""The overrun whose odds on the next job are told."""


@dataclass(frozen=True)
class PhaseOverrun:
    """One phase in one target.

    ``ratio`` and ``interval`` (80 %) are pooled over phases and jobs; ``raw`` is the geometric mean
    of its own records. ``chance``: that it truly runs over plan by more than 5 %; ``survives``:
    that this stands after correction for all phases looked at (as ``survives_under`` for under
    plan); ``next_over``: that its next record exceeds plan by more than 10 %. ``at_stake``: what
    the pooled overrun adds on a year's jobs like those on file. ``adjusted``: the plain test's
    p-value corrected for the number of phases. ``unusual`` names jobs outside the limits of a
    single-value chart.
    """

    phase: str
    name: str
    target: str
    ratio: float
    interval: Interval
    raw: float
    median_raw: float
    share_over: float
    records: int
    chance: float
    chance_under: float
    next_over: float
    at_stake: float
    per_job: float
    adjusted: float | None
    unusual: tuple[str, ...]
    stake: Interval | None = None
    """The 80 % range of ``at_stake``, by what is not known of the phase's mean."""
    variance: LabourVariance | None = None
    survives: bool = False
    survives_under: bool = False

    @property
    def verdict(self) -> str:
        """Signal or luck, in the words shown."""
        if self.records < FEWEST_CALLED:
            return "could be luck"
        enough = self.records >= FEWEST_SURE
        if enough and self.chance >= SURE and self.survives:
            return "runs over"
        if self.chance >= LIKELY:
            return "probably runs over"
        if enough and self.chance_under >= SURE and self.survives_under:
            return "runs under"
        if self.chance_under >= LIKELY:
            return "probably runs under"
        return "could be luck"


def pooled_phases(records: Sequence[Record]) -> tuple[PooledGroups, list[str]]:
    """Pool records with a plan; the groups, and the phases in their order."""
    order = sorted({r.phase for r in records}, key=lambda p: (_place(p), p))
    code = {p: i for i, p in enumerate(order)}
    jobs = {k: i for i, k in enumerate(dict.fromkeys(r.job for r in records))}
    pooled = pool(
        [log(r.ratio) for r in records],
        [code[r.phase] for r in records],
        [jobs[r.job] for r in records],
    )
    return pooled, order


def judge(
    records: Sequence[Record],
    pooled: PooledGroups,
    order: Sequence[str],
    share: float,
    unusual: Mapping[str, tuple[str, ...]],
    variances: Mapping[str, LabourVariance],
    target: str,
) -> list[PhaseOverrun]:
    """Every phase of one target.

    Args:
        records: those with a plan.
        pooled: from :func:`pooled_phases`, with ``order``.
        order: the phases as pooled.
        share: what turns sums over the records into sums a year.
        unusual: names of odd jobs by phase.
        variances: labour variances by phase.
        target: what the records are in.
    """
    by_phase: dict[str, list[Record]] = {p: [] for p in order}
    for r in records:
        by_phase[r.phase].append(r)
    tested = [p for p in order if len(by_phase[p]) >= FEWEST_CALLED]
    adjusted: dict[str, float] = {}
    if tested:
        luck = [luck_above([log(r.ratio) for r in by_phase[p]], log(MATTERS)) for p in tested]
        adjusted = dict(zip(tested, false_discoveries(luck).adjusted, strict=True))
    over, under = called_over(pooled, MATTERS, SURE), called_under(pooled, 1 / MATTERS, SURE)
    found = []
    for i, p in enumerate(order):
        one = pooled.groups[i]
        planned = sum(r.planned for r in by_phase[p])
        ratios = np.array([r.ratio for r in by_phase[p]])
        found.append(
            PhaseOverrun(
                p,
                standard().phase_name(p),
                target,
                exp(one.mean),
                one.interval(0.8),
                exp(one.raw),
                float(np.median(ratios)),
                float(np.mean(ratios > 1)),
                one.count,
                one.chance_above(MATTERS),
                1 - one.chance_above(1 / MATTERS),
                pooled.chance_next_above(i, MUCH),
                (exp(one.mean) - 1) * planned * share,
                (exp(one.mean) - 1) * planned / len(ratios),
                adjusted.get(p),
                unusual.get(p, ()),
                _stake(one.interval(0.8), planned * share),
                variances.get(p),
                over[i],
                under[i],
            )
        )
    return found


def stake_of(
    records: Sequence[Record],
    pooled: PooledGroups,
    order: Sequence[str],
    share: float,
    over: Collection[str],
) -> Interval | None:
    """What some phases add to cost together, 80 %, their means drawn together; None for none.

    Args as in :func:`judge`; ``over`` holds the phases.
    """
    if not over:
        return None
    planned = np.array([sum(r.planned for r in records if r.phase == p) for p in order])
    wanted = np.array([p in over for p in order])
    together = (pooled.draw_means() - 1) @ (planned * share * wanted)
    return Interval(0.8, float(np.quantile(together, 0.1)), float(np.quantile(together, 0.9)))


def _stake(ratio: Interval, planned: float) -> Interval:
    return Interval(ratio.level, (ratio.low - 1) * planned, (ratio.high - 1) * planned)


def _place(phase: str) -> int:
    return standard().phase_order.get(phase, 99)
