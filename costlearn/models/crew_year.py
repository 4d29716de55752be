"""A year with more hands: jobs done, money left, and where the answer turns.

Every choice (alone, a helper by the day, a second person all year) is put through the same years:
the same job mix, the same demand, the same true effect. All days are working days.

With ``t`` the days a job takes (site days and the part of its wait days that is lost), a year of D
days does min(D / t, demand) jobs. A helper costs a fixed amount a year, or so much a job; his gain
is what the extra jobs leave, less his cost, plus what freed days are worth. Break-evens solve
gain = 0 in closed form; the simulation must agree with them (``tests/models/test_crew_year.py``).
Contribution and break-even volume: any text of cost accounting, e.g. Horngren's Cost Accounting
(17th ed., 2021), chapter 3.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from costlearn.models.distribution import Floats

Many = Floats | float


@dataclass(frozen=True)
class Mix:
    """What a year's jobs are like: site days alone, wait days, money left of a job, demand.

    Each is a number or has shape (draws,). ``contribution`` is price less bought cost; ``demand``
    the jobs that could be sold in the year.
    """

    alone: Many
    wait: Many
    contribution: Many
    demand: Many


@dataclass(frozen=True)
class Hands:
    """One choice of hands: how site days shrink and how long others are paid.

    ``factor``: site days over site days alone; ``helped``: helper's site days over site days alone
    (both numbers or shape (draws,)); ``all_year`` True if the helper is paid every working day.
    """

    name: str
    factor: Many
    helped: Many
    people: int = 1
    all_year: bool = False


@dataclass(frozen=True)
class YearCosts:
    """What the owner states of a year.

    ``days`` worked a year; ``wage`` of one helper a day, burden included; ``idle`` days a year paid
    without work beside them; ``extra`` a year (vehicle, insurance) of a helper all year;
    ``overhead`` a year; ``free_day`` what a freed day is worth; ``ramp`` working days until a new
    helper is fully up to speed, growing evenly; ``lost`` the part of wait days lost to the year.
    """

    days: float
    wage: float
    idle: float = 0.0
    extra: float = 0.0
    overhead: float = 0.0
    free_day: float = 0.0
    ramp: float = 0.0
    lost: float = 1.0
    paid_waiting: bool = False


ALONE = Hands("alone", 1.0, 0.0, 0)


@dataclass(frozen=True)
class Year:
    """What years come to under one choice; each a number or shape (draws,).

    ``income`` is the owner's, before tax, after overhead; ``own_days`` his days on site.
    """

    jobs: Many
    income: Many
    own_days: Many


def year(mix: Mix, hands: Hands, costs: YearCosts) -> Year:
    """Jobs, the owner's income and his days on site under one choice."""
    lost = costs.lost * mix.wait
    slow, fast = mix.alone + lost, mix.alone * hands.factor + lost
    ramp = 0.5 * min(costs.ramp, costs.days) if hands.people else 0.0
    early = np.minimum(ramp / slow, mix.demand)
    jobs = np.minimum(ramp / slow + (costs.days - ramp) / fast, mix.demand)
    late = np.maximum(jobs - early, 0.0)
    used = early * slow + late * fast
    own = mix.alone * (early + late * hands.factor)
    paid = _paid(mix, hands, costs, early, late)
    freed = np.maximum(costs.days - used, 0.0)
    income = jobs * mix.contribution - paid - costs.overhead + freed * costs.free_day
    return Year(jobs, income, own)


def _paid(mix: Mix, hands: Hands, costs: YearCosts, early: Many, late: Many) -> Many:
    """What the helper costs in the year: every day, or the days he is on site.

    By the day he is paid as long as the owner while he is new, since nothing goes faster yet.
    """
    if not hands.people:
        return 0.0
    if hands.all_year:
        return hands.people * (costs.wage * (costs.days + costs.idle) + costs.extra)
    return costs.wage * _helper_days(mix, hands, costs, early, late)


def _helper_days(mix: Mix, hands: Hands, costs: YearCosts, early: Many, late: Many) -> Many:
    new = hands.helped / np.maximum(hands.factor, 1e-9)
    waits = mix.wait * (early + late) if costs.paid_waiting else 0.0
    part = np.minimum(new, float(hands.people))
    return mix.alone * (early * part + late * hands.helped) + hands.people * waits


def gain(mix: Mix, hands: Hands, costs: YearCosts) -> Many:
    """What a choice earns the owner in a year, less what he earns alone."""
    return year(mix, hands, costs).income - year(mix, ALONE, costs).income


@dataclass(frozen=True)
class Turns:
    """Where a choice turns from loss to gain, the rest as it is; None where nothing turns it.

    ``speedup``: site days alone over site days with the helper; ``wage`` a day; ``extra_jobs`` a
    year beyond those done alone; ``demand``: jobs that must be there to be sold.
    """

    speedup: float | None
    wage: float | None
    extra_jobs: float | None
    demand: float | None


def turns(mix: Mix, hands: Hands, costs: YearCosts) -> Turns:
    """Break-evens of a choice in closed form, at single numbers (no draws)."""
    alone, two = year(mix, ALONE, costs), year(mix, hands, costs)
    return Turns(
        _speedup(mix, hands, costs),
        _wage(mix, hands, costs, float(alone.income), float(two.income)),
        _extra_jobs(mix, hands, costs),
        _demand(mix, hands, costs),
    )


def _wage(mix: Mix, hands: Hands, costs: YearCosts, alone: float, together: float) -> float | None:
    """The wage at which the gain is nothing: the gain falls in a straight line with it."""
    free = replace(costs, wage=0.0)
    days = float(year(mix, hands, free).income - year(mix, hands, replace(costs, wage=1.0)).income)
    if days <= 0:
        return None
    wage = costs.wage + (together - alone) / days
    return wage if wage >= 0 else None


def _slope(mix: Mix, hands: Hands, costs: YearCosts) -> tuple[float, float, float]:
    """Days a job takes alone and together, and what the helper costs a job if paid by the day."""
    lost = costs.lost * float(mix.wait)
    slow, fast = float(mix.alone) + lost, float(mix.alone * hands.factor) + lost
    if hands.all_year:
        return slow, fast, 0.0
    days = float(mix.alone * hands.helped)
    days += hands.people * float(mix.wait) if costs.paid_waiting else 0.0
    return slow, fast, costs.wage * days


def _fixed(hands: Hands, costs: YearCosts) -> float:
    if not hands.all_year:
        return 0.0
    return hands.people * (costs.wage * (costs.days + costs.idle) + costs.extra)


def _demand(mix: Mix, hands: Hands, costs: YearCosts) -> float | None:
    """Jobs to be sold at which the gain is nothing.

    Beyond what is done alone, each further job brings its contribution less the helper's cost of
    it, and its days are no longer free; until the year is full.
    """
    slow, fast, a_job = _slope(mix, hands, costs)
    ramp = 0.5 * min(costs.ramp, costs.days)
    solo, early = costs.days / slow, ramp / slow
    full = early + (costs.days - ramp) / fast
    worth = float(mix.contribution) - a_job - costs.free_day * fast
    if worth <= 0 or full <= solo:
        return None
    # At ``solo`` jobs together: what the helper costs by then, less the days he has freed.
    at_solo = float(gain(replace(mix, demand=solo), hands, costs))
    demand = solo - at_solo / worth
    return demand if solo <= demand <= full else None


def _extra_jobs(mix: Mix, hands: Hands, costs: YearCosts) -> float | None:
    """Jobs a year, beyond those done alone, that pay for the helper: cost over what each leaves.

    Whether so many can be done, or sold, is another matter (see the speed-up and the demand).
    """
    slow, _, a_job = _slope(mix, hands, costs)
    leaves = float(mix.contribution) - a_job
    if leaves <= 0:
        return None
    solo = min(costs.days / slow, float(mix.demand))
    return (_fixed(hands, costs) + solo * a_job) / leaves


def _speedup(mix: Mix, hands: Hands, costs: YearCosts) -> float | None:
    """The speed-up at which the gain is nothing; None if none does, or help is on some phases only.

    All year, so many jobs must be done that they pay the helper: n = n_alone + cost / contribution,
    which must be there to be sold, and the days of one job follow. By the day, with x the site days
    of a job: (D - r)(c - w x) / (x + wait) = what a year alone leaves less what the first weeks do.
    """
    ramp = 0.5 * min(costs.ramp, costs.days)
    lost = costs.lost * float(mix.wait)
    alone, c = float(mix.alone), float(mix.contribution)
    slow = alone + lost
    solo = min(costs.days / slow, float(mix.demand))
    if solo < costs.days / slow or hands.people > 1 or not np.isclose(hands.helped, hands.factor):
        return None
    if hands.all_year:
        needed = solo + _fixed(hands, costs) / c - ramp / slow if c > 0 else np.inf
        if needed + ramp / slow > float(mix.demand):
            return None
        site = (costs.days - ramp) / needed - lost
    else:
        wait_pay = costs.wage * float(mix.wait) if costs.paid_waiting else 0.0
        early = ramp / slow * (c - costs.wage * alone - wait_pay)
        left, days = solo * c - early, costs.days - ramp
        site = (days * (c - wait_pay) - left * lost) / (days * costs.wage + left)
        if days / (site + lost) + ramp / slow > float(mix.demand):
            return None
    return alone / site if site > 0 else None


def pays_more(gains: Floats) -> float:
    """The chance that a gain is above zero, from its draws."""
    return float(np.mean(gains > 0))


def knowing_better(
    gain_at: Floats, grid: Floats, mean: float, spread: float, noise: float, jobs: int, seed: int
) -> tuple[float, float]:
    """What finishing more jobs first would be worth, and how often it would change the choice.

    Args:
        gain_at: mean gain of each choice at each true effect, shape (choices, grid).
        grid: those effects, log points, rising, shape (grid,).
        mean: what is known of the effect now: its mean
        spread: and its spread.
        noise: how far one new job's own effect lies from the truth, log points.
        jobs: how many jobs would be seen first.
        seed: of the simulated jobs.

    Preposterior analysis: Applied Statistical Decision Theory (1961), chapter 4. What those jobs
    would show is drawn from what is known now; the belief is then moved as Bayes' rule says, the
    choice made again, and its gain compared with the choice made today.
    """
    rng = np.random.default_rng(seed)
    left = 1 / np.sqrt(1 / spread**2 + jobs / noise**2)
    seen = mean + np.sqrt(max(spread**2 - left**2, 0.0)) * rng.standard_normal(2000)
    points = (np.arange(64) + 0.5) / 64
    around = left * _normal(points)
    later = np.array([np.interp(seen[:, None] + around, grid, g).mean(axis=1) for g in gain_at])
    now = later.mean(axis=1)
    today = int(np.argmax(now))
    best = later.max(axis=0)
    changes = float(np.mean(np.argmax(later, axis=0) != today))
    return float(np.mean(best) - now[today]), changes


def _normal(chance: Floats) -> Floats:
    from scipy import special

    return np.asarray(special.ndtri(chance))
