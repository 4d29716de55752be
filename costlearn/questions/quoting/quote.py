"""Tells whether a quote is sane against the firm's own history.

Where the quoted price, cost and days sit among what such jobs came to; the odds of losing money and
of keeping the wanted margin; the price for a margin; phases planned outside their range; scope that
looks forgotten.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from costlearn.errors import InputProblem
from costlearn.features import measures as ms
from costlearn.models.ladder import chance_of_margin, margin_of, markup_of, price_for
from costlearn.questions import cautions
from costlearn.questions.answer import Answer, Table
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
from costlearn.questions.quoting.gaps import (
    ForgottenItem,
    PhasePlan,
    forgotten_items,
    forgotten_table,
    phase_plans,
    phase_table,
)
from costlearn.questions.quoting.pricing import (
    PriceStep,
    Standing,
    chance_to_keep,
    ladder_table,
    price_curve,
    price_ladder,
    standing,
    standings_table,
)
from costlearn.questions.wording import count_of, say, say_list, say_range
from costlearn.records import History, Job
from costlearn.units import say_money, say_odds, say_percent

FEW_ODDS = 0.1
"""Odds of losing money up to which a quote may be called sound."""
FAIR_ODDS = 0.35
"""Odds of keeping the wanted margin from which on it may; half and half is what a plan without
reserve has (both trade judgement, no source)."""


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

    def tables(self) -> tuple[Table, ...]:
        """Standings, price ladder, phases and forgotten scope, as they are to be read."""
        found = [
            standings_table(self.standings, self.both, self.grounds.currency),
            ladder_table(self.ladder, self.wanted_margin, self.grounds.currency),
            phase_table(self.phases, self.grounds.currency),
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
    wanted = margin if margin is not None else history.firm.wanted_margin
    if wanted is not None and not 0 <= wanted < 1:
        raise InputProblem(f"a margin of {wanted:g}", expected="a share from 0 up to 0.95")
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
    return _answer(history, job, found, wanted, asked)


def _answer(
    history: History,
    job: Job,
    found: dict[str, Prediction],
    wanted: float | None,
    asked: date | None,
) -> QuoteCheck:
    cost = found["cost"]
    price = job.price / 100 if job.price is not None else None
    planned = ms.planned(job, "cost")
    standings = tuple(s for t, p in found.items() if (s := standing(job, t, p)) is not None)
    unlike = cost.verdict in (UNLIKE, UNLIKE_EACH_OTHER)
    phases = () if unlike else phase_plans(history, job, found)
    missing = forgotten_items(cost.jobs, job)
    loss = 1 - cost.spread.cdf(price) if price else None
    reaches = chance_of_margin(cost.spread, price, wanted) if price and wanted is not None else None
    outside = say_reach(cost.reach, history.firm.area_unit) + say_late(asked, cost.jobs)
    short = None
    if price and wanted is not None and reaches is not None and reaches < FAIR_ODDS:
        short = price_for(cost.spread, wanted, 0.5) - price
    reasons = _reasons(standings, phases, missing, short, history.firm.currency)
    bad = (loss is not None and loss > FEW_ODDS) or short is not None
    weighty = any(m.weighty for m in missing)
    trusted = not (bad or weighty or unlike)
    told = reasons if bad or missing else ()
    return QuoteCheck(
        _sentence(cost, price, loss, wanted, reaches, told, trusted, history),
        grounds_of(history, cost.jobs, _notes(cost, unlike)),
        job,
        price,
        standings,
        loss,
        1 - cost.spread.cdf(planned) if planned else None,
        wanted,
        reaches,
        margin_of(price, planned) if price and planned else None,
        markup_of(price, planned) if price and planned else None,
        price_ladder(cost, wanted),
        price_curve(cost),
        phases,
        missing,
        outside,
        reasons,
        asked,
        chance_to_keep(job, found),
        cautions=cautions.together(cautions.for_scope(job), (cautions.TAX,)),
        trusted=trusted,
    )


def _nothing(history: History, job: Job, asked: date | None) -> QuoteCheck:
    have = len(known_totals(history, "cost", asked)[0])
    missing = forgotten_items(history.usable, job)
    return QuoteCheck(
        f"Your records cannot check this quote: {count_of(have, 'finished job')} with a known "
        f"direct cost on file, and at least {MIN_JOBS} are needed.",
        grounds_of(history, history.usable),
        job,
        job.price / 100 if job.price is not None else None,
        forgotten=missing,
        asked_on=asked,
        known=False,
        trusted=False,
        cautions=cautions.for_scope(job),
    )


def _reasons(
    standings: Sequence[Standing],
    phases: Sequence[PhasePlan],
    missing: Sequence[ForgottenItem],
    short: float | None,
    currency: str,
) -> tuple[str, ...]:
    """The three reasons that matter most, the largest amount first."""
    found: list[tuple[float, str]] = []
    if short is not None and short > 0:
        found.append(
            (
                short,
                f"it would take {say_money(short, currency)} more to keep your margin in 5 jobs "
                "of 10",
            )
        )
    for s in standings:
        if s.target == "cost" and s.median > s.quoted:
            gap = s.median - s.quoted
            found.append(
                (
                    gap,
                    f"the planned cost is {say_money(gap, currency)} under the middle of such jobs",
                )
            )
        elif s.target == "person_days" and s.quoted < s.interval.low:
            found.append(
                (
                    0.0,
                    f"{say(s.quoted, s.target, currency)} of work are planned, where "
                    f"8 jobs in 10 took {say_range(s.interval, s.target, currency)}",
                )
            )
    for p in phases:
        if p.planned < p.interval.low:
            gap = p.median - p.planned if p.target == "cost" else 0.0
            found.append(
                (
                    gap,
                    f"{p.name.lower()} is planned at {say(p.planned, p.target, currency)}, where "
                    f"8 jobs in 10 took {say_range(p.interval, p.target, currency)}",
                )
            )
    if missing:
        names = say_list([f.name for f in missing[:3]])
        first = 1e12 if any(m.weighty for m in missing) else 0.0
        found.append((first, f"{names} may be forgotten"))
    ranked = sorted(found, key=lambda r: -r[0])
    return tuple(text for _, text in ranked[:3])


def _sentence(
    cost: Prediction,
    price: float | None,
    loss: float | None,
    wanted: float | None,
    reaches: float | None,
    reasons: Sequence[str],
    trusted: bool,
    history: History,
) -> str:
    money = history.firm.currency
    land = say_range(cost.spread.interval(0.8), "cost", money)
    text = f"8 jobs in 10 like this land at {land} in direct cost"
    if price is None or loss is None:
        text += "."
    else:
        over = say_odds(loss, ("costs", "cost"))
        text += f"; {over} more than your price of {say_money(price, money)}"
        if wanted is not None and reaches is not None:
            leave = say_odds(reaches, ("leaves", "leave"))
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
    return text


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
