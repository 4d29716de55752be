"""The same purchase in two tables, a receipt and a card line say: found, told, never dropped."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache

from costlearn.assembly.trail import Trail
from costlearn.firm import Firm
from costlearn.records import COST_KINDS, CostEntry, Twin
from costlearn.units import say_count
from costlearn.vocabulary import fold

DAYS_APART = 3
"""A card is charged within this many days of the receipt; common practice, no source."""

_LIKE = 0.8
_SHORTEST = 5
_SAYS_NOTHING = frozenset(
    ("pos", "purchase", "purchases", "debit", "credit", "card", "achat", "paiement", "payment",
     "the", "inc", "ltd", "ltee", "llc", "co", "corp", "store", "refund", "return", "point", "of",
     "remboursement", "sale", "no", "inv", "invoice", "facture")
)  # fmt: skip
"""Words of a bank line that name nobody; common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Purchase:
    """All cost lines of one row; ``rank`` is its place in the order of import."""

    rank: int
    table: tuple[str, str]
    lines: tuple[CostEntry, ...]


def find_twins(costs: Iterable[CostEntry], firm: Firm) -> tuple[Twin, ...]:
    """Purchases that stand in two tables: same amount, within 3 days, like payee.

    A table is a sheet of a file; two like purchases of one sheet are two purchases. A split
    receipt is one purchase. Without a date on either side the document must be the same. A payee
    nobody names does not speak against it. Each purchase is in one pair at most, the nearest.
    """
    rows: dict[tuple[str, str, int], list[CostEntry]] = {}
    for line in costs:
        rows.setdefault((line.place.file, line.place.sheet, line.place.row), []).append(line)
    alike: dict[tuple[str, int], list[_Purchase]] = {}
    for rank, (where, lines) in enumerate(rows.items()):
        amount = sum(line.gross for line in lines)
        if amount:
            mark = (lines[0].currency or firm.currency, amount)
            alike.setdefault(mark, []).append(_Purchase(rank, where[:2], tuple(lines)))
    pairs: list[tuple[_Purchase, _Purchase]] = []
    for group in alike.values():
        if len({purchase.table for purchase in group}) > 1:
            pairs += _pairs(group)
    pairs.sort(key=lambda pair: (pair[0].rank, pair[1].rank))
    return tuple(Twin(a.lines, b.lines, _counted(a, b, firm)) for a, b in pairs)


def say_twins(twins: Sequence[Twin], costs: Sequence[CostEntry], trail: Trail) -> None:
    """Say in a job's trail which of its purchases count twice."""
    if not twins:
        return
    mine = {(c.place.file, c.place.sheet, c.place.row) for c in costs}
    doubled = [
        twin
        for twin in twins
        if twin.counted == BOTH
        and any(
            (side[0].place.file, side[0].place.sheet, side[0].place.row) in mine
            for side in (twin.first, twin.second)
        )
    ]
    if doubled:
        first = doubled[0]
        trail.disagree(
            f"direct cost: {say_count(len(doubled), 'purchase')} may stand twice, first "
            f"{first.first[0].place} and {first.second[0].place}; both are counted."
        )


BOTH = "both are counted"


def _counted(one: _Purchase, other: _Purchase, firm: Firm) -> str:
    """What of a pair enters the jobs' costs."""
    counts = [any(_counts(line, firm) for line in p.lines) for p in (one, other)]
    if all(counts):
        return BOTH
    if not any(counts):
        return "neither is counted in a job"
    place = (one if counts[0] else other).lines[0].place
    return f"only the one at {place} is counted, the other is in no job's cost"


def _counts(line: CostEntry, firm: Firm) -> bool:
    known = line.currency in (None, firm.currency) or firm.rate_on(line.currency or "", line.day)
    return bool(line.job) and line.kind in COST_KINDS and bool(known)


def _pairs(group: list[_Purchase]) -> list[tuple[_Purchase, _Purchase]]:
    """Pairs of one amount, the nearest days first."""
    dated = sorted((p for p in group if p.lines[0].day), key=lambda p: (_day(p), p.rank))
    near: list[tuple[int, int, int, _Purchase, _Purchase]] = []
    for i, one in enumerate(dated):
        for other in dated[i + 1 :]:
            gap = _day(other) - _day(one)
            if gap > DAYS_APART:
                break
            if one.table != other.table and _alike(one.lines[0], other.lines[0]):
                first, second = sorted((one, other), key=lambda p: p.rank)
                near.append((gap, first.rank, second.rank, first, second))
    undated = [p for p in group if not p.lines[0].day]
    for one in undated:
        for other in group:
            if one.rank != other.rank and one.table != other.table and _same_document(one, other):
                first, second = sorted((one, other), key=lambda p: p.rank)
                near.append((DAYS_APART, first.rank, second.rank, first, second))
    taken: set[int] = set()
    pairs: list[tuple[_Purchase, _Purchase]] = []
    for _, a, b, first, second in sorted(near, key=lambda n: n[:3]):
        if a not in taken and b not in taken:
            taken |= {a, b}
            pairs.append((first, second))
    return pairs


def _day(purchase: _Purchase) -> int:
    day = purchase.lines[0].day
    return day.toordinal() if day else 0


def _same_document(one: _Purchase, other: _Purchase) -> bool:
    first, second = one.lines[0].document, other.lines[0].document
    return bool(first) and fold(first) == fold(second)


def _alike(one: CostEntry, other: CostEntry) -> bool:
    """Whether payees are alike and documents, where both name one, do not differ."""
    if one.document and other.document and _number(one.document) != _number(other.document):
        return False
    return _like_payees(one.payee, other.payee)


def _number(document: str) -> str:
    """The last run of digits of a document's name ("SUP-5521" is 5521), else the name itself."""
    digits = re.findall(r"\d+", document)
    return digits[-1].lstrip("0") if digits else fold(document)


@lru_cache(maxsize=1 << 14)
def _words(payee: str) -> frozenset[str]:
    words = fold(payee).split()
    return frozenset(w for w in words if not w.isdigit() and w not in _SAYS_NOTHING)


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
