"""A cap on the deposit as a firm or a law states it: a share of the price, an amount, or both."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from costlearn.errors import InputProblem, Place

EXPECTED = 'a share of the price, an amount, or both, such as "10%", "1/3" or "10% or 1000"'
_SHARE = re.compile(r"(\d+(?:\.\d+)?)\s*%")
_PART = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})")
_AMOUNT = re.compile(r"[$£€]?\s*(\d{1,3}(?:,\d{3})+|\d+)(\.\d{1,2})?")


@dataclass(frozen=True)
class Cap:
    """The most a deposit may be: the lesser of a share of the price and an amount of money."""

    share: float | None = None
    amount: float | None = None

    def of(self, price: float) -> float:
        """The most a deposit may be at a price, in its money.

        >>> Cap(0.1, 1000.0).of(8_000), Cap(0.1, 1000.0).of(30_000)
        (800.0, 1000.0)
        """
        limits = [price] if self.share is None else [self.share * price]
        limits += [] if self.amount is None else [self.amount]
        return min(limits)


def read_cap(value: Any, where: Place) -> Cap:
    """A cap as it is written down: "10%", "1/3", "1000", "10% or 1000", or a number.

    A number below 1 is a share, any other an amount.

    Raises:
        InputProblem: it is none of these, or says a share or an amount twice.
    """
    shares, amounts = [], []
    for word in re.split(r"\s+(?:or|and)\s+", _written(value).strip()):
        if found := _SHARE.fullmatch(word):
            shares.append(float(found[1]) / 100)
        elif (found := _PART.fullmatch(word)) and int(found[2]):
            shares.append(int(found[1]) / int(found[2]))
        elif found := _AMOUNT.fullmatch(word):
            amounts.append(float(found[1].replace(",", "") + (found[2] or "")))
        else:
            raise _refused(value, where)
    wrong = len(shares) > 1 or len(amounts) > 1
    if wrong or any(not 0 <= s <= 1 for s in shares) or any(a >= 1e9 for a in amounts):
        raise _refused(value, where)
    return Cap(shares[0] if shares else None, amounts[0] if amounts else None)


def checked_cap(value: Any, where: Place) -> str:
    """A cap as a setting keeps it: its own text, once it can be read; empty for none.

    Raises:
        InputProblem: as :func:`read_cap`.
    """
    if value == "":
        return ""
    read_cap(value, where)
    return _written(value).strip()


def _written(value: Any) -> str:
    """A cap as text, a number below 1 as a share."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value * 100:.10g}%" if 0 < value < 1 else f"{value:.2f}"
    return value if isinstance(value, str) else ""


def _refused(value: Any, where: Place) -> InputProblem:
    found = f"found '{' '.join(value.split())}'" if isinstance(value, str) else f"found {value!r}"
    return InputProblem(found, place=where, expected=EXPECTED)
