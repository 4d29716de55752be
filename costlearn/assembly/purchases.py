"""Two records of what may be one purchase: their amounts, days, payees, documents and jobs."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cached_property, lru_cache

from costlearn.assembly.names import leading_codes
from costlearn.records import CostEntry, job_key
from costlearn.vocabulary import UNASSIGNED, fold

DAYS_APART = 3
"""A card is charged within this many days of the receipt; common practice, no source."""
DAYS_ASKED = 7
"""Up to here it may be the same purchase, and a person is asked."""
ONE, TWO = "one purchase", "two purchases"
"""The answers to the question whether two are one."""

_ROUND = 500
"""Cents: amounts in such steps are alike by chance."""
_LIKE = 0.8
_SHORTEST = 5
_SAYS_NOTHING = frozenset(
    ("pos", "purchase", "purchases", "debit", "credit", "card", "achat", "paiement", "payment",
     "the", "inc", "ltd", "ltee", "llc", "co", "corp", "store", "refund", "return", "point", "of",
     "remboursement", "sale", "no", "inv", "invoice", "facture")
)  # fmt: skip
"""Words of a bank line that name nobody; common practice, no source."""


@dataclass(frozen=True)
class Purchase:
    """All cost lines of one row, or of one document of one table."""

    table: tuple[str, str]
    lines: tuple[CostEntry, ...]

    @cached_property
    def amounts(self) -> tuple[int, ...]:
        """What it may be known by elsewhere: what was paid, and that without its tax."""
        gross, net = sum(c.gross for c in self.lines), sum(c.net for c in self.lines)
        return tuple(dict.fromkeys(cents for cents in (gross, net) if cents))

    @cached_property
    def job(self) -> str:
        """The job it names, "" where it names none or several."""
        named = {c.job or "" for c in self.lines}
        return named.pop() if len(named) == 1 else ""

    @cached_property
    def kind(self) -> str:
        """The kind of cost it is, "" where nobody says or there are several."""
        said = {c.kind for c in self.lines}
        return "" if len(said) > 1 or UNASSIGNED in said else said.pop()

    @cached_property
    def place(self) -> tuple[bool, str, str, int]:
        """Its place in an order that no order of import changes: receipts, then statements."""
        first = self.lines[0]
        return first.on_statement, *self.table, first.place.row

    @cached_property
    def rank(self) -> tuple[object, ...]:
        """Sorts the one that counts to the front: a receipt, then the one that says more."""
        first = self.lines[0]
        untold = (not self.kind, first.tax is None, not first.document, not self.job)
        return first.on_statement, *untold, self.place


def are_one(one: Purchase, other: Purchase, told: Mapping[str, str], *, sure: bool) -> bool:
    """Whether two purchases of like amount are one, surely or perhaps."""
    if one.table == other.table:
        return False
    a, b = one.lines[0], other.lines[0]
    mixed = a.on_statement != b.on_statement
    numbered = not mixed and bool(a.document) and bool(b.document)
    if told and (said := told.get(key_of_two(one.lines, other.lines))):
        return said == ONE
    if numbered and _number(a.document) != _number(b.document):
        return False
    if a.day is None or b.day is None:
        return sure and bool(a.document) and fold(a.document) == fold(b.document)
    gap, like = abs((a.day - b.day).days), _like_payees(a.payee, b.payee)
    plain = like and gap <= DAYS_APART and (mixed or numbered or _same_day(one, other))
    return sure if plain else not sure and _may_be_one(one, other, gap, like=like)


def _same_day(one: Purchase, other: Purchase) -> bool:
    return one.lines[0].day == other.lines[0].day and one_job(one, other)


def _may_be_one(one: Purchase, other: Purchase, gap: int, *, like: bool) -> bool:
    """Whether two purchases that both count in a job leave it open if they are one."""
    if not (one.job and other.job):
        return False
    if one.lines[0].on_statement == other.lines[0].on_statement:
        return like and gap <= DAYS_APART and (gap == 0 or one_job(one, other))
    if like:
        named = all(_words(side.lines[0].payee) for side in (one, other))
        return named and gap <= DAYS_ASKED and one_job(one, other)
    return gap <= DAYS_APART and bool(one.amounts[0] % _ROUND) and one_job(one, other)


def one_job(one: Purchase, other: Purchase) -> bool:
    """Whether two purchases name one job, or one of them names none."""
    if not one.job or not other.job:
        return True
    first, second = job_key(one.job), job_key(other.job)
    words = set(fold(one.job).split()), set(fold(other.job).split())
    if first == second or words[0] <= words[1] or words[1] <= words[0]:
        # "Basswood" and "basswood bath", "14 Juniper" and "Juniper 14".
        return True
    return first in leading_codes(other.job) or second in leading_codes(one.job)


def key_of_two(one: Sequence[CostEntry], other: Sequence[CostEntry]) -> str:
    """What names the question about two purchases, wherever their rows stand."""
    first, second = sorted((said_of(one), said_of(other)))
    return " ".join(f"twin: {first} / {second}".split())


def said_of(lines: Sequence[CostEntry]) -> str:
    """A purchase by its day, payee and amount."""
    first = lines[0]
    cents = sum(line.gross for line in lines)
    parts = (first.day.isoformat() if first.day else "", first.payee, f"{cents / 100:,.2f}")
    return " ".join(part for part in parts if part)


def _number(document: str) -> str:
    """The last run of digits of a document's name ("SUP-5521" is 5521), else the name itself."""
    digits = re.findall(r"\d+", document)
    return digits[-1].lstrip("0") if digits else fold(document)


@lru_cache(maxsize=1 << 14)
def _words(payee: str) -> frozenset[str]:
    words = fold(payee).split()
    return frozenset(w for w in words if not w.isdigit() and w not in _SAYS_NOTHING)


@lru_cache(maxsize=1 << 14)
def _like_payees(one: str, other: str) -> bool:
    first, second = _words(one), _words(other)
    if not first or not second:
        return True
    if 2 * len(first & second) > min(len(first), len(second)):
        return True
    plain, cut = ("".join(fold(p).split()) for p in (one, other))
    short, long = sorted((plain, cut), key=len)
    if len(short) >= _SHORTEST and short in long:
        return True
    return SequenceMatcher(None, plain, cut).ratio() >= _LIKE
