"""Ranges so wide that their figures would only mislead: they are withheld, and a sentence says so.

A floor of a million square feet asked of a firm of bathrooms gives "$7 to $149,000,000,000": right,
and worth nothing. Where the upper end of the 8-in-10 range is over a thousand times the lower, no
figure of that target is given anywhere; in between ranges are shown, and said to be too wide.
"""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.models.distribution import Draws, LogSpread

MOST_TOLD = 1_000.0
"""A range whose ends lie further apart than this is withheld (judgement, no source)."""
GUESS = ": treat as a guess."
"""What a sentence on a floor outside the history ends with."""


def withheld(spread: LogSpread | Draws) -> bool:
    """True if the 80 % range is too wide for any of its figures to be given."""
    return not spread.interval(0.8).ratio <= MOST_TOLD


def say_withheld(what: str = "price", outside: Sequence[str] = ()) -> str:
    """Why there is no figure, and the first of what lies outside the history.

    >>> say_withheld("price").split(":")[0]
    'Your records hold no price for this'
    """
    text = (
        f"Your records hold no {what} for this: the range would reach from one figure to over "
        f"{MOST_TOLD:,.0f} times as much, so none is given."
    )
    return " ".join((text, *outside[:1]))


def unguessed(outside: Sequence[str]) -> tuple[str, ...]:
    """What lies outside the history, where there is no figure to be treated as a guess."""
    return tuple(said.replace(GUESS, ".") for said in outside)
