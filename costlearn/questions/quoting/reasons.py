"""The reasons that matter most against a quote, in dollars where dollars can be known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from costlearn.features.likeness import FEW, items_of
from costlearn.questions.learning import Prediction, predict
from costlearn.questions.options import usual_size
from costlearn.questions.quoting.gaps import ForgottenItem, PhasePlan
from costlearn.questions.quoting.pricing import Standing
from costlearn.questions.wording import say, say_list, say_range
from costlearn.questions.worth import put_on
from costlearn.records import History, Job
from costlearn.units import say_money

NAMED = 3
"""As many forgotten items are named, and as many reasons given."""
FIRST = 1e12
"""Before any amount: scope that must be settled before the quote goes out."""


@dataclass(frozen=True)
class Added:
    """What forgotten items add to direct cost together: 80 % range and middle, in money."""

    items: tuple[str, ...]
    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Shortfalls:
    """What a quote lacks in money: to its wanted margin, and until few jobs cost more than it."""

    margin: float | None = None
    loss: float | None = None


@dataclass(frozen=True)
class Against:
    """All that may speak against a quote.

    ``day_rate`` prices days that are missing from the plan; None where the firm states none.
    """

    standings: Sequence[Standing]
    phases: Sequence[PhasePlan]
    missing: Sequence[ForgottenItem]
    added: Added | None
    short: Shortfalls
    currency: str
    day_rate: float | None = None


def reasons_of(found: Against) -> tuple[str, ...]:
    """The three reasons that matter most, the largest amount first."""
    every = [*_prices(found), *_plans(found), *_phases(found), *_forgotten(found)]
    ranked = sorted(every, key=lambda r: -r[0])
    return tuple(text for _, text in ranked[:NAMED])


def added_by(
    history: History, job: Job, missing: Sequence[ForgottenItem], cost: Prediction
) -> Added | None:
    """What the named forgotten items would add to the middle of the cost.

    Only items that some finished jobs had and others had not are priced; None if there are none.
    """
    jobs = [j for j in cost.jobs if j.scope]
    had = {f.item: sum(f.item in items_of(j) for j in jobs) for f in missing[:NAMED]}
    told = tuple(k for k, n in had.items() if FEW <= n <= len(jobs) - FEW)
    if not told:
        return None
    more = {k: usual_size(jobs, k) for k in told}
    full = predict(history, replace(job, scope={**job.scope, **more}), "cost")
    if full is None or full.model is None:
        return None
    columns = [c.name for c in full.measures.columns if c.item in told]
    if not columns:
        return None
    low, middle, high = put_on(full.worth(columns), cost.spread.median)
    return Added(told, low, middle, high) if middle > 0 else None


def _prices(found: Against) -> Iterator[tuple[float, str]]:
    margin, loss = found.short.margin, found.short.loss
    if margin is not None and margin > 0:
        more = say_money(margin, found.currency)
        yield margin, f"it would take {more} more to keep your margin in 5 jobs of 10"
    if loss is not None and loss > 0:
        more = say_money(loss, found.currency)
        yield loss, f"it would take {more} more until only 1 job in 10 costs more than the price"


def _plans(found: Against) -> Iterator[tuple[float, str]]:
    for s in found.standings:
        if s.target == "cost" and s.median > s.quoted:
            gap = s.median - s.quoted
            less = say_money(gap, found.currency)
            yield gap, f"the planned cost is {less} under the middle of such jobs"
        elif s.target == "person_days" and s.quoted < s.interval.low:
            gap = (s.median - s.quoted) * (found.day_rate or 0.0)
            yield (
                gap,
                f"{say(s.quoted, s.target, found.currency)} of work are planned, where 8 jobs in "
                f"10 took {say_range(s.interval, s.target, found.currency)}"
                + _priced(gap, found.currency),
            )


def _phases(found: Against) -> Iterator[tuple[float, str]]:
    for p in found.phases:
        if p.planned < p.interval.low:
            days = p.target != "cost"
            gap = (p.median - p.planned) * ((found.day_rate or 0.0) if days else 1.0)
            yield (
                gap,
                f"{p.name.lower()} is planned at {say(p.planned, p.target, found.currency)}, where "
                f"8 jobs in 10 took {say_range(p.interval, p.target, found.currency)}"
                + (_priced(gap, found.currency) if days else ""),
            )


def _forgotten(found: Against) -> Iterator[tuple[float, str]]:
    if not found.missing:
        return
    names = say_list([f.name for f in found.missing[:NAMED]])
    amount = found.added.middle if found.added else 0.0
    first = FIRST if any(m.weighty for m in found.missing) else amount
    yield first, f"{names} may be forgotten" + _adds(found)


def _priced(gap: float, currency: str) -> str:
    """Days missing to the middle, at the firm's day rate; empty without one."""
    return f" (about {say_money(gap, currency)} at your day rate)" if gap > 0 else ""


def _adds(found: Against) -> str:
    """What forgotten items add, as a remark behind them; empty where nothing tells."""
    added, money = found.added, found.currency
    if added is None:
        return ""
    names = {f.item: f.name for f in found.missing}
    which = "" if len(added.items) == len(found.missing[:NAMED]) else _named(added, names)
    high = say_money(added.high, money)
    span = f"{say_money(added.low, money)} to {high}" if added.low > 0 else f"up to {high}"
    return f" ({which}would add {span}, 8 times in 10)"


def _named(added: Added, names: dict[str, str]) -> str:
    return say_list([names[k] for k in added.items]) + " "
