"""The arithmetic of price: markup and margin, the price for a margin, break-even, variances.

Sources: standard-cost variances and break-even as in any cost accounting text (checked against
worked examples in ``tests/outside``); markup is a share of cost, margin a share of price.
"""

from __future__ import annotations

from dataclasses import dataclass

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Predictive


def margin_of(price: float, cost: float) -> float:
    """Share of the price left after cost.

    Raises:
        NothingToSay: the price is not positive.
    """
    if price <= 0:
        raise NothingToSay("a price that is not positive has no margin")
    return (price - cost) / price


def markup_of(price: float, cost: float) -> float:
    """What the price adds to cost, as a share of cost.

    Raises:
        NothingToSay: the cost is not positive.
    """
    if cost <= 0:
        raise NothingToSay("a cost that is not positive has no markup")
    return (price - cost) / cost


def markup_from_margin(margin: float) -> float:
    """The markup that leaves a margin: margin / (1 - margin).

    Raises:
        NothingToSay: a margin of 1 or more is no price's.
    """
    if margin >= 1:
        raise NothingToSay(f"no price leaves a margin of {margin:.0%}")
    return margin / (1 - margin)


def margin_from_markup(markup: float) -> float:
    """The margin that a markup leaves: markup / (1 + markup).

    Raises:
        NothingToSay: a markup of -1 or less is no price's.
    """
    if markup <= -1:
        raise NothingToSay(f"no price comes from a markup of {markup:.0%}")
    return markup / (1 + markup)


def price_for(cost: Predictive, margin: float, confidence: float) -> float:
    """The price that leaves at least a margin with a confidence.

    Raises:
        NothingToSay: a margin of 1 or more, or a confidence not between 0 and 1.
    """
    return cost.quantile(confidence) * (1 + markup_from_margin(margin))


def chance_of_margin(cost: Predictive, price: float, margin: float) -> float:
    """The chance that a price leaves at least a margin."""
    return cost.cdf(price * (1 - margin))


@dataclass(frozen=True, slots=True)
class LabourVariance:
    """Why labour cost more or less than planned; positive is unfavourable."""

    rate: float
    efficiency: float

    @property
    def total(self) -> float:
        """Both together: actual less planned cost."""
        return self.rate + self.efficiency


def labour_variance(
    actual_time: float, actual_rate: float, planned_time: float, planned_rate: float
) -> LabourVariance:
    """Split a labour overrun into its rate part and its time part (standard-cost variances)."""
    return LabourVariance(
        actual_time * (actual_rate - planned_rate), (actual_time - planned_time) * planned_rate
    )


@dataclass(frozen=True, slots=True)
class GoodsVariance:
    """Why goods cost more or less than planned; positive is unfavourable."""

    price: float
    quantity: float

    @property
    def total(self) -> float:
        """Both together: actual less planned cost."""
        return self.price + self.quantity


def goods_variance(
    actual_quantity: float, actual_price: float, planned_quantity: float, planned_price: float
) -> GoodsVariance:
    """Split a goods overrun into its price part and its quantity part (standard-cost variances).

    Where no quantities are on file, money over a price index stands for them: quantity = money over
    the price level of its day.
    """
    return GoodsVariance(
        actual_quantity * (actual_price - planned_price),
        (actual_quantity - planned_quantity) * planned_price,
    )


def break_even_count(fixed: float, price: float, variable: float) -> float:
    """How many jobs a year pay the fixed cost, each leaving price less variable cost.

    Raises:
        NothingToSay: a job leaves nothing, so no number of them does.
    """
    if price <= variable:
        raise NothingToSay("each job costs at least its price, so no number of them breaks even")
    return fixed / (price - variable)
