"""How wide the range is against the classes of a published practice of estimating: one line.

A yardstick from process industries, for plausibility only: nothing is fitted to it and no price
comes from it.
"""

from __future__ import annotations

from dataclasses import dataclass

from costlearn.models.distribution import Interval
from costlearn.units import say_percent

SOURCE = "AACE International 18R-97"


@dataclass(frozen=True)
class ClassBand:
    """One class of estimate: how far the actual cost may lie off it, as shares of the estimate.

    ``low`` and ``high`` are the ends of the band, nearest and furthest; ``scope`` how much of the
    scope is fixed, in percent.
    """

    number: int
    low: tuple[float, float]
    high: tuple[float, float]
    scope: tuple[int, int]


CLASSES = (
    ClassBand(1, (-0.03, -0.10), (0.03, 0.15), (65, 100)),
    ClassBand(2, (-0.05, -0.15), (0.05, 0.20), (30, 75)),
    ClassBand(3, (-0.10, -0.20), (0.10, 0.30), (10, 40)),
    ClassBand(4, (-0.15, -0.30), (0.20, 0.50), (1, 15)),
    ClassBand(5, (-0.20, -0.50), (0.30, 1.00), (0, 2)),
)
"""Expected accuracy by class, low side and high side. Source: AACE International Recommended
Practice 18R-97, Cost Estimate Classification System, as applied in process industries; furthest
ends and share of scope looked up, nearest ends from memory."""


@dataclass(frozen=True)
class Yardstick:
    """Ends of the 80 % range as shares off its middle, and the narrowest class that holds it.

    ``holds`` is None where the range is wider than the widest class.
    """

    low: float
    high: float
    holds: int | None
    sentence: str


def against_classes(interval: Interval, median: float) -> Yardstick:
    """A range against the classes: the narrowest whose furthest ends hold it on both sides."""
    low, high = interval.low / median - 1, interval.high / median - 1
    held = next((c for c in CLASSES if c.low[1] <= low and high <= c.high[1]), None)
    ours = f"The 8-in-10 range is {_ends(low, high)} of its middle"
    if held is None:
        widest = CLASSES[-1]
        said = f"wider than class {widest.number} ({_ends(widest.low[1], widest.high[1])})"
    elif low > held.low[0] and high < held.high[0] and held is CLASSES[0]:
        said = f"narrower than even class 1 is expected to be ({_ends(held.low[0], held.high[0])})"
    else:
        said = f"within what class {held.number} may be off ({_ends(held.low[1], held.high[1])})"
    return Yardstick(
        low,
        high,
        held.number if held else None,
        f"{ours}, {said} in {SOURCE}, a yardstick from process industries, plausibility only",
    )


def _ends(low: float, high: float) -> str:
    signed = say_percent(low, signed=True), say_percent(high, signed=True)
    return f"{signed[0]} to {signed[1]}"
