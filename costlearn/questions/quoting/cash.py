"""Which deposit and progress payments keep the job's cash at or above zero, in words and figures.

What goes out, and when, is drawn by phase from the firm's own phase records; with none on file, or
no price, there is a sentence why there is no plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costlearn.errors import NothingToSay
from costlearn.models.cashplan import Course, Payments, Terms, smallest_payments
from costlearn.models.distribution import Floats
from costlearn.questions.answer import Table
from costlearn.questions.byphase import REST, PhaseDraws, phase_draws
from costlearn.questions.learning import MOSTLY_ASSUMED, Prediction
from costlearn.questions.quoting.course import Days, days_of, materials_before
from costlearn.questions.wording import count_of, say_list
from costlearn.records import History, Job
from costlearn.units import exact_money, say_days, say_money, say_odds, say_percent
from costlearn.vocabulary import standard

SURE = 0.9
"""Payments keep the cash of this share of such jobs at or above zero."""
OFTEN = 0.9
"""A payment is tied to a phase that is planned, or occurs in at least this share of such jobs."""
MOST_REST = 0.25
"""If more of the cost than this stands under no phase, nobody can tell when it is spent."""


@dataclass(frozen=True)
class Payment:
    """One payment: due "at the start", "after" a phase, or "at the end"; ``paid`` in by then."""

    due: str
    phase: str
    amount: float
    share: float
    paid: float


@dataclass(frozen=True)
class Moment:
    """What has been spent some working days into the job: 80 % range and middle."""

    day: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class CashPlan:
    """Payments, what they keep, and how spending goes; without payments, a sentence why not.

    Attributes:
        keeps: the chance that the job's cash never falls below zero on these payments alone.
        carry: own money that keeps it there in 9 of 10 cases; ``carry_days`` for how many working
            days it is out, None where days are not known.
        days: length of the job in working days; None where phases, not days, are counted.
        payment_days: when each payment falls due, on the scale of ``spending``.
        assumptions: what the plan takes for granted, each a clause.
    """

    sentence: str
    payments: tuple[Payment, ...] = ()
    keeps: float | None = None
    carry: float = 0.0
    carry_days: float | None = None
    deposit_cap: float | None = None
    holdback: float = 0.0
    days: float | None = None
    spending: tuple[Moment, ...] = ()
    payment_days: tuple[float, ...] = ()
    assumptions: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Facts:
    """What the words of a plan are made from."""

    drawn: PhaseDraws
    calendar: Days
    course: Course
    milestones: tuple[str, ...]
    currency: str


def cash_plan(
    history: History, job: Job, found: dict[str, Prediction], unlike: bool = False
) -> CashPlan:
    """The fewest and smallest payments that keep the job's cash from falling below zero.

    Args:
        history: the firm's jobs; its settings may cap the deposit, and say what clients hold back
            and how late material is paid for.
        job: the quote, with its price.
        found: the predictions of the quote, with its cost.
        unlike: the range of the whole job is too wide to plan from.
    """
    if job.price is None or job.price <= 0:
        return CashPlan("No payment plan: the quote holds no price to be paid.")
    if unlike:
        return CashPlan("No payment plan: the range of the whole job is too wide to plan from.")
    drawn = phase_draws(history, job, "cost", found["cost"].spread)
    if drawn is None:
        return CashPlan(
            "No payment plan: when the money goes out cannot be told, since fewer than 5 finished "
            "jobs have their cost by phase."
        )
    rest = drawn.draws[:, -1] if drawn.fitted[-1].phase == REST else np.zeros(1)
    if float(rest.mean()) > MOST_REST * float(drawn.draws.sum(axis=1).mean()):
        return CashPlan(
            "No payment plan: over a quarter of what such jobs cost stands under no phase, so "
            "nobody can tell when it is spent."
        )
    return _planned(history, job, found, drawn)


def _planned(
    history: History, job: Job, found: dict[str, Prediction], drawn: PhaseDraws
) -> CashPlan:
    firm = history.firm
    price = (job.price or 0) / 100
    calendar = days_of(history, job, found, drawn)
    bought = materials_before(drawn.jobs, [f.phase for f in drawn.fitted])
    delay = calendar.working(firm.supplier_terms_days or 0.0)
    course = Course(
        drawn.draws,
        np.array(calendar.starts),
        np.array(calendar.ends),
        np.array(bought.shares),
        delay,
    )
    facts = _Facts(drawn, calendar, course, _milestones(drawn, job, calendar), firm.currency)
    ends = dict(zip((f.phase for f in drawn.fitted), calendar.ends, strict=True))
    moments = [ends[p] for p in facts.milestones]
    cap = firm.cap_of_deposit
    held = (firm.holdback or 0.0) * price
    most = None if cap is None else cap.of(price)
    try:
        plan = smallest_payments(course, moments, Terms(price, most, held, _step(price)), SURE)
    except NothingToSay:
        return CashPlan(_too_low(drawn, price, firm.currency))
    payments = _payments(plan, facts.milestones, price)
    return CashPlan(
        _sentence(payments, plan, facts, most, held),
        payments,
        plan.keeps,
        plan.carry,
        plan.carry_time if calendar.known else None,
        most,
        firm.holdback or 0.0,
        course.end if calendar.known else None,
        _spending(course),
        (0.0, *(moments[i] for i in plan.after), course.end),
        (*_assumed(facts, firm.supplier_terms_days), bought.said),
    )


def _milestones(drawn: PhaseDraws, job: Job, calendar: Days) -> tuple[str, ...]:
    """Phases whose end may bring a payment: those sure to occur, before the end of the job."""
    last = max(calendar.ends)
    found = []
    for chance, end in zip(drawn.chances, calendar.ends, strict=True):
        record = job.phase(chance.name)
        planned = record is not None and not record.plan.empty
        if chance.name != REST and end < last and (planned or chance.chance >= OFTEN):
            found.append(chance.name)
    return tuple(found)


def _step(price: float) -> float:
    """What payments are rounded to: the third figure of the price, no less than a whole one."""
    return float(max(1.0, 10.0 ** (math.floor(math.log10(price)) - 2)))


def _payments(plan: Payments, milestones: Sequence[str], price: float) -> tuple[Payment, ...]:
    phases = ["", *(milestones[i] for i in plan.after), ""]
    dues = ["at the start", *["after"] * len(plan.after), "at the end"]
    amounts = [plan.deposit, *plan.progress, plan.final]
    paid = np.cumsum(amounts)
    return tuple(
        Payment(due, phase, amount, amount / price, round(float(sum_), 2))
        for due, phase, amount, sum_ in zip(dues, phases, amounts, paid, strict=True)
        if amount > 0 or due != "after"
    )


def _spending(course: Course) -> tuple[Moment, ...]:
    """Spending at each bend of the course, just before and at it, and half way between."""
    bends = np.unique(np.concatenate([course.starts, course.ends, course.starts + course.delay]))
    bends = bends[bends <= course.end]
    before = bends[1:] - 1e-6 * course.end
    times = np.unique(np.concatenate([bends, before, (bends[1:] + bends[:-1]) / 2]))
    low, middle, high = np.quantile(course.spent(times), [0.1, 0.5, 0.9], axis=0)
    return tuple(
        Moment(float(t), float(a), float(b), float(c))
        for t, a, b, c in zip(times, low, middle, high, strict=True)
    )


def _too_low(drawn: PhaseDraws, price: float, currency: str) -> str:
    totals: Floats = drawn.draws.sum(axis=1)
    over = say_odds(float(np.mean(totals > price)), ("costs", "cost"))
    needed = float(np.quantile(totals, SURE))
    return (
        f"No payment plan: no payments keep the cash of 9 such jobs in 10 above zero, since {over} "
        f"more than the whole price; from about {say_money(needed, currency)} on there is one."
    )


def _sentence(
    payments: Sequence[Payment],
    plan: Payments,
    facts: _Facts,
    cap: float | None,
    held: float,
) -> str:
    money = facts.currency
    first, *between, last = payments
    start = exact_money(first.amount, money) if first.amount else "nothing"
    asked = [f"{start} before the start"]
    asked += [f"{exact_money(p.amount, money)} after {_name(p.phase)}" for p in between]
    asked += [f"{exact_money(last.amount, money)} at the end"]
    text = f"Ask {say_list(asked)}"
    jobs = len(facts.drawn.jobs)
    few = f" With phases of {count_of(jobs, 'job')} on file this is mostly assumptions."
    few = few if jobs < MOSTLY_ASSUMED else ""
    if not plan.carry:
        return f"{text}: the cash of this job stays at or above zero in 9 cases of 10.{few}"
    limits = []
    if cap is not None and first.amount >= math.floor(cap):
        limits.append("the deposit capped at " + exact_money(cap, money))
    limits += [f"{exact_money(held, money)} held back to the end"] if held else []
    until = between[plan.carry_until or 0] if (plan.carry_until or 0) < len(between) else last
    ends = f"the payment after {_name(until.phase)}" if until.phase else "the last payment"
    long = _half(plan.carry_time)
    span = "a day at the most" if long <= 1 else f"up to {say_days(long)}, most of it until {ends}"
    days = f", for {span}" if facts.calendar.known else f", most of it until {ends}"
    short = say_odds(1 - plan.keeps, ("needs", "need"))
    unknown = "" if facts.calendar.known else " For how many days cannot be told: no days on file."
    return (
        f"{text}. With {say_list(limits)}, {short} money of your own on the way: "
        f"in 9 of 10 no more than {exact_money(_up(plan.carry), money)}{days}.{unknown}{few}"
    )


def _half(days: float) -> float:
    """Days rounded up to a half: less than none is never said of money that is out."""
    return math.ceil(days * 2 - 1e-9) / 2


def _up(amount: float) -> float:
    """An amount rounded up to its second figure, at the least to a whole one."""
    step = max(1.0, 10.0 ** (math.floor(math.log10(amount)) - 1))
    return math.ceil(amount / step - 1e-9) * step


def _name(phase: str) -> str:
    return standard().phase_name(phase).lower()


def _assumed(facts: _Facts, terms: float | None) -> tuple[str, ...]:
    """What the plan takes for granted, each a clause."""
    jobs = count_of(len(facts.drawn.jobs), "finished job")
    said = [
        f"Payments: spending by phase from {jobs} with phase records, in the order of the trade, "
        "summing to the whole cost; your own work counts at its day rate, overhead not at all",
        "Payments: the client pays on the day a phase is finished; a phase's cost goes out evenly "
        "while it is worked",
        "Payments: as few as keep each of them, before the last, to about a third of the price "
        "where the phases allow it (trade judgement, no source)",
        "Payments: " + facts.calendar.said,
    ]
    if facts.drawn.fitted[-1].phase == REST:
        said.append("Payments: what stands under no phase is counted as spent at the start")
    if terms and facts.calendar.known:
        said.append(f"Payments: material is paid {say_days(terms)} after its phase starts")
    elif terms:
        said.append("Payments: supplier terms are left out, since no phase says its days")
    return tuple(said)


def payments_table(plan: CashPlan | None, currency: str) -> Table | None:
    """Payments as they are to be read; None if there are none."""
    if plan is None or not plan.payments:
        return None
    rows = tuple(
        (
            f"after {_name(p.phase)}" if p.phase else p.due,
            exact_money(p.amount, currency),
            say_percent(p.share),
            exact_money(p.paid, currency),
        )
        for p in plan.payments
    )
    heads = ("falls due", "payment", "share of price", "paid in by then")
    return Table("Deposit and progress payments", heads, rows, plan.sentence)
