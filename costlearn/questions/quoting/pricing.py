"""Where quoted figures stand, and which price keeps a margin with which confidence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from costlearn.errors import InputProblem
from costlearn.features import measures as ms
from costlearn.firm import Firm
from costlearn.models.distribution import Interval
from costlearn.models.ladder import (
    chance_of_margin,
    margin_of,
    markup_from_margin,
    markup_of,
    price_for,
)
from costlearn.questions.answer import Table
from costlearn.questions.learning import Prediction, chance_of_both
from costlearn.questions.wording import PLAIN_TARGET, say, say_range
from costlearn.records import Job
from costlearn.units import say_money, say_odds, say_percent

CONFIDENCES = (0.5, 0.8, 0.9)


@dataclass(frozen=True)
class Standing:
    """Where one quoted figure stands: ``share`` of such jobs that end at or under it."""

    target: str
    quoted: float
    interval: Interval
    median: float
    share: float
    jobs: int

    @property
    def side(self) -> str:
        """In words: inside the 80 % range, or on which side of it."""
        if self.interval.holds(self.quoted):
            return "inside"
        return "low" if self.quoted < self.interval.low else "high"


@dataclass(frozen=True)
class PriceStep:
    """A price and what it gives.

    ``confidence`` of keeping the wanted margin, or of covering direct cost where none is wanted;
    None for the quote's own price. ``loss`` are the odds of losing money, ``reaches_margin`` those
    of the wanted margin, None where none is wanted. ``margin`` and ``markup`` are those at the
    middle of the cost, as shares of price and of cost.
    """

    confidence: float | None
    price: float
    loss: float
    reaches_margin: float | None
    margin: float
    markup: float


def margin_wanted(firm: Firm, margin: float | None) -> float | None:
    """The margin asked for, a share of the price, else the firm's own; None if neither is said.

    Raises:
        InputProblem: it is no share below 1.
    """
    wanted = firm.wanted_margin if margin is None else margin
    if wanted is not None and not 0 <= wanted < 1:
        raise InputProblem(f"a margin of {wanted:g}", expected="a share from 0 up to 0.95")
    return wanted


def standing(job: Job, target: str, prediction: Prediction) -> Standing | None:
    """Where one quoted figure stands; None if the quote does not hold it."""
    quoted = ms.planned(job, target)
    if quoted is None:
        return None
    spread = prediction.spread
    return Standing(
        target,
        quoted,
        spread.interval(0.8),
        spread.median,
        spread.cdf(quoted),
        len(prediction.jobs),
    )


def chance_to_keep(job: Job, found: Mapping[str, Prediction]) -> float | None:
    """The chance to keep cost and days at once: elapsed days if planned, else days on site."""
    cost = ms.planned(job, "cost")
    for target in ("elapsed_days", "site_days", "person_days"):
        days = ms.planned(job, target)
        if cost is not None and days is not None and target in found:
            return chance_of_both(found["cost"], found[target], cost, days)
    return None


def price_ladder(cost: Prediction, wanted: float | None) -> tuple[PriceStep, ...]:
    """Prices that keep the wanted margin, or cover direct cost, with 50, 80 and 90 % confidence."""
    return tuple(
        price_step(cost, price_for(cost.spread, wanted or 0.0, sure), wanted, sure)
        for sure in CONFIDENCES
    )


def price_step(
    cost: Prediction, price: float, wanted: float | None, confidence: float | None = None
) -> PriceStep:
    """What one price gives; ``confidence`` is the one it was made for."""
    spread = cost.spread
    return PriceStep(
        confidence,
        price,
        1 - spread.cdf(price),
        None if wanted is None else chance_of_margin(spread, price, wanted),
        margin_of(price, spread.median),
        markup_of(price, spread.median),
    )


def price_curve(cost: Prediction) -> tuple[tuple[float, float], ...]:
    """Price against the odds of losing money, at the 1 % to 99 % points of cost."""
    shares = [p / 100 for p in range(1, 100)]
    return tuple(
        (float(v), 1 - p) for v, p in zip(cost.spread.quantiles(shares), shares, strict=True)
    )


def standings_table(
    standings: Sequence[Standing], both: float | None, currency: str
) -> Table | None:
    """Quoted figures against the history, as they are to be read; None if there are none."""
    if not standings:
        return None
    rows = tuple(
        (
            PLAIN_TARGET[s.target],
            say(s.quoted, s.target, currency),
            say_range(s.interval, s.target, currency),
            say(s.median, s.target, currency),
            say_odds(1 - s.share, ("ends above it", "end above it")),
            str(s.jobs),
        )
        for s in standings
    )
    return Table(
        "Your figures against your history",
        ("", "quoted", "8 in 10 such jobs", "middle", "odds", "jobs"),
        rows,
        ""
        if both is None
        else say_odds(both, ("stays", "stay"))
        + " within both the planned cost and the planned days.",
    )


def ladder_table(
    steps: Sequence[PriceStep],
    own: PriceStep | None,
    wanted: float | None,
    planned: tuple[float, float] | None,
    currency: str,
) -> Table | None:
    """Prices and what each gives, as they are to be read; None without a prediction of cost.

    Args:
        steps: the ladder.
        own: the quote's own price, if it holds one.
        wanted: the wanted margin, if there is one.
        planned: margin and markup of the quote on its planned cost, if it holds both.
        currency: the firm's.
    """
    if not steps:
        return None
    rows = tuple(_ladder_row(s, currency) for s in (*steps, *((own,) if own else ())))
    heads: tuple[str, ...] = ("how sure", "price", "margin", "markup", "odds of losing money")
    if wanted is None:
        caption = "Price that covers direct cost"
    else:
        markup = say_percent(markup_from_margin(wanted))
        caption = f"Price for a margin of {say_percent(wanted)} (a markup of {markup})"
        heads = (*heads, f"odds of {say_percent(wanted)} or more")
    note = (
        "Margin is a share of the price, markup a share of the cost, both at the middle of the "
        "cost. Before overhead."
    )
    if planned:
        margin, markup = (say_percent(v) for v in planned)
        note += f" On your planned cost your price is a margin of {margin}, a markup of {markup}."
    return Table(caption, heads, rows, note)


def _ladder_row(step: PriceStep, currency: str) -> tuple[str, ...]:
    row = (
        "your quote" if step.confidence is None else say_percent(step.confidence),
        say_money(step.price, currency),
        say_percent(step.margin),
        say_percent(step.markup),
        say_odds(step.loss),
    )
    return row if step.reaches_margin is None else (*row, say_odds(step.reaches_margin))
