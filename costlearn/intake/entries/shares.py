"""A cost line shared by several jobs: by percentages, by amounts, or the rest for one of them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from costlearn.intake.values.money import read_money

_PARTS = re.compile(r"[/;+&\n]|,(?!\d)")
_PERCENT = re.compile(r"\s*(?P<job>.+?)[\s:(=-]*(?P<share>\d+(?:[.,]\d+)?)\s*%\)?\s*")
_AMOUNT = re.compile(
    r"\s*(?P<job>.+?)[\s:(=]+(?P<share>(?:[$€£]\s*[\d.,]*\d|[\d.,]*\d[.,]\d\d)(?:\s*\$)?)\)?\s*"
)
_REST = re.compile(
    r"\s*(?P<job>.+?)[\s:(=-]+(?:the )?(?:rest|remainder|reste|le reste|the balance)\)?\s*", re.I
)
_HALVES = re.compile(
    r"\s*(?:half|1/2|½|moiti[eé]) (?P<one>.+?)[\s,;/+&]+(?:and |et )?(?:half|1/2|½|moiti[eé]) "
    r"(?P<other>.+?)\s*",
    re.I,
)
_SLACK = Fraction(5, 1000)
"""Percentages may miss 100 by this much: 33.33, 33.33 and 33.34."""


@dataclass(frozen=True, slots=True)
class Split:
    """The jobs a line is shared by with their weights, or why the shares cannot be used."""

    jobs: tuple[tuple[str, Fraction], ...] = ()
    problem: str = ""

    def out(self, cents: int) -> list[int]:
        """Whole cents for each job, adding up to the whole: largest remainders get the odd cents.

        >>> Split((("A", Fraction(1)), ("B", Fraction(1)), ("C", Fraction(1)))).out(100)
        [34, 33, 33]
        """
        return shared(cents, [weight for _, weight in self.jobs])


def shared(cents: int, weights: Sequence[Fraction | int]) -> list[int]:
    """Whole cents by weights, adding up to the whole: largest remainders get the odd cents.

    >>> shared(100, [1, 1, 1])
    [34, 33, 33]
    """
    whole = sum(weights)
    exact = [Fraction(cents * weight) / whole for weight in weights]
    parts = [share.numerator // share.denominator for share in exact]
    order = sorted(range(len(parts)), key=lambda i: parts[i] - exact[i])
    for i in order[: cents - sum(parts)]:
        parts[i] += 1
    return parts


def read_split(text: str, cents: Sequence[int]) -> Split | None:
    """How a line is shared, or None if the text is a job's name and no split.

    Args:
        text: "J11 50% / J12 30% / shop 20%", "J11 $300 / J12 rest" and the like.
        cents: what amounts may add up to (the line's net, its total); signs do not matter.

    >>> [job for job, _ in read_split("J11 50% / J12 30% / shop 20%", [60_000]).jobs]
    ['J11', 'J12', 'shop']
    >>> [job for job, _ in read_split("half birch half aspen", [60_000]).jobs]
    ['birch', 'aspen']
    >>> read_split("J11 60% / J12 30%", [60_000]).problem
    "the shares of 'J11 60% / J12 30%' add up to 90 %, not 100 %"
    """
    halves = _HALVES.fullmatch(text)
    if halves:
        return Split(((halves["one"], Fraction(1)), (halves["other"], Fraction(1))))
    parts = [part for part in _PARTS.split(text) if part.strip()]
    for pattern in (_PERCENT, _AMOUNT):
        found = [(_match(pattern, part), _match(_REST, part)) for part in parts]
        rests = sum(1 for share, rest in found if rest and not share)
        shares = sum(1 for share, _ in found if share)
        if shares == 0 or rests > 1 or any(not share and not rest for share, rest in found):
            continue
        if pattern is _PERCENT:
            return _by_percent(text, found)
        if len(parts) > 1:
            return _by_amount(text, found, cents)
    return None


_Found = list[tuple[re.Match[str] | None, re.Match[str] | None]]


def _match(pattern: re.Pattern[str], part: str) -> re.Match[str] | None:
    return pattern.fullmatch(part)


def _named(found: _Found, weights: list[Fraction | None], rest: Fraction) -> Split:
    jobs = [
        ((share or other)["job"].strip(), rest if weight is None else weight)  # type: ignore[index]
        for (share, other), weight in zip(found, weights, strict=True)
    ]
    return Split(tuple(jobs))


def _by_percent(text: str, found: _Found) -> Split:
    weights = [Fraction(s["share"].replace(",", ".")) if s else None for s, _ in found]
    stated = sum((w for w in weights if w is not None), Fraction(0))
    left = 100 - stated
    if None in weights:
        if left <= 0:
            return Split(problem=f"the shares of '{text}' leave no rest: {float(stated):g} %")
        return _named(found, weights, Fraction(left))
    if abs(left) > _SLACK or not stated:
        total = f"{float(stated):g} %"
        return Split(problem=f"the shares of '{text}' add up to {total}, not 100 %")
    return _named(found, weights, Fraction(0))


def _by_amount(text: str, found: _Found, cents: Sequence[int]) -> Split:
    weights: list[Fraction | None] = []
    for share, _ in found:
        if share is None:
            weights.append(None)
            continue
        money = read_money(share["share"], decimal=_decimal(share["share"])).value
        if money is None:
            return Split(problem=f"'{share['share']}' in '{text}' is no amount of money")
        weights.append(Fraction(money.cents))
    stated = int(sum(w for w in weights if w is not None))
    wholes = [abs(c) for c in cents]
    if None in weights:
        left = wholes[0] - stated
        if left <= 0:
            return Split(problem=f"the parts of '{text}' leave no rest of {wholes[0] / 100:,.2f}")
        return _named(found, weights, Fraction(left))
    if stated not in wholes or not stated:
        told = f"{stated / 100:,.2f}, not to {wholes[0] / 100:,.2f}"
        return Split(problem=f"the parts of '{text}' add up to {told}")
    return _named(found, weights, Fraction(0))


def _decimal(text: str) -> str:
    """The decimal mark of one amount: a comma before its last two digits, else a point."""
    return "," if re.search(r",\d\d\D*$", text) else "."
