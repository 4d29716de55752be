"""Tells whether a quote is sane against the firm's own history.

Where the quoted price, cost and days sit among what such jobs came to; the odds of losing money and
of keeping the wanted margin; the price for a margin; what a site day leaves for overhead; payments
that keep the cash above zero; phases planned outside their range; scope that looks forgotten.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from costlearn.errors import InputProblem
from costlearn.features import measures as ms
from costlearn.models.ladder import margin_of, markup_of
from costlearn.questions import cautions
from costlearn.questions.answer import Answer, Table
from costlearn.questions.doubts import why_few
from costlearn.questions.estimate import say_late, say_reach
from costlearn.questions.learning import (
    MIN_JOBS,
    MOSTLY_ASSUMED,
    UNLIKE,
    UNLIKE_EACH_OTHER,
    Prediction,
    grounds_of,
    known_totals,
    latest,
    predict,
)
from costlearn.questions.quoting.cash import CashPlan, payments_table
from costlearn.questions.quoting.gaps import (
    ForgottenItem,
    PhasePlan,
    forgotten_items,
    forgotten_table,
    phase_plans,
    phase_table,
)
from costlearn.questions.quoting.money import FEW_ODDS, money_of
from costlearn.questions.quoting.overhead import Recovery, overhead_table
from costlearn.questions.quoting.pricing import (
    PriceStep,
    Standing,
    chance_to_keep,
    ladder_table,
    margin_wanted,
    price_curve,
    standing,
    standings_table,
)
from costlearn.questions.quoting.reasons import Against, added_by, reasons_of
from costlearn.questions.quoting.waits import WaitRoom, wait_room, wait_table
from costlearn.questions.quoting.yardstick import Yardstick
from costlearn.questions.withheld import say_withheld, unguessed, withheld
from costlearn.questions.wording import count_of, say_range
from costlearn.records import History, Job
from costlearn.units import say_money, say_odds, say_percent


@dataclass(frozen=True)
class QuoteCheck(Answer):
    """What the history says of a quote."""

    job: Job
    price: float | None = None
    standings: tuple[Standing, ...] = ()
    loss: float | None = None
    over_cost: float | None = None
    wanted_margin: float | None = None
    reaches_margin: float | None = None
    quoted_margin: float | None = None
    quoted_markup: float | None = None
    ladder: tuple[PriceStep, ...] = ()
    curve: tuple[tuple[float, float], ...] = ()
    phases: tuple[PhasePlan, ...] = ()
    forgotten: tuple[ForgottenItem, ...] = ()
    outside: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    asked_on: date | None = None
    both: float | None = None
    """The chance to stay within the planned cost AND the planned days."""
    own: PriceStep | None = None
    """What the quote's own price gives."""
    overhead: Recovery | None = None
    cash: CashPlan | None = None
    yardstick: Yardstick | None = None
    waits: WaitRoom | None = None

    def tables(self) -> tuple[Table, ...]:
        """Standings, prices, overhead, payments, phases and forgotten scope, to be read."""
        money = self.grounds.currency
        planned = None
        if self.quoted_margin is not None and self.quoted_markup is not None:
            planned = (self.quoted_margin, self.quoted_markup)
        found = [
            standings_table(self.standings, self.both, money),
            ladder_table(self.ladder, self.own, self.wanted_margin, planned, money),
            overhead_table(self.overhead, money),
            payments_table(self.cash, money),
            wait_table(self.waits),
            phase_table(self.phases, money),
            forgotten_table(self.forgotten),
        ]
        return tuple(t for t in found if t is not None)


def check(
    history: History,
    quote: Job,
    *,
    margin: float | None = None,
    on: date | None = None,
) -> QuoteCheck:
    """Check a quote.

    Args:
        history: the firm's jobs.
        quote: price, planned cost and days, planned phases and scope, as a job in state "quoted".
        margin: the wanted margin, a share of the price; default the firm's own.
        on: the date at whose prices it is asked; default the quote's own, else the newest on file.

    Raises:
        InputProblem: the quote holds neither a price nor a planned cost or days, or the wanted
            margin is no share below 1.
    """
    wanted = margin_wanted(history.firm, margin)
    stated = [t for t in ms.TARGETS if ms.planned(quote, t) is not None]
    if not stated and quote.price is None:
        raise InputProblem(
            "the quote holds no figure to check", expected="a price, a planned cost or planned days"
        )
    asked = on or quote.day or latest(history.usable)
    job = replace(quote, quoted_on=asked, started=None, finished=None)
    found = {t: p for t in ms.TARGETS if (p := predict(history, job, t, quoted=True)) is not None}
    if "cost" not in found:
        return _nothing(history, job, asked)
    if withheld(found["cost"].spread):
        return _withheld(history, job, found["cost"], asked)
    found = {t: p for t, p in found.items() if not withheld(p.spread)}
    return _answer(history, job, found, wanted, asked)


def _answer(
    history: History,
    job: Job,
    found: dict[str, Prediction],
    wanted: float | None,
    asked: date | None,
) -> QuoteCheck:
    cost, firm = found["cost"], history.firm
    planned = ms.planned(job, "cost")
    standings = tuple(s for t, p in found.items() if (s := standing(job, t, p)) is not None)
    unlike = cost.verdict in (UNLIKE, UNLIKE_EACH_OTHER)
    phases = () if unlike else phase_plans(history, job, found)
    missing = forgotten_items(cost.jobs, job)
    money = money_of(history, job, found, wanted, unlike)
    price, own = money.price, money.own
    added = None if unlike else added_by(history, job, missing, cost)
    reasons = reasons_of(
        Against(standings, phases, missing, added, money.short, firm.currency, firm.day_rate)
    )
    room = wait_room(history, job)
    late = (room.reason,) if room and room.short else ()
    told = (*reasons, *late) if money.bad or missing else late
    doubtful = unlike or cost.doubts.grave
    trusted = not (money.bad or doubtful or late or any(m.weighty for m in missing))
    limits = (cautions.TAX, cautions.DEPOSIT) if price else (cautions.TAX,)
    return QuoteCheck(
        _sentence(cost, own, wanted, told, trusted, firm.currency),
        grounds_of(history, cost.jobs, (*_notes(cost, unlike), *money.notes)),
        job,
        price,
        standings,
        own.loss if own else None,
        1 - cost.spread.cdf(planned) if planned else None,
        wanted,
        own.reaches_margin if own else None,
        margin_of(price, planned) if price and planned else None,
        markup_of(price, planned) if price and planned else None,
        money.ladder,
        price_curve(cost),
        phases,
        missing,
        cost.doubts.said + say_reach(cost.reach, firm.area_unit) + say_late(asked, cost.jobs),
        (*reasons, *late),
        asked,
        chance_to_keep(job, found),
        own,
        money.overhead,
        money.cash,
        money.yardstick,
        room,
        cautions=cautions.together(cautions.for_scope(job), limits),
        trusted=trusted,
    )


def _nothing(history: History, job: Job, asked: date | None) -> QuoteCheck:
    have = len(known_totals(history, "cost", asked)[0])
    missing = forgotten_items(history.usable, job)
    return QuoteCheck(
        f"Your records cannot check this quote: {count_of(have, 'finished job')} with a known "
        f"direct cost on file, and at least {MIN_JOBS} are needed." + why_few(history),
        grounds_of(history, history.usable),
        job,
        job.price / 100 if job.price is not None else None,
        forgotten=missing,
        asked_on=asked,
        known=False,
        trusted=False,
        cautions=cautions.for_scope(job),
    )


def _withheld(history: History, job: Job, cost: Prediction, asked: date | None) -> QuoteCheck:
    """A range so wide that no figure of it is set against the quote."""
    reach = say_reach(cost.reach, history.firm.area_unit)
    outside = unguessed(reach + say_late(asked, cost.jobs))
    return replace(
        _nothing(history, job, asked),
        sentence=say_withheld("price", outside) + cost.doubts.first,
        grounds=grounds_of(history, cost.jobs),
        outside=cost.doubts.said + outside,
    )


def _sentence(
    cost: Prediction,
    own: PriceStep | None,
    wanted: float | None,
    reasons: Sequence[str],
    trusted: bool,
    currency: str,
) -> str:
    land = say_range(cost.spread.interval(0.8), "cost", currency)
    text = f"8 jobs in 10 like this land at {land} in direct cost"
    if own is None:
        text += "."
    else:
        over = say_odds(own.loss, ("costs", "cost"))
        if own.loss > FEW_ODDS and over == say_odds(FEW_ODDS, ("costs", "cost")):
            # Said beside the reason that asks for more money "until only 1 job in 10 costs more".
            over = f"a little over {over}"
        text += f"; {over} more than your price of {say_money(own.price, currency)}"
        if wanted is not None and own.reaches_margin is not None:
            leave = say_odds(own.reaches_margin, ("leaves", "leave"))
            text += f", and {leave} the {say_percent(wanted)} margin you want"
        text += "."
        if trusted and not reasons and len(cost.jobs) >= MOSTLY_ASSUMED:
            text += " Against your own history, and before overhead, this quote looks sound."
    if reasons:
        text += " What matters most: " + "; ".join(reasons) + "."
    if cost.verdict == UNLIKE:
        text += f" The range is too wide to lean on: this job is {UNLIKE}."
    elif cost.verdict == UNLIKE_EACH_OTHER:
        text += f" The range is {UNLIKE_EACH_OTHER}."
    elif len(cost.jobs) < MIN_JOBS:
        text += " This is what you stated, not yet experience."
    elif cost.verdict:
        text += f" With {count_of(len(cost.jobs), 'job')} on file this is mostly assumptions."
    return text + cost.doubts.first


def _notes(cost: Prediction, unlike: bool) -> tuple[str, ...]:
    said = ("Phases are not compared: the range of the whole job is too wide",) if unlike else ()
    if not cost.weights:
        return (
            *said,
            "The quote's own cost was not used: fewer than 3 finished jobs have a planned cost",
        )
    number = say_percent(cost.weights.get("number"))
    return (
        *said,
        f"Your own planned cost counts: 'your plan times one learned number' has {number} of the "
        "weight, regressions on the scope items with and without it the rest",
    )
