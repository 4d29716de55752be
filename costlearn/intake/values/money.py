"""One cell to an amount of money in cents, or the reason it is none."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from costlearn.intake.values.amounts import CURRENCIES, LEAST_PLAIN, Figure, Frame, Unclear
from costlearn.intake.values.cells import LARGEST, Raw, Reading, is_missing, not_a_number, refused
from costlearn.intake.values.numerals import minus_sign, shown, tidy, unquoted
from costlearn.intake.values.sums import read_figure, shown_amount
from costlearn.intake.values.taxes import TaxClause, read_tax_clause, split_tax


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in cents, credits negative.

    Attributes:
        cents: the amount, net of tax where ``tax`` is stated; the middle where it is a range.
        currency: three letters, or None for a bare sign or none at all.
        tax: the tax on it in cents, 0 if the cell says there is none, None if it says nothing.
        low, high: the ends of a range, equal for a figure marked as rough; None if it is exact.
    """

    cents: int
    currency: str | None = None
    tax: int | None = None
    low: int | None = None
    high: int | None = None

    def with_tax(self) -> Money:
        """The same with its tax in it, for a firm that does not get it back."""
        if not self.tax:
            return self
        ends = (e and e + round(self.tax * e / self.cents) for e in (self.low, self.high))
        return Money(self.cents + self.tax, self.currency, 0, *ends)


_PLAIN = {
    ".": re.compile(
        r"(?P<open>\()?(?P<minus>-)?(?:(?P<code>[A-Z]{3}) )?\$? ?"
        r"(?P<whole>[1-9][0-9]{0,2}(?:,[0-9]{3})+|[0-9]{1,10})(?:\.(?P<cents>[0-9]{2}))?(?(open)\))"
    ),
    ",": re.compile(
        r"(?P<open>\()?(?P<minus>-)?(?P<code>(?!))?"
        r"(?P<whole>[1-9][0-9]{0,2}(?:[ .][0-9]{3})+|[0-9]{1,10})(?:,(?P<cents>[0-9]{2}))?(?: ?\$)?"
        r"(?(open)\))"
    ),
}
"""What nine cells in ten look like: read without the grammar."""


def read_money(
    raw: Raw,
    *,
    decimal: str = ".",
    tax_rate: float | None = None,
    firm_currency: str | None = None,
    ranges: bool = False,
    unit: int | None = 1,
    net_only: bool = False,
) -> Reading[Money]:
    """An amount of money in cents, negative for a credit.

    Args:
        raw: the cell.
        decimal: the decimal mark of its column, as ``values.cells.vote_decimal`` finds it.
        tax_rate: the rate (0.13) for a cell that speaks of tax and gives no rate of its own.
        firm_currency: which of two amounts counts where a cell says the same in two currencies.
        ranges: whether a range or a rough figure will do, as for totals of whole jobs; a bill is
            never rough.
        unit: 1000 under a heading in thousands: "38" and "38k" are both 38,000; None where other
            cells write a "k", so that a bare "22" may be either.
        net_only: only the amount without tax counts, so that tax on top needs no rate.

    >>> read_money("(185.40)").value.cents, read_money("~38k all in", ranges=True).value.low
    (-18540, 3800000)
    >>> read_money("1,130.00 incl HST 13%").value.tax
    13000
    >>> read_money("allow 400").problem
    "'allow 400' is an allowance, not a cost"
    """
    plain = _plain(raw, decimal, unit)
    if plain is not None:
        return plain
    frame = Frame(decimal, ranges, unit, firm_currency)
    amount, tail = split_tax(minus_sign(unquoted(tidy(str(raw)))))
    clause, rest = _clause_and_rest(tail, decimal)
    try:
        read = read_figure(amount + rest, frame)
    except Unclear as unclear:
        choices = tuple(Money(_cents(value)) for value in unclear.choices)
        return Reading(problem=f"{shown(raw)} {unclear.why}", code=unclear.code, choices=choices)
    if read is None:
        return Reading(note=f"{shown(raw)} has no figure and is taken as blank")
    reading = _told(read, str(raw))
    return _with_tax(reading, clause, tax_rate, str(raw), net_only=net_only) if tail else reading


def _plain(raw: Raw, decimal: str, unit: int | None) -> Reading[Money] | None:
    """A cell that needs no grammar: blank, a number, an amount as nine in ten are; else None."""
    if isinstance(raw, str) and unit == 1 and (money := _by_form(raw, decimal)) is not None:
        return Reading(money)
    if is_missing(raw):
        return Reading()
    if problem := not_a_number(raw, "amount of money"):
        return Reading(problem=problem, code="wrong type")
    if not isinstance(raw, int | float):
        return None
    why = ""
    if unit is None and 0 < abs(raw) < LEAST_PLAIN:
        why = "may be in dollars or in thousands"
    elif unit not in {1, None} and abs(raw) >= 1000:
        why = "is written in full under a heading in thousands"
    if why:
        return refused(raw, why, "no unit")
    return Reading(Money(_cents(Decimal(repr(raw)) * (unit or 1))))


def _by_form(text: str, decimal: str) -> Money | None:
    """An amount that its form alone tells, or None."""
    match = _PLAIN[decimal].fullmatch(text)
    if match is None:
        return None
    opened, minus, code, whole, cents = match.groups()
    figure = int(re.sub("[^0-9]", "", whole)) * 100 + int(cents or 0)
    currency = CURRENCIES.get(code.lower(), "") if code else None
    if figure > LARGEST * 100 or currency == "" or (opened and minus):
        return None
    return Money(-figure if opened or minus else figure, currency)


def _clause_and_rest(tail: str, decimal: str) -> tuple[TaxClause | None, str]:
    """What is said about tax, and the words behind that which speak of something else."""
    clause = read_tax_clause(tail, decimal)
    for match in () if clause else re.finditer(r"[,;(]", tail):
        clause = read_tax_clause(tail[: match.start()], decimal)
        if clause:
            return clause, tail[match.start() :]
    return clause, ""


def _told(read: Figure, raw: str) -> Reading[Money]:
    """An amount in cents, with what is worth telling of how it was read."""
    low, high = _cents(read.low), _cents(read.high)
    middle, inexact = _cents(read.middle), read.rough or read.low != read.high
    money = Money(middle, read.currency or None)
    if inexact:
        money = replace(money, low=low, high=high)
    figure = shown_amount(read.low)
    if low != high:
        figure += f" to {shown_amount(read.high)}"
    told = list(read.notes)
    if len(read.terms) > 1:
        told.append(f"the sum of {' and '.join(map(shown_amount, read.terms))}")
    if read.rest:
        told.append(f"beside it stands '{read.rest}'")
    what = f"{shown(raw)} is a rough figure, read as" if inexact else f"{shown(raw)} read as"
    note = ": ".join(t for t in (f"{what} {figure}", "; ".join(told)) if t)
    return Reading(money, note=note if inexact or read.spelled or told else "", rest=read.rest)


def _cents(amount: Decimal) -> int:
    """Whole cents, half a cent away from zero."""
    return int((amount * 100).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def _with_tax(
    reading: Reading[Money],
    clause: TaxClause | None,
    tax_rate: float | None,
    raw: str,
    *,
    net_only: bool,
) -> Reading[Money]:
    """An amount with what its cell says about tax worked out: net beside tax."""
    money = reading.value
    if money is None or clause is None:
        return refused(raw, "does not say clearly whether tax is in it", "tax unclear")
    rate = clause.rate
    if clause.how == "none":
        money, told = replace(money, tax=0), "no tax on it"
    elif rate is None and clause.amount is None and tax_rate is None:
        if not net_only or clause.how == "in":
            return refused(raw, "speaks of tax and gives no rate", "no tax rate")
        told = "the tax on top is not counted"
    else:
        if rate is None and clause.amount is None:
            rate = Decimal(repr(tax_rate))
        worked = _taxed(money, clause, rate)
        if worked is None:
            return refused(raw, "gives a tax that does not fit its rate", "tax unclear")
        money = worked
        percent = f"{(rate * 100).normalize():f} % tax" if rate is not None else "tax"
        told = f"{percent} taken out" if clause.how == "in" else f"{percent} on top, kept beside it"
    note = f"{reading.note}; {told}" if reading.note else told
    return replace(reading, value=money, note=note)


def _taxed(money: Money, clause: TaxClause, rate: Decimal | None) -> Money | None:
    """The net amount with its tax; None if a stated tax does not fit, or is of no exact amount."""
    sign = -1 if money.cents < 0 else 1
    stated = None if clause.amount is None else sign * _cents(clause.amount)
    worked = _tax_at(money.cents, rate, clause.how) if rate is not None else stated
    tax = stated if stated is not None else worked
    if tax is None or worked is None or abs(tax - worked) > 1:
        return None
    if rate is None and money.low is not None:
        return None
    if clause.how == "on top":
        return replace(money, tax=tax)
    ends = (money.low, money.high)
    low, high = (None if e is None or not rate else e - _tax_at(e, rate, "in") for e in ends)
    return replace(money, cents=money.cents - tax, tax=tax, low=low, high=high)


def _tax_at(cents: int, rate: Decimal, how: str) -> int:
    """The tax in cents within (``how`` "in") or on top of an amount."""
    base = Decimal(cents) / (1 + rate) if how == "in" else Decimal(cents)
    exact = Decimal(cents) - base if how == "in" else base * rate
    return int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))
