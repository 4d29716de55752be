"""Whether a price recovers the overhead that a day on site must carry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from costlearn.firm import Firm
from costlearn.models.distribution import Draws, Interval
from costlearn.questions.answer import Table
from costlearn.questions.learning import Prediction, joint_of
from costlearn.units import say_days, say_money, say_odds

DRAWS = 4096
SEED = 5


@dataclass(frozen=True)
class Recovery:
    """What a price leaves a day on site after direct cost, against the overhead of such a day.

    Money a day: 80 % ``interval`` and ``median``; ``must`` what a site day must carry, ``chance``
    that the job recovers it (both None where the firm states no overhead). ``sentence`` says it,
    or says what is missing.
    """

    sentence: str
    interval: Interval | None = None
    median: float | None = None
    must: float | None = None
    chance: float | None = None
    jobs: int = 0
    over_days: float | None = None
    """Days of a year that share its overhead."""


def recovery(firm: Firm, price: float | None, found: dict[str, Prediction]) -> Recovery:
    """What the price leaves a site day, from cost and days drawn together.

    Args:
        firm: its overhead a year over its working days a year is what a site day must carry.
        price: the quoted price in money, or None.
        found: the predictions of the quote, with its cost.
    """
    if not price:
        return Recovery("Overhead is not compared: the quote holds no price")
    if "site_days" not in found:
        return Recovery("Overhead is not compared: no days on site are known of such jobs")
    cost, days = found["cost"], found["site_days"]
    drawn = joint_of(cost, days).sample(DRAWS, SEED)
    left = (price - drawn[:, 0]) / drawn[:, 1]
    draws = Draws.of(left)
    must = firm.overhead_per_day
    chance = None if must is None else float(np.mean(left >= must))
    jobs = min(len(cost.jobs), len(days.jobs))
    interval, middle = draws.interval(0.8), draws.median
    return Recovery(
        _sentence(firm, interval, middle, chance),
        interval,
        middle,
        must,
        chance,
        jobs,
        None if must is None else firm.working_days_per_year,
    )


def _sentence(firm: Firm, interval: Interval, middle: float, chance: float | None) -> str:
    money = firm.currency
    low, high = say_money(interval.low, money), say_money(interval.high, money)
    text = (
        f"After direct cost this price leaves {low} to {high} a day on site, middle "
        f"{say_money(middle, money)}"
    )
    if chance is None or firm.overhead_per_day is None:
        missing = "overhead_per_year" if firm.overhead_per_year is None else "working_days_per_year"
        return f"{text}; what overhead a day must carry cannot be told: {missing} is not set"
    recovers = say_odds(chance, ("recovers", "recover"))
    return (
        f"{text}; a day must carry {say_money(firm.overhead_per_day, money)} of overhead, and "
        f"{recovers} it"
    )


def overhead_table(found: Recovery | None, currency: str) -> Table | None:
    """What a site day leaves against what it must carry, as it is to be read; None if unknown."""
    if found is None or found.interval is None or found.median is None:
        return None
    low, high = (say_money(v, currency) for v in (found.interval.low, found.interval.high))
    rows = [("left after direct cost", f"{low} to {high}", say_money(found.median, currency))]
    if found.must is not None:
        rows.append(("overhead it must carry", "", say_money(found.must, currency)))
    note = found.sentence + "."
    if found.over_days is not None:
        note += (
            f" Overhead of a year over {say_days(found.over_days)}: if fewer of them are spent on "
            "site, each must carry more."
        )
    return Table(
        "A day on site: price less direct cost", ("", "8 in 10", "middle"), tuple(rows), note
    )
