"""Cost lines in another currency, turned into the firm's by its dated rates."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from costlearn.firm import Firm
from costlearn.records import CostEntry


@dataclass(frozen=True, slots=True)
class Turned:
    """A cost line in the firm's currency; ``how`` names the rate, "" where none was needed."""

    line: CostEntry
    how: str = ""


def turn(line: CostEntry, firm: Firm) -> Turned | None:
    """A cost line in the firm's currency, or None if no rate is known for its day.

    The rate is the last one dated on or before the line's day; each amount is rounded to the cent,
    half a cent away from zero.

    >>> from datetime import date
    >>> from costlearn.errors import Place
    >>> firm = Firm(currency="CAD", exchange={"USD": {"2025-01-01": 1.44}})
    >>> bill = CostEntry("J", "sub", 1_00, Place(), currency="USD", day=date(2025, 3, 4))
    >>> turn(bill, firm).line.net
    144
    """
    if line.currency is None or line.currency == firm.currency:
        return Turned(line)
    known = firm.rate_on(line.currency, line.day)
    if known is None:
        return None
    since, rate = known
    tax = None if line.tax is None else _times(line.tax, rate)
    turned = replace(line, net=_times(line.net, rate), tax=tax, currency=firm.currency)
    return Turned(turned, f"{line.currency} at {rate:g} of {since}")


def _times(cents: int, rate: float) -> int:
    exact = Decimal(cents) * Decimal(repr(rate))
    return int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))
