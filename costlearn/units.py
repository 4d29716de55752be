"""Area, length, hours, days and money: the few conversions, and how they are printed.

Areas are kept in square feet, money in cents (whole numbers), time in days. Printing rounds as a
contractor speaks: dollars to two or three significant figures, days to halves.
"""

from __future__ import annotations

import math

SQFT_PER_SQM = 10.7639
"""Square feet in a square metre (international foot of 0.3048 m, rounded to 6 figures)."""

FT_PER_M = 3.28084
"""Feet in a metre (international foot of 0.3048 m, rounded to 6 figures)."""

SYMBOLS = {"USD": "$", "CAD": "$", "AUD": "$", "NZD": "$", "GBP": "£", "EUR": "€"}
"""Signs put before an amount; any other currency shows its three letters."""


def to_cents(amount: float) -> int:
    """Turn an amount in whole currency units into cents, half a cent away from zero."""
    scaled = abs(amount) * 100
    return int(math.copysign(math.floor(scaled + 0.5 + 1e-9), amount))


def from_cents(cents: int) -> float:
    """Turn cents into an amount in whole currency units."""
    return cents / 100


def round_figures(value: float, figures: int) -> float:
    """Round to a number of significant figures (0 stays 0)."""
    if value == 0 or not math.isfinite(value):
        return value
    return round(value, figures - 1 - math.floor(math.log10(abs(value))))


def say_money(amount: float | None, currency: str = "USD", *, exact: bool = False) -> str:
    """Print an amount in whole currency units: three significant figures, or to the cent.

    >>> say_money(18432.17)
    '$18,400'
    >>> say_money(-640)
    '-$640'
    """
    if amount is None or not math.isfinite(amount):
        return "not known"
    sign = SYMBOLS.get(currency, currency + " ")
    shown = f"{abs(amount):,.2f}" if exact else f"{abs(round_figures(amount, 3)):,.0f}"
    minus = "-" if amount < 0 and shown.strip("0.,") else ""
    return f"{minus}{sign}{shown}"


def exact_money(amount: float | None, currency: str) -> str:
    """Print an amount as it is written on a bill, cents only where there are some.

    >>> exact_money(7900.0, "USD"), exact_money(812.5, "USD")
    ('$7,900', '$812.50')
    """
    return say_money(amount, currency, exact=True).removesuffix(".00")


def say_days(days: float | None) -> str:
    """Print a number of days to the nearest half.

    >>> say_days(6.3)
    '6.5 days'
    >>> say_days(1)
    '1 day'
    """
    if days is None or not math.isfinite(days):
        return "not known"
    halves = math.floor(days * 2 + 0.5) / 2
    shown = f"{halves:,.0f}" if halves == int(halves) else f"{halves:,.1f}"
    return f"{shown} day" + ("" if halves == 1 else "s")


def say_percent(share: float | None, *, signed: bool = False) -> str:
    """Print a share as a whole percentage.

    >>> say_percent(0.123, signed=True)
    '+12 %'
    """
    if share is None or not math.isfinite(share):
        return "not known"
    whole = math.floor(abs(share) * 100 + 0.5) * (1 if share >= 0 else -1)
    return f"{whole:+d} %" if signed else f"{whole:d} %"


def say_count(number: float, noun: str, nouns: str = "") -> str:
    """Print a number with its noun; ``nouns`` where several take more than an "s".

    >>> say_count(1, "row"), say_count(1200, "row"), say_count(2, "entry", "entries")
    ('1 row', '1,200 rows', '2 entries')
    """
    shown = f"{number:,.0f}" if float(number).is_integer() else f"{number:,.6g}"
    return f"{shown} {noun if number == 1 else nouns or noun + 's'}"


def say_area(sqft: float | None, unit: str = "sqft") -> str:
    """Print an area in the user's unit (``"sqft"`` or ``"sqm"``)."""
    if sqft is None or not math.isfinite(sqft):
        return "not known"
    if unit == "sqm":
        return f"{sqft / SQFT_PER_SQM:.1f} m²"
    return f"{sqft:.0f} sq ft"


def say_odds(chance: float, verb: tuple[str, str] = ("", "")) -> str:
    """Print a chance in the plain words of the house: so many jobs in ten, or in a hundred.

    Args:
        chance: 0 to 1.
        verb: what those jobs do, for one and for several.

    >>> say_odds(0.31)
    '3 jobs in 10'
    >>> say_odds(0.01, ("costs", "cost")) + " more"
    '1 job in 100 costs more'
    """
    if chance < 0.005:
        text, one = "fewer than 1 job in 100", True
    elif chance >= 0.995:
        text, one = "more than 99 jobs in 100", False
    else:
        whole = 100 if chance < 0.075 or chance > 0.925 else 10
        count = math.floor(chance * whole + 0.5)
        one = count == 1
        text = f"{count} job{'' if one else 's'} in {whole}"
    return f"{text} {verb[0] if one else verb[1]}".rstrip()
