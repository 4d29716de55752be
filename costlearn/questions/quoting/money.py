"""The money side of a quote: odds of its price, the ladder, overhead, payments, the yardstick."""

from __future__ import annotations

from dataclasses import dataclass

from costlearn.models.ladder import price_for
from costlearn.questions.learning import Prediction
from costlearn.questions.quoting.cash import CashPlan, cash_plan
from costlearn.questions.quoting.overhead import Recovery, recovery
from costlearn.questions.quoting.pricing import PriceStep, price_ladder, price_step
from costlearn.questions.quoting.reasons import Shortfalls
from costlearn.questions.quoting.yardstick import Yardstick, against_classes
from costlearn.records import History, Job

FEW_ODDS = 0.1
"""Odds of losing money up to which a quote may be called sound."""
FAIR_ODDS = 0.35
"""Odds of keeping the wanted margin from which on it may; half and half is what a plan without
reserve has (both trade judgement, no source)."""


@dataclass(frozen=True)
class Money:
    """What a price gives: ``own`` its odds and margins, None without a price; the prices beside it.

    ``short`` holds what is missing for the wanted margin where it is kept too seldom, and until few
    such jobs cost more than the price.
    """

    price: float | None
    own: PriceStep | None
    short: Shortfalls
    ladder: tuple[PriceStep, ...]
    overhead: Recovery
    cash: CashPlan
    yardstick: Yardstick

    @property
    def bad(self) -> bool:
        """True if the price loses money, or misses the wanted margin, too often."""
        return self.short.margin is not None or bool(self.own and self.own.loss > FEW_ODDS)

    @property
    def notes(self) -> tuple[str, ...]:
        """The yardstick, what is missing for overhead or payments, what payments take for granted.

        Each a clause.
        """
        said = [self.yardstick.sentence]
        if self.overhead.interval is None:
            said.append(self.overhead.sentence)
        if not self.cash.payments:
            said.append(self.cash.sentence.rstrip("."))
        return (*said, *self.cash.assumptions)


def money_of(
    history: History, job: Job, found: dict[str, Prediction], wanted: float | None, unlike: bool
) -> Money:
    """The money side of a quote.

    Args:
        history: the firm's jobs and settings.
        job: the quote.
        found: its predictions, with its cost.
        wanted: the wanted margin, a share of the price.
        unlike: the range of the whole job is too wide to lean on: no payments, and no amounts.
    """
    cost = found["cost"]
    price = job.price / 100 if job.price else None
    own = price_step(cost, price, wanted) if price else None
    margin = over = None
    if price and own and own.reaches_margin is not None and own.reaches_margin < FAIR_ODDS:
        margin = price_for(cost.spread, wanted or 0.0, 0.5) - price
    if price and not unlike:
        over = cost.spread.quantile(1 - FEW_ODDS) - price
    return Money(
        price,
        own,
        Shortfalls(margin, over),
        price_ladder(cost, wanted),
        recovery(history.firm, price, found),
        cash_plan(history, job, found, unlike),
        against_classes(cost.spread.interval(0.8), cost.spread.median),
    )
