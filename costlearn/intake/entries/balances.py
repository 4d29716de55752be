"""The running balance of a statement, and whether each follows from the line before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

_ENOUGH = 1 / 3
"""Where fewer links than this share hold, the lines are in no order the balance could follow. One
wrong balance breaks two links, and a link hardly holds by chance."""


@dataclass(frozen=True, slots=True)
class Step:
    """A line of a statement: money in less money out, and the balance it states, in cents."""

    moved: int
    balance: int | None


@dataclass(frozen=True, slots=True)
class Break:
    """A line (counted from 0) whose balance does not follow: what it says and what would follow."""

    line: int
    stated: int
    expected: int


@dataclass(frozen=True, slots=True)
class Chain:
    """How the balances of a statement hang together.

    ``links`` pairs of lines were compared. ``sign`` is 1 where money in raises the balance, -1
    where it lowers it (a card's balance is owed). ``ordered`` is False if no order fits.
    """

    links: int
    breaks: tuple[Break, ...]
    sign: int = 1
    ordered: bool = True


def follow(steps: Sequence[Step]) -> Chain:
    """The chain of the balances, oldest or newest line first, whichever fits better.

    >>> follow([Step(300, 1000), Step(-100, 900)]).breaks
    ()
    """
    ways = [
        Chain(sum(links), breaks, sign)
        for newest_first in (False, True)
        for sign in (1, -1)
        for links, breaks in [_follow(steps, sign, newest_first=newest_first)]
    ]
    best = min(ways, key=lambda way: len(way.breaks))
    held = best.links - len(best.breaks)
    return Chain(
        best.links, best.breaks, best.sign, best.links == 0 or held >= _ENOUGH * best.links
    )


def _follow(
    steps: Sequence[Step], sign: int, *, newest_first: bool
) -> tuple[list[int], tuple[Break, ...]]:
    order = range(len(steps) - 1, -1, -1) if newest_first else range(len(steps))
    links: list[int] = []
    breaks: list[Break] = []
    before: int | None = None
    moved = 0
    for at in order:
        step = steps[at]
        moved += sign * step.moved
        if step.balance is None:
            continue
        if before is not None:
            links.append(1)
            expected = before + moved
            if expected != step.balance:
                breaks.append(Break(at, step.balance, expected))
        before, moved = step.balance, 0
    return links, tuple(sorted(breaks, key=lambda b: b.line))


def unsigned(steps: Sequence[Step]) -> dict[int, int]:
    """Lines (from 0) of amounts without a sign: 1 where the balance rose by it, -1 where it fell.

    Lines whose balance moved by another amount are left out, and all of them where less than two in
    three hold.

    >>> unsigned([Step(0, 1000), Step(300, 700), Step(50, 750)])
    {1: -1, 2: 1}
    """
    ways = [_unsigned(steps, order) for order in (range(len(steps)), range(len(steps))[::-1])]
    held, links = max(ways, key=lambda way: len(way[0]))
    return dict(sorted(held.items())) if 3 * len(held) >= 2 * links else {}


def _unsigned(steps: Sequence[Step], order: Sequence[int]) -> tuple[dict[int, int], int]:
    held: dict[int, int] = {}
    before: int | None = None
    links = 0
    for at in order:
        step = steps[at]
        if step.balance is None:
            before = None
            continue
        if before is not None and step.moved:
            links += 1
            gap = step.balance - before
            if abs(gap) == step.moved:
                held[at] = 1 if gap > 0 else -1
        before = step.balance
    return held, links
