"""What an amount's cell says about tax: in it, on top of it, or none."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from costlearn.intake.values.numerals import numeral

_NUMBER = r"[0-9][0-9.,' ]*[0-9]|[0-9]"
_TAX = r"(?:[hgpqr]\.?s\.?t|tps|tvq|tvh|tva|vat|taxes|taxe|tax|tx)\b\.?"
_IN = (
    r"(?:inclus(?:es|ive|e)?|incl(?:uding|udes|uded|ude)?|inc|comprise?s?|with|w/|avec|ttc)"
    r"(?![a-z])\.?(?: of\b)?"
)
_ON_TOP = (
    r"(?:\+|plus\b|excl(?:uding|udes|uded|usive)?\b\.?(?: of\b)?|exc?\b\.?|before\b|avant\b"
    r"|hors\b|en sus\b|ht\b|net of\b)"
)
_NONE = r"(?:no|sans|non|free|exempt|exempte|exempted|zero[- ]rated)\b"
_JOIN = r"(?:and|et|at|on|à|a|of|de|la|les|toutes|sales|the)(?![a-z])|[@&/,;:=()$]"

_TOKEN = re.compile(
    rf"\s*(?:(?P<rate>(?:{_NUMBER}) ?%)|(?P<tax>{_TAX})|(?P<top>{_ON_TOP})|(?P<in>{_IN})"
    rf"|(?P<none>{_NONE})|(?P<amount>{_NUMBER})|(?P<join>{_JOIN}))",
    re.IGNORECASE,
)
_TAX_WORD = re.compile(rf"(?<![a-z]){_TAX}|\b(?:ttc|ht)\b", re.IGNORECASE)
_CLAUSE_START = re.compile(
    rf"[(,;]? ?(?<![a-z])(?:{_ON_TOP}|{_IN}|{_NONE}|{_TAX}|(?:{_NUMBER}) ?%)", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class TaxClause:
    """What was said: ``how`` is "in", "on top" or "none"; a rate as a share, or an amount."""

    how: str
    rate: Decimal | None = None
    amount: Decimal | None = None


def split_tax(text: str) -> tuple[str, str]:
    """Part a tidied text into the amount and what is said about tax, "" if nothing is.

    >>> split_tax("1,130.00 incl HST 13%")
    ('1,130.00', 'incl HST 13%')
    """
    if not _TAX_WORD.search(text):
        return text, ""
    for match in _CLAUSE_START.finditer(text):
        head, tail = text[: match.start()].strip(), text[match.start() :].strip()
        if any(c.isdigit() for c in head):
            return head, tail
    return text, ""


def read_tax_clause(tail: str, decimal: str) -> TaxClause | None:
    """What the words after an amount say about tax, or None if that is not clear.

    Several rates (two taxes on the same net amount) are added.

    >>> read_tax_clause("+ HST", ".")
    TaxClause(how='on top', rate=None, amount=None)
    """
    ways: list[str] = []
    rates: list[Decimal] = []
    amounts: list[Decimal] = []
    position = 0
    while position < len(tail):
        match = _TOKEN.match(tail, position)
        if match is None:
            return None
        position = match.end()
        kind = match.lastgroup or ""
        word = match.group(kind)
        if kind in {"rate", "amount"}:
            value = _number(word, decimal)
            if value is None:
                return None
            (rates if kind == "rate" else amounts).append(value)
        elif kind in {"in", "top", "none"} and not (word == "+" and ways):
            # A later plus joins two taxes and says nothing of its own.
            ways.append(kind)
    return _clause(set(ways), rates, amounts)


def _number(text: str, decimal: str) -> Decimal | None:
    """A rate as a share, or an amount; a rate is taken with either decimal mark."""
    if not text.endswith("%"):
        return numeral(text.strip(), decimal)
    figure = numeral(text[:-1].strip().replace(",", "."), ".")
    return None if figure is None or not 0 < figure < 100 else figure / 100


def _clause(ways: set[str], rates: list[Decimal], amounts: list[Decimal]) -> TaxClause | None:
    """Put the parts together, if they agree."""
    if len(ways) != 1 or len(amounts) > 1:
        return None
    how = {"in": "in", "top": "on top", "none": "none"}[ways.pop()]
    if how == "none" and (rates or amounts):
        return None
    rate = sum(rates, Decimal(0)) if rates else None
    return TaxClause(how, rate, amounts[0] if amounts else None)
