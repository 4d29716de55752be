"""One job alone, with a helper throughout, and with a helper only where it pays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from costlearn.models.crew import DayCosts
from costlearn.models.distribution import Draws, Floats, Interval
from costlearn.questions.calendar import Stretch, Waits, calendar, waits_of
from costlearn.questions.crewing.speedup import PhaseGain, Speedup
from costlearn.questions.learning import predict
from costlearn.questions.withheld import withheld
from costlearn.records import History, Job
from costlearn.vocabulary import standard
from costlearn.workdays import Workdays

DRAWS = 4000
SEED = 20
OCCURS = 0.5
"""A phase less likely than this is left out of the plan of phases."""


@dataclass(frozen=True)
class PhaseChoice:
    """One phase of the job: its days alone, and what a helper on it does.

    ``saving`` is the interval (80 %) of money saved if the days gained can be sold, ``pays`` the
    chance that it is above zero; both None without day costs. ``place`` is its place in the order
    in which a helper should be given phases, 1 first; None where a helper does not pay, or no
    record shows two at it.
    """

    phase: str
    name: str
    alone: Interval
    together: Interval
    saving: Interval | None
    middle: float | None
    pays: float | None
    place: int | None
    seen: int


@dataclass(frozen=True)
class Way:
    """The job done one way: days, work, money, and when it would be finished.

    ``cost`` is what its days cost if days gained can be sold, ``unsold`` if they cannot (the helper
    comes on top then, less what a free day is worth). ``finish`` holds the early, middle and late
    day (1 in 10, 5 in 10, 9 in 10 are done by then); None where no date is known to start from.
    """

    name: str
    phases: tuple[str, ...]
    site_days: Interval
    site_middle: float
    work: Interval
    helper_days: float
    elapsed: Interval
    cost: Interval | None
    cost_middle: float | None
    unsold: Interval | None
    cheaper: float | None
    finish: tuple[date, date, date] | None
    calendar: tuple[Stretch, ...] = ()


@dataclass(frozen=True)
class JobGain:
    """One job alone, with a helper on everything, and with one where it pays, in that order."""

    ways: tuple[Way, ...]
    phases: tuple[PhaseChoice, ...]
    waits: Waits
    start: date | None
    week: str = ""
    """The working week its dates are counted on, in words."""

    @property
    def alone(self) -> Way:
        """The job done alone."""
        return self.ways[0]

    @property
    def together(self) -> Way:
        """The job with a helper on every phase."""
        return self.ways[1]

    @property
    def chosen(self) -> Way | None:
        """The job with a helper where it pays; None where phases cannot be told apart."""
        return self.ways[2] if len(self.ways) > 2 else None


@dataclass(frozen=True)
class _Drawn:
    """Draws: site days alone by phase, factors by phase, both (draws, k); k is 1 without phases."""

    keys: tuple[str, ...]
    alone: Floats
    factor: Floats


def job_gain(
    history: History,
    new: Job,
    found: Speedup,
    day: DayCosts | None,
    asked: date | None,
    free_day: float = 0.0,
) -> JobGain | None:
    """The job done in each way; None where its site days cannot be predicted, or are withheld.

    Args:
        history: the firm's jobs.
        new: the job.
        found: the effect of a second person.
        day: what days cost, if stated.
        asked: the date of the question; work starts on the next working day unless the job says.
        free_day: what a gained day is worth that is not sold.
    """
    alone = replace(new, quoted_on=asked, plan=replace(new.plan, crew=1.0))
    prediction = predict(history, alone, "site_days")
    if prediction is None or withheld(prediction.spread):
        return None
    chance = (np.arange(DRAWS) + 0.5) / DRAWS
    total = prediction.spread.quantiles(chance)
    drawn = _drawn(history, new, found, total)
    waits = waits_of(history, new, drawn.keys)
    begins = new.started or asked
    workdays = history.firm.workdays
    start = workdays.on(begins, 1.0) if begins else None
    phases = _choices(found, drawn, day)
    plan = _Plan(drawn, waits, day, free_day, start, found.phases, workdays)
    ways = [_way("alone", (), plan), _way("a helper on every phase", drawn.keys, plan)]
    chosen = tuple(c.phase for c in sorted(phases, key=lambda c: c.place or 0) if c.place)
    if phases and day:
        ways.append(_way("a helper where it pays", chosen, plan))
    return JobGain(tuple(ways), phases, waits, start, workdays.said)


@dataclass(frozen=True)
class _Plan:
    """All that a way of doing the job is worked out from."""

    drawn: _Drawn
    waits: Waits
    day: DayCosts | None
    free_day: float
    start: date | None
    gains: tuple[PhaseGain, ...]
    workdays: Workdays


def _way(name: str, phases: Sequence[str], plan: _Plan) -> Way:
    drawn, wait = plan.drawn, plan.waits.total
    on = np.array([k in phases for k in drawn.keys])
    by_phase = np.where(on, drawn.alone * drawn.factor, drawn.alone)
    site, helped = by_phase.sum(axis=1), by_phase[:, on].sum(axis=1)
    solo = drawn.alone.sum(axis=1)
    cost = unsold = cheaper = None
    if plan.day:
        day = plan.day
        paid = helped + (wait if day.helper_paid_waiting and on.any() else 0.0)
        money = site * (day.owner + day.overhead) + wait * day.overhead + paid * day.helper
        first = solo * (day.owner + day.overhead) + wait * day.overhead
        cost, unsold = Draws.of(money), first + paid * day.helper - (solo - site) * plan.free_day
        cheaper = float(np.mean(money < first)) if on.any() else None
    elapsed = Draws.of(site + wait)
    return Way(
        name,
        tuple(p for p in phases if p),
        Draws.of(site).interval(0.8),
        float(np.median(site)),
        Draws.of(site + helped).interval(0.8),
        float(np.median(helped)),
        elapsed.interval(0.8),
        None if cost is None else cost.interval(0.8),
        None if cost is None else cost.median,
        None if unsold is None else Draws.of(unsold).interval(0.8),
        cheaper,
        _finish(elapsed, plan),
        _stretches(by_phase, plan),
    )


def _finish(elapsed: Draws, plan: _Plan) -> tuple[date, date, date] | None:
    """The days on which 1, 5 and 9 in 10 such jobs are done."""
    start = plan.start
    if start is None:
        return None
    early, middle, late = (plan.workdays.on(start, elapsed.quantile(p)) for p in (0.1, 0.5, 0.9))
    return early, middle, late


def _stretches(by_phase: Floats, plan: _Plan) -> tuple[Stretch, ...]:
    """The likely phases one after the other, scaled so that they end on the middle finish."""
    if plan.drawn.keys == ("",) or plan.start is None:
        return ()
    likely = [i for i in range(len(plan.gains)) if np.mean(by_phase[:, i] > 0) >= OCCURS]
    days = np.array([float(np.median(by_phase[:, i])) for i in likely])
    days *= float(np.median(by_phase.sum(axis=1))) / days.sum()
    waits = [plan.waits.by_phase.get(plan.drawn.keys[i], 0.0) for i in likely]
    waits[-1] += plan.waits.total - sum(waits)
    names = [plan.gains[i].name for i in likely]
    return calendar(names, days.tolist(), waits, plan.start, plan.workdays)


def _drawn(history: History, new: Job, found: Speedup, total: Floats) -> _Drawn:
    """Days of each phase alone, summing to draws of the job's total, and the factors."""
    effects = found.effects
    whole = found.whole.sample(DRAWS, SEED + 1)
    if effects is None or effects.alone is None:
        order = np.random.default_rng(SEED + 2).permutation(DRAWS)
        return _Drawn(("",), total[order, None], whole[:, None])
    keys = tuple(p.phase for p in found.phases)
    chance = np.array([_occurs(history, new, key) for key in keys])
    rng = np.random.default_rng(SEED)
    k = len(keys)
    spread = np.sqrt(np.diag(effects.together.covariance)[k:] + effects.noise**2)
    work = np.exp(effects.alone + spread * rng.standard_normal((DRAWS, k)))
    there = rng.random((DRAWS, k)) < chance
    there[~there.any(axis=1), int(np.argmax(chance))] = True
    work = np.where(there, work, 0.0)
    sums = work.sum(axis=1)
    wanted = np.empty(DRAWS)
    wanted[np.argsort(sums, kind="stable")] = total
    return _Drawn(keys, work * (wanted / sums)[:, None], phase_factors(found, DRAWS))


def phase_factors(found: Speedup, size: int) -> Floats:
    """Draws of the factor in each phase, whose mean over the history's days is the whole's own."""
    if found.effects is None:
        return found.whole.sample(size, SEED + 1)[:, None]
    factors = found.effects.factors(size, SEED + 1)
    mean = factors @ found.effects.shares
    whole = np.empty(size)
    whole[np.argsort(mean, kind="stable")] = np.sort(found.whole.sample(size, SEED + 1))
    return np.asarray(factors * (whole / mean)[:, None])


def _occurs(history: History, new: Job, phase: str) -> float:
    """Chance that the phase occurs: its share among jobs of like scope, softened by one job."""
    mapped = {i.key for i in standard().items if phase in i.phases}
    mine = {k for k in mapped if new.scope.get(k)}
    phased = [j for j in history.usable if any(p.actual.site_days for p in j.phases)]
    alike = [j for j in phased if bool({k for k in mapped if j.scope.get(k)}) == bool(mine)]

    def has(job: Job) -> bool:
        record = job.phase(phase)
        return bool(record and record.actual.site_days)

    overall = float(np.mean([has(j) for j in phased]))
    return (sum(map(has, alike)) + overall) / (len(alike) + 1)


def _choices(found: Speedup, drawn: _Drawn, day: DayCosts | None) -> tuple[PhaseChoice, ...]:
    if drawn.keys == ("",):
        return ()
    rows = []
    for i, gain in enumerate(found.phases):
        alone, together = drawn.alone[:, i], drawn.alone[:, i] * drawn.factor[:, i]
        if np.mean(alone > 0) < OCCURS:
            continue
        saved = None if day is None else _saved(alone, together, day)
        rows.append(
            PhaseChoice(
                gain.phase,
                gain.name,
                Draws.of(alone).interval(0.8),
                Draws.of(together).interval(0.8),
                None if saved is None else Draws.of(saved).interval(0.8),
                None if saved is None else float(np.mean(saved)),
                None if saved is None else float(np.mean(saved[alone > 0] > 0)),
                None,
                gain.together,
            )
        )
    paying = [r for r in rows if r.middle is not None and r.middle > 0 and r.seen > 0]
    order = sorted(paying, key=lambda r: -(r.middle or 0.0))
    place = {r.phase: n for n, r in enumerate(order, 1)}
    return tuple(replace(r, place=place.get(r.phase)) for r in rows)


def _saved(alone: Floats, together: Floats, day: DayCosts) -> Floats:
    return (alone - together) * (day.owner + day.overhead) - together * day.helper
