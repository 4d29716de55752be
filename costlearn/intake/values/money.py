"""One cell to an amount of money in cents, or the reason it is none.

The parser is strict: it knows the ways amounts are written in job records and refuses the rest,
because an amount misread by a factor of a hundred, or with its minus lost, looks like any other.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from costlearn.intake.values.cells import LARGEST, Raw, Reading, is_missing, not_a_number
from costlearn.intake.values.numerals import (
    MARKS,
    numeral,
    own_decimal,
    shown,
    take_sign,
    tidy,
    unquoted,
)
from costlearn.intake.values.roughly import take_rough
from costlearn.intake.values.taxes import TaxClause, read_tax_clause, split_tax


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in cents, credits negative.

    Attributes:
        cents: the amount, net of tax where ``tax`` is stated.
        currency: three letters, or None for a bare sign or none at all.
        tax: the tax on it in cents, 0 if the cell says there is none, None if it says nothing.
    """

    cents: int
    currency: str | None = None
    tax: int | None = None


_SIGNS = {
    "US$": "USD", "$US": "USD", "U$S": "USD", "C$": "CAD", "CA$": "CAD", "$CA": "CAD",
    "CAN$": "CAD", "$CAN": "CAD", "CDN$": "CAD", "CDN": "CAD", "A$": "AUD", "AU$": "AUD",
    "$AU": "AUD", "NZ$": "NZD", "$NZ": "NZD", "£": "GBP", "€": "EUR", "EURO": "EUR",
    "EUROS": "EUR", "$": "", "DOLLARS": "", "DOLLAR": "",
    **{code: code for code in ("USD", "CAD", "AUD", "NZD", "GBP", "EUR", "CHF", "MXN", "SEK",
                               "NOK", "DKK", "PLN", "CZK", "BRL", "ZAR", "INR", "SGD", "HKD")},
}  # fmt: skip
"""Signs and ISO 4217 codes before or after an amount; "" leaves the currency open."""

_NAMES = "|".join(re.escape(s) for s in sorted(_SIGNS, key=len, reverse=True))
_CURRENCY_BEFORE = re.compile(rf"({_NAMES})(?![A-Z]) ?", re.IGNORECASE)
_CURRENCY_AFTER = re.compile(rf"(?<![A-Z])({_NAMES})\.?$", re.IGNORECASE)
_SPACED_SIGN = re.compile(r"\$ (US|CAN|CA|AU|NZ)\b|\b(US|CAN|CA|CDN|AU|NZ) \$", re.IGNORECASE)
_CREDIT = re.compile(
    r"^(?:cr[eé]dit|cr|refund|remboursement)\b\.?:? ?|(?<![a-z])(?:cr[eé]dit|cr|refund(?:ed)?)\.?$",
    re.I,
)
_DEBIT = re.compile(r"^(?:d[eé]bit|dr)\b\.?:? ?|(?<![a-z])(?:d[eé]bit|dr)\.?$", re.I)

_NOT_A_COST = (
    (re.compile(r"\b(?:allow|allowance|allowances|prov(?:isional)?|p\.?c\.? sum)\b", re.I),
     "is an allowance, not a cost"),
    (re.compile(r"[~≈±?]|\b(?:approx\w*|about|around|circa|ca|roughly|est|estimated?|environ|maybe"
                r"|up to|max|min|say)\b", re.I),
     "is a rough figure, not an amount"),
    (re.compile(r"\d ?%"), "is a percentage, not an amount"),
    (re.compile(r"\d ?(?:@|/|\bper\b|\beach\b|\bx\b|\*)|\bea\b", re.I),
     "is a price by the piece, not an amount"),
    (re.compile(r"^="), "is a formula without its result"),
    (re.compile(r"\d[ ,.\d]*[-+&][ $]*\d|\d (?:to|and|or) [$ ]*\d", re.I),
     "is several amounts, not one"),
)  # fmt: skip
_AMBIGUOUS = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
_THOUSANDS = re.compile(r"([0-9.,]+) ?k", re.IGNORECASE)


def read_money(raw: Raw, *, decimal: str = ".", tax_rate: float | None = None) -> Reading[Money]:
    """An amount of money in cents, negative for a credit.

    Args:
        raw: the cell.
        decimal: the decimal mark of its column, as ``values.cells.vote_decimal`` finds it.
        tax_rate: the rate (0.13) for a cell that speaks of tax and gives no rate of its own.

    >>> read_money("(185.40)").value
    Money(cents=-18540, currency=None, tax=None)
    >>> read_money("1,130.00 incl HST 13%").value
    Money(cents=100000, currency=None, tax=13000)
    >>> read_money("allow 400").problem
    "'allow 400' is an allowance, not a cost"
    """
    if is_missing(raw):
        return Reading()
    problem = not_a_number(raw, "amount of money")
    if problem:
        return Reading(problem=problem)
    if isinstance(raw, int | float):
        return Reading(Money(_cents(Decimal(repr(raw)))))
    text = unquoted(tidy(str(raw)))
    amount, tail = split_tax(text)
    reading = _read_plain(amount, decimal, str(raw))
    if tail and reading.value is not None:
        return _with_tax(reading, read_tax_clause(tail, decimal), tax_rate, str(raw))
    return reading


def read_rough(raw: Raw, *, decimal: str = ".") -> Reading[Money]:
    """A total its writer marks as unsure ("~18k", "33.5k?"), with a note that says the mark.

    For totals of whole jobs, which owners often know no better; a phase or a bill is never rough.

    >>> read_rough("33.5k?").note
    "'33.5k?' is marked '?': a rough figure, read as 33,500 and used as it stands"
    """
    marked = take_rough(unquoted(tidy(str(raw))))
    if not marked.marks:
        return Reading(problem=f"{shown(raw)} is no rough figure")
    reading = read_money(marked.text, decimal=decimal)
    if reading.value is None:
        return Reading(problem=reading.problem or f"{shown(raw)} has no figure")
    marks = " and ".join(f"'{mark}'" for mark in marked.marks)
    figure = _plainly(Decimal(reading.value.cents) / 100)
    first, _, more = reading.note.partition("; ")
    # What a "k" comes to is said already; a decimal mark of its own, or tax, is not.
    told = [t for t in (first, more) if t and not t.endswith(f"read as {figure}")]
    note = f"{shown(raw)} is marked {marks}: a rough figure, read as {figure} and used as it stands"
    return Reading(reading.value, note="; ".join((note, *told)))


def _cents(amount: Decimal) -> int:
    """Whole cents, half a cent away from zero."""
    return int((amount * 100).quantize(Decimal(1), rounding=ROUND_HALF_UP))


@dataclass(frozen=True, slots=True)
class _Stripped:
    """An amount without its sign, currency and credit words."""

    text: str
    minuses: int = 0
    debit: bool = False
    signs: tuple[str, ...] = ()


def _strip_once(state: _Stripped) -> _Stripped:
    """Take one outer mark off: a sign, a currency, a credit or debit word."""
    text = state.text
    for pattern, minus in ((_CREDIT, 1), (_DEBIT, 0)):
        match = pattern.search(text)
        if match:
            rest = (text[: match.start()] + text[match.end() :]).strip()
            debit = state.debit or not minus
            return replace(state, text=rest, minuses=state.minuses + minus, debit=debit)
    signed = take_sign(text)
    if signed.text != text:
        return replace(state, text=signed.text, minuses=state.minuses + signed.minuses)
    match = _CURRENCY_BEFORE.match(text) or _CURRENCY_AFTER.search(text)
    if match:
        rest = (text[: match.start()] + text[match.end() :]).strip()
        return replace(state, text=rest, signs=(*state.signs, _SIGNS[match.group(1).upper()]))
    return state


def _strip(text: str) -> _Stripped:
    """Take every outer mark off."""
    state = _Stripped(_SPACED_SIGN.sub(lambda m: f"{m.group(1) or m.group(2)}$", text))
    while (after := _strip_once(state)) != state:
        state = after
    return state


def _read_plain(text: str, decimal: str, raw: str) -> Reading[Money]:
    """An amount with no word about tax."""
    state = _strip(text)
    currencies = set(state.signs) - {""}
    if not state.text and (state.signs or state.minuses):
        return Reading(note=f"{shown(raw)} has no figure and is taken as blank")
    clash = _clash(state, currencies, decimal)
    if clash:
        return Reading(problem=f"{shown(raw)} {clash}")
    value, note = _figure(state.text, decimal, raw)
    if value is None:
        return Reading(problem=_why_not(text, state.text, decimal, raw))
    if value > Decimal(LARGEST):
        return Reading(problem=f"{shown(raw)} is too large to be an amount of money")
    cents = _cents(-value if state.minuses else value)
    return Reading(Money(cents, currencies.pop() if currencies else None), note=note)


def _clash(state: _Stripped, currencies: set[str], decimal: str) -> str:
    """What contradicts itself in an amount, or ""."""
    if state.minuses > 1 or (state.minuses and state.debit):
        return "is marked negative in two ways"
    if len(currencies) > 1:
        return "names two currencies"
    if _AMBIGUOUS.fullmatch(state.text) and decimal in state.text:
        return "may be thousands or a fraction"
    return ""


def _figure(text: str, decimal: str, raw: str) -> tuple[Decimal | None, str]:
    """The bare figure, "18.5k" included, and what to tell about it.

    A form that proves its own decimal mark ("26 500,00") is read by it, whatever its column does.
    """
    match = _THOUSANDS.fullmatch(text)
    core, times = (match.group(1), 1000) if match else (text, 1)
    value = numeral(core, decimal)
    own = decimal if value is not None else own_decimal(core)
    if value is None and own:
        value = numeral(core, own)
    if value is None:
        return None, ""
    value *= times
    if own != decimal:
        mark, others = MARKS[own], MARKS[decimal]
        told = (
            f"the {mark} is its decimal mark by its own form, though its column writes a {others}"
        )
        return value, f"{shown(raw)} read as {_plainly(value)}: {told}"
    return value, f"{shown(raw)} read as {_plainly(value)}" if match else ""


def _plainly(value: Decimal) -> str:
    """An amount as it is printed: cents only where there are any."""
    return f"{value:,.0f}" if value == value.to_integral_value() else f"{value:,.2f}"


def _why_not(text: str, core: str, decimal: str, raw: str) -> str:
    """Why a text is no amount, as exactly as can be said."""
    for pattern, why in _NOT_A_COST:
        if pattern.search(text):
            return f"{shown(raw)} {why}"
    if numeral(core, "," if decimal == "." else ".") is not None:
        return f"{shown(raw)} does not fit the decimal mark '{decimal}' of its column"
    return f"{shown(raw)} is no amount of money"


def _with_tax(
    reading: Reading[Money], clause: TaxClause | None, tax_rate: float | None, raw: str
) -> Reading[Money]:
    """An amount with what its cell says about tax worked out: net beside tax."""
    money = reading.value
    if money is None or clause is None:
        return Reading(problem=f"{shown(raw)} does not say clearly whether tax is in it")
    if clause.how == "none":
        return Reading(replace(money, tax=0), note="no tax on it")
    sign = -1 if money.cents < 0 else 1
    stated = None if clause.amount is None else sign * _cents(clause.amount)
    rate = clause.rate
    if rate is None and stated is None and tax_rate is not None:
        rate = Decimal(repr(tax_rate))
    if rate is None and stated is None:
        return Reading(problem=f"{shown(raw)} speaks of tax and gives no rate")
    worked = _tax_at(money.cents, rate, clause.how) if rate is not None else stated
    tax = stated if stated is not None else worked
    if tax is None or worked is None or abs(tax - worked) > 1:
        return Reading(problem=f"{shown(raw)} gives a tax that does not fit its rate")
    net = money.cents - tax if clause.how == "in" else money.cents
    percent = f"{(rate * 100).normalize():f} % tax" if rate is not None else "tax"
    told = f"{percent} taken out" if clause.how == "in" else f"{percent} on top, kept beside it"
    note = f"{reading.note}; {told}" if reading.note else told
    return Reading(replace(money, cents=net, tax=tax), note=note)


def _tax_at(cents: int, rate: Decimal, how: str) -> int:
    """The tax in cents within (``how`` "in") or on top of an amount."""
    base = Decimal(cents) / (1 + rate) if how == "in" else Decimal(cents)
    exact = Decimal(cents) - base if how == "in" else base * rate
    return int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))
