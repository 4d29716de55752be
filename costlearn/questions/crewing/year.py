"""A year alone, with a helper by the day, and with a second person all year."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from costlearn.errors import InputProblem
from costlearn.features import measures as ms
from costlearn.firm import Firm
from costlearn.models.crew import DayCosts
from costlearn.models.crew_year import ALONE, Hands, Mix, Turns, Year, YearCosts, turns, year
from costlearn.models.distribution import Draws, Interval
from costlearn.questions.crewing.job import DRAWS, SEED, phase_factors
from costlearn.questions.crewing.mix import MIN_TOLD, left_of_jobs, mix_of, site_days_of
from costlearn.questions.crewing.speedup import Speedup
from costlearn.questions.wording import say_list
from costlearn.records import History
from costlearn.units import say_count

WEEK = 5.0
THIRD = 2.5
"""A crew at least this big is three people; so many records of it let a third person be weighed."""
MIN_THIRD = 3
STEPS = 25
AS_GOOD = 0.9
"""A choice that earns this share of the best one's mean is as good, and the surer is named."""


@dataclass(frozen=True)
class YearTerms:
    """What the owner states about the year.

    ``backlog``: jobs that could be sold, and ``backlog_high`` if it is a range (any number between
    is taken as equally likely); ``contribution``: price less materials, subs and other bought cost
    of an average job, in money; ``free_day``: what a day of his own is worth unsold.
    """

    backlog: float | None = None
    contribution: float | None = None
    free_day: float = 0.0
    helper_paid_waiting: bool = False
    backlog_high: float | None = None


@dataclass(frozen=True)
class Choice:
    """A year under one choice of hands; intervals are 80 %.

    ``gain`` is the owner's income less what he earns alone, ``pays`` the chance that it is positive
    (both None for working alone); ``per_day`` his income per day on site; ``turns`` the
    break-evens at middle figures.
    """

    key: str
    name: str
    jobs: Interval
    jobs_middle: float
    income: float
    per_day: Interval | None
    per_day_middle: float | None
    gain: Interval | None
    median: float | None
    pays: float | None
    turns: Turns | None
    curve: tuple[float, ...] = ()


@dataclass(frozen=True)
class YearGain:
    """The year for a stated backlog: all choices, the best of them on average, and its gain.

    ``gain``, ``median``, ``pays`` and ``curve`` are those of a second person all year; ``best`` is
    the key of the choice with the highest mean gain (or near it and surer). ``demand``
    holds, for rising numbers of jobs to be sold, the low, middle and high gain of ``rival``: the
    best choice with help.
    """

    backlog: float
    backlog_high: float
    choices: tuple[Choice, ...]
    best: str
    rival: str
    contribution: float
    demand: tuple[tuple[float, float, float, float], ...]
    third: str
    prices: str = ""
    """At which prices what past jobs left is, in words."""

    def choice(self, key: str) -> Choice | None:
        """One choice, if it could be weighed."""
        return next((c for c in self.choices if c.key == key), None)

    @property
    def all_year(self) -> Choice:
        """A second person all year."""
        return next(c for c in self.choices if c.key == "all_year")

    @property
    def jobs_alone(self) -> float:
        """The middle number of jobs done alone."""
        return self.choices[0].jobs_middle

    @property
    def jobs_together(self) -> float:
        """The middle number of jobs done with a second person all year."""
        return self.all_year.jobs_middle

    @property
    def gain(self) -> Interval:
        """What a second person all year earns the owner (80 %)."""
        return self.all_year.gain or Interval(0.8, 0.0, 0.0)

    @property
    def median(self) -> float:
        """The middle of that gain."""
        return self.all_year.median or 0.0

    @property
    def pays(self) -> float:
        """The chance that it is above zero."""
        return self.all_year.pays or 0.0

    @property
    def curve(self) -> tuple[float, ...]:
        """Its 1 % to 99 % points."""
        return self.all_year.curve


@dataclass(frozen=True)
class YearDraws:
    """What the year is drawn from: the mix, the costs, and each choice's hands with its key."""

    mix: Mix
    costs: YearCosts
    hands: tuple[tuple[str, Hands], ...]
    third: str
    prices: str = ""
    """At which prices what past jobs left is, in words; empty where the owner stated it."""

    def middle(self) -> Mix:
        """The mix at its middle figures."""
        return Mix(
            float(np.median(self.mix.alone)),
            float(np.median(self.mix.wait)),
            float(np.median(self.mix.contribution)),
            float(np.median(self.mix.demand)),
        )


def check_terms(terms: YearTerms) -> None:
    """Refuse stated figures that are negative or absurd.

    Raises:
        InputProblem: a stated figure is negative, or a range has its ends the wrong way round.
    """
    for name in ("backlog", "backlog_high", "contribution", "free_day"):
        value = getattr(terms, name)
        if value is not None and not 0 <= value < 1e9:
            raise InputProblem(f"{name.replace('_', ' ')} {value:g}", expected="zero or more")
    low, high = terms.backlog, terms.backlog_high
    if high is not None and (low is None or high < low):
        raise InputProblem(f"a backlog of {low} to {high:g}", expected="the smaller number first")


def day_costs(history: History, terms: YearTerms) -> DayCosts | None:
    """What days cost, if the firm has said all three of them."""
    firm = history.firm
    overhead = firm.overhead_per_day
    if firm.owner_day_cost is None or firm.helper_day_cost is None or overhead is None:
        return None
    if firm.owner_day_cost + overhead <= 0:
        return None
    return DayCosts(firm.owner_day_cost, firm.helper_day_cost, overhead, terms.helper_paid_waiting)


def asks_of(history: History, day: DayCosts | None, terms: YearTerms) -> tuple[str, ...]:
    """What must be stated before the year can be weighed."""
    asks = []
    if terms.backlog is None:
        asks.append("how many jobs a year you could sell (backlog)")
    if history.firm.working_days_per_year is None:
        asks.append("how many days a year you work (working_days_per_year)")
    if day is None and (costs := _costs_asked(history.firm)):
        asks.append(costs)
    if terms.contribution is None and len(left_of_jobs(history)) < MIN_TOLD:
        asks.append("what an average job leaves after bought cost (contribution)")
    if not site_days_of(history):
        asks.append("how many site days and how big a crew some finished jobs took")
    return tuple(asks)


def _costs_asked(firm: Firm) -> str:
    """Which costs of days are to be stated: those that are not, or all where they make no sense.

    Blank where all are and the working days that overhead is spread over are the only gap.
    """
    costs = {
        "owner_day_cost": "your own day",
        "helper_day_cost": "a helper's day",
        "overhead_per_year": "a year's overhead",
    }
    unsaid = [name for name in costs if getattr(firm, name) is None]
    if not unsaid and firm.working_days_per_year is None:
        return ""
    unsaid = unsaid or list(costs)
    verb = "costs" if len(unsaid) == 1 else "cost"
    return f"what {say_list([costs[name] for name in unsaid])} {verb} ({', '.join(unsaid)})"


def year_draws(
    history: History,
    found: Speedup,
    day: DayCosts | None,
    terms: YearTerms,
    on: date | None = None,
) -> YearDraws | None:
    """The years to be compared, at the prices of a date; None where something must be stated first.

    Args:
        history: the firm's jobs.
        found: what a second person does.
        day: what days cost.
        terms: what the owner states about the year.
        on: the date; default the newest on file.
    """
    firm = history.firm
    days, low = firm.working_days_per_year, terms.backlog
    if asks_of(history, day, terms) or day is None or not days or low is None:
        return None
    costs = YearCosts(
        days,
        day.helper,
        firm.helper_idle_days or 0.0,
        firm.helper_extra_per_year or 0.0,
        firm.overhead_per_year or 0.0,
        terms.free_day,
        WEEK * (firm.helper_ramp_up_weeks or 0.0),
        paid_waiting=terms.helper_paid_waiting,
    )
    high = low if terms.backlog_high is None else terms.backlog_high
    rng = np.random.default_rng(SEED)
    mix, prices = mix_of(history, found, terms.contribution, days, rng, on)
    demand = rng.uniform(low, high, DRAWS) if high > low else np.full(DRAWS, low)
    hands, third = _hands(history, found, day)
    asked = Mix(mix.alone, mix.wait, mix.contribution, demand)
    return YearDraws(asked, costs, hands, third, prices)


def year_gain(drawn: YearDraws, terms: YearTerms) -> YearGain:
    """The choices side by side, their break-evens, and the gain against the backlog."""
    alone = year(drawn.mix, ALONE, drawn.costs)
    choices = tuple(_choice(drawn, key, hands, alone) for key, hands in drawn.hands)
    means = {
        key: float(np.mean(year(drawn.mix, hands, drawn.costs).income))
        for key, hands in drawn.hands
    }
    low = terms.backlog or 0.0
    high = low if terms.backlog_high is None else terms.backlog_high
    rival = _rival(choices, {k: m - means["alone"] for k, m in means.items()})
    return YearGain(
        low,
        high,
        choices,
        rival if means[rival] > means["alone"] else "alone",
        rival,
        float(drawn.middle().contribution),
        _against_demand(drawn, rival, high),
        drawn.third,
        drawn.prices,
    )


def _rival(choices: Sequence[Choice], gains: Mapping[str, float]) -> str:
    """The best choice with help: the highest mean gain, or as good as that and surer."""
    helped = [c for c in choices if c.pays is not None]
    most = max(gains[c.key] for c in helped)
    near = [c for c in helped if gains[c.key] >= most - (1 - AS_GOOD) * abs(most)]
    return max(near, key=lambda c: (c.pays or 0.0, gains[c.key])).key


def _choice(drawn: YearDraws, key: str, hands: Hands, alone: Year) -> Choice:
    found = year(drawn.mix, hands, drawn.costs)
    jobs = Draws.of(np.broadcast_to(found.jobs, (DRAWS,)))
    own = np.broadcast_to(np.asarray(found.own_days, dtype=float), (DRAWS,))
    worked = own > 0
    income = np.broadcast_to(np.asarray(found.income, dtype=float), (DRAWS,))
    per_day = Draws.of(income / np.where(worked, own, 1.0)) if worked.all() else None
    gains = None if key == "alone" else Draws.of(income - np.asarray(alone.income))
    middle = Hands(
        hands.name,
        float(np.median(hands.factor)),
        float(np.median(hands.helped)),
        hands.people,
        hands.all_year,
    )
    return Choice(
        key,
        hands.name,
        jobs.interval(0.8),
        jobs.median,
        float(np.median(income)),
        None if per_day is None else per_day.interval(0.8),
        None if per_day is None else per_day.median,
        None if gains is None else gains.interval(0.8),
        None if gains is None else gains.median,
        None if gains is None else 1 - gains.cdf(0.0),
        None if gains is None else turns(drawn.middle(), middle, drawn.costs),
        () if gains is None else tuple(np.quantile(gains.values, np.arange(1, 100) / 100).tolist()),
    )


def _against_demand(
    drawn: YearDraws, rival: str, high: float
) -> tuple[tuple[float, float, float, float], ...]:
    """Low, middle and high gain of a choice, as jobs to be sold rise."""
    hands = dict(drawn.hands)[rival]
    most = max(1.4 * float(np.median(year(drawn.mix, hands, drawn.costs).jobs)), 1.2 * high, 4.0)
    rows = []
    for demand in np.linspace(0, most, STEPS):
        mix = Mix(drawn.mix.alone, drawn.mix.wait, drawn.mix.contribution, float(demand))
        income = year(mix, hands, drawn.costs).income - year(mix, ALONE, drawn.costs).income
        low, middle, top = np.quantile(income, (0.1, 0.5, 0.9))
        rows.append((float(demand), float(low), float(middle), float(top)))
    return tuple(rows)


def _hands(
    history: History, found: Speedup, day: DayCosts
) -> tuple[tuple[tuple[str, Hands], ...], str]:
    """The choices of hands, and why a third person is or is not among them."""
    factors = phase_factors(found, DRAWS)
    shares = np.ones(1) if found.effects is None else found.effects.shares
    every = factors @ shares
    hands = [("alone", ALONE)]
    worth = day.owner + day.overhead
    saved = worth * (1 - factors.mean(axis=0)) - day.helper * factors.mean(axis=0)
    on = np.array([saved[i] > 0 and p.together > 0 for i, p in enumerate(found.phases)], dtype=bool)
    if found.effects is not None and on.any() and not on.all():
        helped = factors[:, on] @ shares[on]
        name = f"by the day, {say_count(int(on.sum()), 'phase')}"
        hands.append(("phases", Hands(name, helped + shares[~on].sum(), helped)))
    hands.append(("every", Hands("by the day, all phases", every, every)))
    hands.append(("all_year", Hands("second person all year", every, every, 1, True)))
    many = _third_records(history)
    if many < MIN_THIRD:
        return tuple(hands), "Your records hold too few jobs by three to weigh a third person."
    three = every ** np.log2(3)
    hands.append(("third", Hands("two more people all year", three, 2 * three, 2, True)))
    return tuple(hands), f"A third person rests on {many} records by three or more."


def _third_records(history: History) -> int:
    whole = sum((ms.crew_of(j) or 0.0) >= THIRD for j in history.usable)
    parts = sum((p.actual.crew or 0.0) >= THIRD for j in history.usable for p in j.phases)
    return max(whole, parts)
