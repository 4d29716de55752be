"""The smallest payments that keep a job's cash at or above zero, from draws of what it spends.

Money goes out in parts that follow one another; money comes in as a deposit, as payments at the end
of some parts, and as the rest at the end. What is paid before the end is at most what the work has
taken by then with a stated chance, held at all those moments together (a simultaneous band: one
chance for each moment, the same for all, raised until the chance of all at once is met).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats

MOST_BETWEEN = 4
"""More payments than this between deposit and end are never asked for (trade judgement)."""
FAIR_PART = 1 / 3
"""No payment before the end is over this part of the price, where the parts of the work allow it
(trade judgement, no source; no legal cap)."""
HARDLY = 1.1
"""More payments are not worth it if the largest shrinks by less than this factor."""
FURTHEST = 0.97
"""No payment is raised past this chance to make up for another that is capped."""
ROUNDING = 1e-9
SMALLEST = 1.0
"""Less own money than this is rounding, not a carry."""
STEPS = 400
"""Moments at which the cash of a draw is looked at to count its days below zero."""


@dataclass(frozen=True)
class Course:
    """How the money of a job goes out.

    Args:
        spend: draws of what each part takes, shape (draws, parts).
        starts: when each part starts, shape (parts,).
        ends: when it ends, shape (parts,); in the unit of ``starts``, none before its start.
        before: share of a part that is bought by its start, shape (parts,); the rest goes out
            evenly from start to end.
        delay: how long after its start a part's bought share is paid.
    """

    spend: Floats
    starts: Floats
    ends: Floats
    before: Floats
    delay: float = 0.0

    @property
    def end(self) -> float:
        """When the last part ends."""
        return float(self.ends.max())

    def spent(self, times: Sequence[float] | Floats) -> Floats:
        """What has gone out by some times, ends included, shape (draws, times)."""
        t = np.asarray(times, dtype=float)[:, None]
        length = np.where(self.ends > self.starts, self.ends - self.starts, 1.0)
        worked = np.where(t >= self.ends, 1.0, np.clip((t - self.starts) / length, 0.0, 1.0))
        bought = t >= self.starts + self.delay
        share = (1 - self.before) * worked + self.before * bought
        return np.asarray(self.spend @ share.T, dtype=float)


@dataclass(frozen=True)
class Terms:
    """What payments must keep to, in money: the price, the most a deposit may be, what stays back.

    ``step`` is what payments are rounded to; the last one takes what is left to the cent.
    """

    price: float
    deposit_cap: float | None = None
    held_back: float = 0.0
    step: float = 1.0


@dataclass(frozen=True)
class Payments:
    """A deposit, payments at the end of parts, and the rest at the end; they sum to the price.

    Attributes:
        deposit: paid before the start.
        after: which milestones bring a payment, as places in the list that was given.
        progress: what each of them brings.
        final: paid at the end.
        keeps: the chance that cash never falls below zero on these payments alone.
        carry: own money that keeps cash at or above zero with the stated chance; 0 if none.
        carry_time: how long it is out with that chance, in the unit of the course; 0 if none.
        carry_until: the payment that ends the stretch in which most is out: place in ``progress``,
            the number of them for the end, None without a carry.
    """

    deposit: float
    after: tuple[int, ...]
    progress: tuple[float, ...]
    final: float
    keeps: float
    carry: float = 0.0
    carry_time: float = 0.0
    carry_until: int | None = None

    def paid(self, times: Floats, milestones: Sequence[float]) -> Floats:
        """What has come in before some times, the end left out, same shape."""
        total = np.full(np.shape(times), self.deposit)
        for place, amount in zip(self.after, self.progress, strict=True):
            total = total + amount * (np.asarray(times) > milestones[place])
        return total


def levels_for(spent: Floats, sure: float, ceilings: Floats | float = np.inf) -> Floats:
    """The least amounts that hold what was spent at all moments together, with a chance.

    Args:
        spent: draws by moments, shape (draws, moments).
        sure: the chance that all of them hold at once.
        ceilings: the most an amount may be, shape (moments,). Where one stands in the way the
            others give way upward, up to a chance of 97 % each; where that does not do, all are
            what they would be without ceilings, cut to them.

    Raises:
        NothingToSay: no draws, or a chance not strictly between 0 and 1.
    """
    if not 0 < sure < 1 or spent.size == 0:
        raise NothingToSay("no level holds this", expected="draws, and a chance between 0 and 1")
    ordered = np.sort(spent, axis=0)
    found = _raised(spent, ordered, sure, ceilings, len(ordered) - 1)
    if np.all(found <= ceilings):
        return found
    most = int(np.ceil(max(sure, FURTHEST) * len(ordered))) - 1
    cut = np.minimum(_raised(spent, ordered, sure, ceilings, most), ceilings)
    if np.mean((spent <= cut + ROUNDING).all(axis=1)) >= sure:
        return cut
    free = _raised(spent, ordered, sure, np.inf, len(ordered) - 1)
    return np.asarray(np.minimum(free, ceilings), dtype=float)


def _raised(
    spent: Floats, ordered: Floats, sure: float, ceilings: Floats | float, most: int
) -> Floats:
    """The lowest rank of the ordered draws, up to ``most``, that holds them under ceilings."""
    low, high = min(int(np.ceil(sure * len(ordered))) - 1, most), most
    while low < high:
        middle = (low + high) // 2
        held = spent <= np.minimum(ordered[middle], ceilings) + ROUNDING
        if np.mean(held.all(axis=1)) >= sure:
            high = middle
        else:
            low = middle + 1
    return np.asarray(ordered[low], dtype=float)


def smallest_payments(
    course: Course, milestones: Sequence[float], terms: Terms, sure: float = 0.9
) -> Payments:
    """The fewest and smallest payments that keep cash at or above zero with a chance.

    Args:
        course: how the money goes out.
        milestones: when a payment between deposit and end may fall due, rising, before the end.
        terms: price, cap of the deposit, what is held back, rounding.
        sure: the wanted chance. Where cap or holdback stand in the way, the payments are those
            that would keep it without them, cut to what is allowed, and ``carry`` fills the gap.

    Raises:
        NothingToSay: the price itself covers all spending less often than that.
    """
    moments = np.array([*milestones, course.end])
    spent = course.spent(moments)
    if np.mean(spent[:, -1] <= terms.price) < sure:
        raise NothingToSay("the price covers what the job spends too seldom for any payments")
    after = _when(levels_for(spent, sure), terms, len(milestones))
    chosen = [*after, len(milestones)]
    needed = levels_for(spent[:, chosen], sure)
    levels = _allowed(levels_for(spent[:, chosen], sure, _ceilings(terms, len(chosen))), terms)
    plan = _measured(course, milestones, after, levels, terms, sure)
    if not plan.carry:
        return plan
    cut = needed - levels
    ends = [i for i, place in enumerate(after) if place in plan.after] + [len(after)]
    until = next(k for k, i in enumerate(ends) if i >= int(np.argmax(cut)))
    return replace(plan, carry_until=until)


def _when(band: Floats, terms: Terms, count: int) -> tuple[int, ...]:
    """After which milestones payments fall due: the fewest that keep each of them fair."""
    cap = np.inf if terms.deposit_cap is None else terms.deposit_cap
    best: list[tuple[float, tuple[int, ...]]] = []
    for size in range(min(MOST_BETWEEN, count) + 1):
        plans = list(combinations(range(count), size))
        within = [p for p in plans if band[[*p, count][0]] <= cap]
        # Where even the first milestone is past the cap, the first is the one to be paid at.
        allowed = within or [p for p in plans if p and p[0] == 0] or plans
        sized = [(_largest(band, p), p) for p in allowed]
        least = min(sized)
        capped = not within and least[1][:1] != (0,)
        best.append((np.inf if capped else least[0], least[1]))
        if not capped and least[0] <= FAIR_PART * terms.price:
            return least[1]
    smallest = min(size for size, _ in best)
    return next(plan for size, plan in best if size <= HARDLY * smallest)


def _largest(band: Floats, plan: tuple[int, ...]) -> float:
    """The largest payment before the end: deposit or a later one."""
    levels = band[[*plan, len(band) - 1]]
    return float(np.diff(levels, prepend=0.0).max())


def _ceilings(terms: Terms, count: int) -> Floats:
    """The most that may have come in before each payment and before the end, in whole money."""
    most = np.full(count, np.floor(terms.price - terms.held_back))
    if terms.deposit_cap is not None:
        most[0] = min(most[0], np.floor(terms.deposit_cap))
    return most


def _allowed(levels: Floats, terms: Terms) -> Floats:
    """Levels of what is paid in, rounded up to the step, cut to what cap and holdback allow."""
    rounded = np.ceil(np.round(levels / terms.step, 9)) * terms.step
    return np.asarray(np.minimum(rounded, _ceilings(terms, len(levels))), dtype=float)


def _measured(
    course: Course,
    milestones: Sequence[float],
    after: tuple[int, ...],
    levels: Floats,
    terms: Terms,
    sure: float,
) -> Payments:
    """The payments behind levels, payments of nothing left out, and what they keep."""
    steps = np.diff(levels)
    kept = [i for i, amount in enumerate(steps) if amount > 0]
    places = tuple(after[i] for i in kept)
    progress = tuple(float(steps[i]) for i in kept)
    held = np.array([levels[0], *(levels[i + 1] for i in kept)])
    final = round(terms.price - float(held[-1]), 2)
    moments = np.array([*(milestones[i] for i in places), course.end])
    short = course.spent(moments) - held
    keeps = float(np.mean((short <= ROUNDING).all(axis=1)))
    plan = Payments(float(held[0]), places, progress, final, keeps)
    worst = np.maximum(short, 0.0)
    carry = float(np.quantile(worst.max(axis=1), sure, method="higher"))
    if keeps >= sure or carry < SMALLEST:
        return plan
    times = np.linspace(0.0, course.end, STEPS, endpoint=False) + course.end / (2 * STEPS)
    below = course.spent(times) > plan.paid(times, milestones) + ROUNDING
    share = max(float(np.quantile(below.mean(axis=1), sure, method="higher")), 1 / STEPS)
    return replace(plan, carry=carry, carry_time=share * course.end)
