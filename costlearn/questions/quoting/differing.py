"""Two versions of one job in one figure: what each comes to, and what the second comes to more.

Both versions stand in one regression, so that the effects of columns and the job's own error are
common to both (``costlearn.models.twoways``). Nothing is computed by taking one range off another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costlearn.features.beliefs import all_believed, believed
from costlearn.features.pairs import Change, Pair, Support, changes, measure_pair, support
from costlearn.models.distribution import Floats, Interval, LogSpread
from costlearn.models.mixture import belief_model
from costlearn.models.regression import PriorRegression
from costlearn.models.twoways import TwoWays, joined, known_step, two_ways
from costlearn.questions.learning import (
    Prediction,
    index_of,
    known_totals,
    latest,
    predict,
    spread_of_belief,
    terms_of,
)
from costlearn.questions.withheld import withheld
from costlearn.records import History, Job


@dataclass(frozen=True)
class Landing:
    """Where one version lands on its own: its middle and 80 % interval."""

    median: float
    interval: Interval


@dataclass(frozen=True)
class Difference:
    """What the second version comes to more than the first, in one target.

    ``interval`` (80 %) and ``middle`` are of the difference itself, below zero where it comes to
    less; ``chance_more`` is the chance that it comes to more, None where the versions are alike or
    only the firm's own rates speak.
    """

    target: str
    first: Landing
    second: Landing
    middle: float
    interval: Interval
    chance_more: float | None
    jobs: int


@dataclass(frozen=True)
class Compared:
    """A difference with what it was made of: both predictions, and the support of each change."""

    difference: Difference
    first: Prediction
    second: Prediction
    changes: tuple[tuple[Change, Support], ...]

    @property
    def rated(self) -> bool:
        """True if what the firm stated counts in both versions."""
        return all(p.weights.get("belief", 0.0) > 0 for p in (self.first, self.second))


def compared(history: History, first: Job, second: Job, target: str) -> Compared | None:
    """Two versions of a job in one target; None where records and rates say nothing of either.

    Nor where the figures of either are withheld.

    Args:
        history: the firm's jobs.
        first: one version, as ``features.pairs.alike`` gives it.
        second: the other, at the same date.
        target: one of ``features.measures.TARGETS``.
    """
    one, other = predict(history, first, target), predict(history, second, target)
    if one is None or other is None or withheld(one.spread) or withheld(other.spread):
        return None
    found = _ways(history, one, other, first, second)
    if found is None:
        return None
    ways, pair = found
    told = tuple((c, support(pair, c)) for c in changes(first, second))
    return Compared(_difference(one, other, ways), one, other, told)


def _difference(one: Prediction, other: Prediction, ways: TwoWays) -> Difference:
    return Difference(
        one.target,
        _landing(one.spread),
        _landing(other.spread),
        ways.median,
        ways.interval(0.8),
        ways.chance_more if one.model is not None else None,
        len(one.jobs),
    )


def _landing(spread: LogSpread) -> Landing:
    return Landing(spread.median, spread.interval(0.8))


def _ways(
    history: History, one: Prediction, other: Prediction, first: Job, second: Job
) -> tuple[TwoWays, Pair] | None:
    """Both versions together, as the predictions of each were made; None where one has no ground.

    Where the firm's rates count in both they count here with the same weight. The level is as much
    wider as the versions' own predictions were made for being unlike the history; the step only
    where floors outside it differ.
    """
    target, now = one.target, first.day or latest(history.usable)
    drift = 0.0 if target == "cost" and index_of(history) else None
    jobs, totals = known_totals(history, target, now)
    pair = measure_pair(jobs, first, second, target, drift)
    stated = [b.value for j in (first, second) if (b := believed(j, history.firm, target))]
    if one.model is None or other.model is None:
        return (_by_belief(one.spread, stated), pair) if len(stated) == 2 else None
    fits = _Fits(history, jobs, totals, pair, one, other, stated)
    ways = fits.between(pair.first, pair.second, stated)
    own = [
        p.spread.scale / fits.between(row, row, said).level.scale
        for p, row, said in (
            (one, pair.first, stated[:1] * 2),
            (other, pair.second, stated[-1:] * 2),
        )
    ]
    floors = first.area_sqft != second.area_sqft and bool(one.reach.area or other.reach.area)
    return ways.wider(max(own), max(own) if floors else 1.0), pair


class _Fits:
    """The regressions both versions stand in: on items, and on stated rates where they count."""

    def __init__(
        self,
        history: History,
        jobs: Sequence[Job],
        totals: Floats,
        pair: Pair,
        one: Prediction,
        other: Prediction,
        stated: Sequence[float],
    ) -> None:
        terms = terms_of(pair.columns, pair.frame)
        columns = pair.frame.to_numpy(dtype=float)
        self.items = PriorRegression(terms).fit(columns, totals)
        self.whole = one.spread
        leans = [p.weights.get("belief", 0.0) for p in (one, other)]
        self.lean = leans[0] if min(leans) > 0 and len(stated) == 2 else 0.0
        if self.lean:
            said = np.array(all_believed(jobs, history.firm, one.target), dtype=float)
            keep = ~np.isnan(said)
            spread = spread_of_belief(history.firm)
            self.rates = belief_model(columns[keep], terms, totals[keep], said[keep], spread)

    def between(self, first: Floats, second: Floats, stated: Sequence[float]) -> TwoWays:
        """Two rows of columns and what the rates say of each, as two versions."""
        items = two_ways(self.items, first, second)
        if not self.lean:
            return items
        rated = two_ways(self.rates, first, second).times(stated[0], stated[1])
        return joined([items, rated], [1 - self.lean, self.lean], self.whole)


def _by_belief(spread: LogSpread, stated: Sequence[float]) -> TwoWays:
    """The stated rates alone: both versions are off by the same factor."""
    gap = float(np.log(stated[1] / stated[0]))
    level = spread.times(float(np.exp(gap / 2)))
    return known_step(level, gap)
