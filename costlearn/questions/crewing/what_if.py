"""What the year's answer hangs on: one figure at a time, and the worth of knowing more."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costlearn.models.crew_year import ALONE, Hands, Mix, YearCosts, gain, knowing_better
from costlearn.models.distribution import Draws, Floats
from costlearn.questions.crewing.job import SEED
from costlearn.questions.crewing.speedup import Speedup
from costlearn.questions.crewing.year import YearDraws, YearTerms
from costlearn.units import say_days, say_money, say_percent

MORE_JOBS = 5
"""Two-person jobs to be watched before deciding."""
GRID = 41
MIXES = 400
"""Draws of the mix at which each effect is weighed."""
JUDGED = "trade judgement, no source"
KNOWN = "what is known of it, 8 in 10"


@dataclass(frozen=True)
class Lever:
    """One figure moved over its plausible range, all others at their middle.

    ``low`` and ``high`` are the range's ends in words, ``at_low`` and ``at_high`` the year's gain
    there; ``source`` says where the range comes from.
    """

    name: str
    low: str
    high: str
    at_low: float
    at_high: float
    source: str

    @property
    def reach(self) -> float:
        """How far the gain moves."""
        return abs(self.at_high - self.at_low)

    @property
    def turns(self) -> bool:
        """True if the gain changes its sign on the way."""
        return (self.at_low > 0) != (self.at_high > 0)


@dataclass(frozen=True)
class WhatIf:
    """What the gain of one choice hangs on, most first, and the worth of watching more jobs.

    ``base`` is the gain with every figure at its middle; ``worth`` the money a year that
    ``more_jobs`` further two-person jobs would add on average by a better choice, ``changes`` the
    chance that they would change it.
    """

    choice: str
    base: float
    levers: tuple[Lever, ...]
    more_jobs: int
    worth: float
    changes: float


def what_if(drawn: YearDraws, found: Speedup, terms: YearTerms, currency: str) -> WhatIf:
    """Sensitivity of a second person all year, and the value of watching more jobs by two."""
    hands = dict(drawn.hands)["all_year"]
    middle = drawn.middle()
    usual = float(np.median(hands.factor))
    mean = replace(hands, factor=usual, helped=usual)
    worth, changes = _knowing(drawn, found)
    return WhatIf(
        hands.name,
        float(gain(middle, mean, drawn.costs)),
        _levers(drawn, mean, middle, terms, currency),
        MORE_JOBS,
        worth,
        changes,
    )


@dataclass(frozen=True)
class _At:
    """The gain with some figures moved, the others at their middle; figures in words."""

    mix: Mix
    hands: Hands
    costs: YearCosts
    currency: str

    def mixes(self, figure: str, ends: tuple[float, float]) -> tuple[float, float]:
        """The gain at both ends of a figure of the mix."""
        low, high = (replace(self.mix, **{figure: v}) for v in ends)
        return (
            float(gain(low, self.hands, self.costs)),
            float(gain(high, self.hands, self.costs)),
        )

    def costing(self, figure: str, ends: tuple[float, float]) -> tuple[float, float]:
        """The gain at both ends of a stated cost."""
        changes: list[dict[str, Any]] = [{figure: v} for v in ends]
        low, high = (replace(self.costs, **change) for change in changes)
        return float(gain(self.mix, self.hands, low)), float(gain(self.mix, self.hands, high))

    def helping(self, ends: tuple[float, float]) -> tuple[float, float]:
        """The gain at both ends of the factor on site days."""
        low, high = (replace(self.hands, factor=v, helped=v) for v in ends)
        return float(gain(self.mix, low, self.costs)), float(gain(self.mix, high, self.costs))

    def money(self, ends: tuple[float, float]) -> tuple[str, str]:
        """Both ends as money."""
        return say_money(ends[0], self.currency), say_money(ends[1], self.currency)


def _levers(
    drawn: YearDraws, hands: Hands, middle: Mix, terms: YearTerms, currency: str
) -> tuple[Lever, ...]:
    at = _At(middle, hands, drawn.costs, currency)
    found = (*_of_the_work(drawn, at, terms), *_of_the_cost(at))
    return tuple(sorted(found, key=lambda lever: -lever.reach))


def _of_the_work(drawn: YearDraws, at: _At, terms: YearTerms) -> tuple[Lever, ...]:
    """The effect, the jobs, and what they leave."""
    band = Draws.of(np.asarray(dict(drawn.hands)["all_year"].factor)).interval(0.8)
    factor = (band.high, band.low)
    shares = say_percent(factor[0]), say_percent(factor[1])
    low, high, stated = _demand_ends(terms)
    days, left = _ends(drawn.mix.alone), _ends(drawn.mix.contribution)
    leaves = "your jobs on file, 8 in 10"
    if terms.contribution is not None:
        left, leaves = _about(terms.contribution), f"15 % either way; {JUDGED}"
    lost = at.costing("lost", (1.0, 0.0))
    return (
        Lever("days with two, share of days alone", *shares, *at.helping(factor), KNOWN),
        Lever(
            "jobs that can be sold",
            f"{low:.3g}",
            f"{high:.3g}",
            *at.mixes("demand", (low, high)),
            stated,
        ),
        Lever("what a job leaves", *at.money(left), *at.mixes("contribution", left), leaves),
        Lever(
            "days of a job alone",
            say_days(days[0]),
            say_days(days[1]),
            *at.mixes("alone", days),
            "your jobs on file, 8 in 10",
        ),
        Lever(
            "wait days lost to the year", "all", "none", *lost, "both ends; other work fills them"
        ),
    )


def _of_the_cost(at: _At) -> tuple[Lever, ...]:
    """What a second person costs."""
    costs = at.costs
    wage, idle = _about(costs.wage)[::-1], (max(20.0, 2 * costs.idle), 0.0)
    ramp, extra = (max(130.0, costs.ramp), 0.0), (max(2 * costs.extra, 20 * costs.wage), 0.0)
    weeks = f"{ramp[0] / 5:.0f}", "0"
    paid = say_days(idle[0]), say_days(idle[1])
    about = f"15 % either way; {JUDGED}"
    return (
        Lever("a helper's day", *at.money(wage), *at.costing("wage", wage), about),
        Lever("days paid without work", *paid, *at.costing("idle", idle), JUDGED),
        Lever("weeks to full speed", *weeks, *at.costing("ramp", ramp), JUDGED),
        Lever(
            "vehicle, insurance, tools a year",
            *at.money(extra),
            *at.costing("extra", extra),
            JUDGED,
        ),
    )


def _about(value: float) -> tuple[float, float]:
    return 0.85 * value, 1.15 * value


def _ends(values: Floats | float) -> tuple[float, float]:
    low, high = np.quantile(np.asarray(values, dtype=float), (0.1, 0.9))
    return float(low), float(high)


def _demand_ends(terms: YearTerms) -> tuple[float, float, str]:
    """The range as stated, or 20 % about the one number that was."""
    stated = terms.backlog or 0.0
    if terms.backlog_high is not None and terms.backlog_high > stated:
        return stated, terms.backlog_high, "as you state it"
    return 0.8 * stated, 1.2 * stated, f"20 % either way; {JUDGED}"


def _knowing(drawn: YearDraws, found: Speedup) -> tuple[float, float]:
    """Worth of watching more jobs by two, over all choices of one helper or none."""
    whole = found.whole
    grid = whole.mean + np.linspace(-5, 5, GRID) * whole.sd
    part = slice(None, MIXES)
    mix = Mix(
        np.asarray(drawn.mix.alone)[part],
        np.asarray(drawn.mix.wait)[part],
        np.asarray(drawn.mix.contribution)[part],
        np.asarray(drawn.mix.demand)[part],
    )
    rows = [np.zeros(GRID)]
    for key, hands in drawn.hands:
        if key in (ALONE.name, "third"):
            continue
        usual = float(np.mean(hands.helped))
        rest = float(np.mean(hands.factor)) - usual
        shifted = np.exp(grid - whole.mean) * usual
        rows.append(
            np.array(
                [
                    np.mean(gain(mix, replace(hands, factor=h + rest, helped=h), drawn.costs))
                    for h in shifted
                ]
            )
        )
    return knowing_better(np.array(rows), grid, whole.mean, whole.sd, whole.noise, MORE_JOBS, SEED)
