"""What the year's answer hangs on: one figure at a time, and the worth of knowing more."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from costlearn.models.crew_year import ALONE, Hands, Mix, YearCosts, gain, knowing_better
from costlearn.models.distribution import Draws, Floats
from costlearn.questions.crew_job import SEED
from costlearn.questions.crew_year import YearDraws, YearTerms
from costlearn.questions.speedup import Speedup
from costlearn.units import say_days, say_money, say_percent

MORE_JOBS = 5
"""Two-person jobs to be watched before deciding."""
GRID = 41
MIXES = 400
"""Draws of the mix at which each effect is weighed."""
JUDGED = "trade judgement, no source"


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


def _levers(
    drawn: YearDraws, hands: Hands, middle: Mix, terms: YearTerms, currency: str
) -> tuple[Lever, ...]:
    costs = drawn.costs

    def money(value: float) -> str:
        return say_money(value, currency)

    def at(mix: Mix = middle, who: Hands = hands, year: YearCosts = costs) -> float:
        return float(gain(mix, who, year))

    def lever(name: str, ends: tuple[str, str], gains: tuple[float, float], source: str) -> Lever:
        return Lever(name, *ends, *gains, source)

    factor = Draws.of(np.asarray(dict(drawn.hands)["all_year"].factor)).interval(0.8)
    days, left = _ends(drawn.mix.alone), _ends(drawn.mix.contribution)
    if terms.contribution is not None:
        left = (0.85 * terms.contribution, 1.15 * terms.contribution)
    low, high, asked = _demand_ends(terms)
    idle, weeks = (0.0, max(20.0, 2 * costs.idle)), (0.0, max(26.0, costs.ramp / 5))
    extra = (0.0, max(2 * costs.extra, 20 * costs.wage))
    wage = (0.85 * costs.wage, 1.15 * costs.wage)
    found = (
        lever(
            "days with two, share of days alone",
            (say_percent(factor.high), say_percent(factor.low)),
            (
                at(who=replace(hands, factor=factor.high, helped=factor.high)),
                at(who=replace(hands, factor=factor.low, helped=factor.low)),
            ),
            "your records, 8 in 10",
        ),
        lever(
            "jobs that can be sold",
            (f"{low:.3g}", f"{high:.3g}"),
            (at(replace(middle, demand=low)), at(replace(middle, demand=high))),
            asked,
        ),
        lever(
            "a helper's day",
            (money(wage[1]), money(wage[0])),
            (at(year=replace(costs, wage=wage[1])), at(year=replace(costs, wage=wage[0]))),
            f"15 % either way; {JUDGED}",
        ),
        lever(
            "what a job leaves",
            (money(left[0]), money(left[1])),
            (
                at(replace(middle, contribution=left[0])),
                at(replace(middle, contribution=left[1])),
            ),
            f"15 % either way; {JUDGED}" if terms.contribution else "your jobs on file, 8 in 10",
        ),
        lever(
            "days of a job alone",
            (say_days(days[0]), say_days(days[1])),
            (at(replace(middle, alone=days[0])), at(replace(middle, alone=days[1]))),
            "your jobs on file, 8 in 10",
        ),
        lever(
            "wait days lost to the year",
            ("all", "none"),
            (at(year=replace(costs, lost=1.0)), at(year=replace(costs, lost=0.0))),
            "both ends; work elsewhere may fill them",
        ),
        lever(
            "days paid without work",
            (say_days(idle[1]), say_days(idle[0])),
            (at(year=replace(costs, idle=idle[1])), at(year=replace(costs, idle=idle[0]))),
            JUDGED,
        ),
        lever(
            "weeks to full speed",
            (f"{weeks[1]:.0f}", f"{weeks[0]:.0f}"),
            (
                at(year=replace(costs, ramp=5 * weeks[1])),
                at(year=replace(costs, ramp=5 * weeks[0])),
            ),
            JUDGED,
        ),
        lever(
            "vehicle, insurance, tools a year",
            (money(extra[1]), money(extra[0])),
            (at(year=replace(costs, extra=extra[1])), at(year=replace(costs, extra=extra[0]))),
            JUDGED,
        ),
    )
    return tuple(sorted(found, key=lambda lever: -lever.reach))


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
