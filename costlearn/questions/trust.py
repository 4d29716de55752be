"""How good are these estimates: what the tool would have said of each past job on its quote's day.

Every job is predicted from the jobs finished before it was quoted, and from nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from costlearn.errors import NothingToSay
from costlearn.features import measures as ms
from costlearn.models.distribution import LogSpread
from costlearn.models.mixture import one_number
from costlearn.models.scoring import Coverage, Narrowing, coverage, interval_score, narrowing
from costlearn.questions.answer import Answer, Table
from costlearn.questions.doubts import doubts_of, why_few
from costlearn.questions.known_then import NEWEST, bounds_met, known_on, quote_day
from costlearn.questions.learning import (
    MIN_JOBS,
    grounds_of,
    independent_plan,
    known_totals,
    predict,
)
from costlearn.questions.records_worth import FieldWorth, field_table, worth_of_fields
from costlearn.questions.wording import PLAIN_TARGET, count_of, say
from costlearn.records import NOTHING, History, Job
from costlearn.units import round_figures, say_percent

TARGETS = ("cost", "person_days", "elapsed_days")
MIN_TRIED = 5
WANTED_HALF_WIDTH = 0.15
OWN, RULE, QUOTE = "costlearn", "average per floor area", "your own plan"


@dataclass(frozen=True)
class Tried:
    """One past job: what would have been said on the day of its quote, and what it came to."""

    job: str
    day: date
    known: int
    low: float
    median: float
    high: float
    actual: float
    planned: float | None

    @property
    def held(self) -> bool:
        """True if the 80 % range held what it came to."""
        return self.low <= self.actual <= self.high

    @property
    def half_width(self) -> float:
        """Half the width of the range, as a share of its middle."""
        return float(np.sqrt(self.high / self.low)) - 1


@dataclass(frozen=True)
class Method:
    """A way to predict, judged on the same jobs: median error, score (lower is better), coverage.

    ``score`` is the mean 80 % interval score in log points; ``held`` None where a method gives no
    range.
    """

    name: str
    jobs: int
    error: float
    bias: float
    score: float | None
    held: Coverage | None


@dataclass(frozen=True)
class TargetTrust:
    """Everything about one target."""

    target: str
    tried: tuple[Tried, ...]
    coverage: tuple[Coverage, ...]
    methods: tuple[Method, ...]
    narrowing: Narrowing | None
    fields: tuple[FieldWorth, ...]

    @property
    def own(self) -> Method:
        """Costlearn's own row."""
        return self.methods[0]


@dataclass(frozen=True)
class Trust(Answer):
    """How far the estimates can be trusted, on the firm's own past jobs."""

    targets: tuple[TargetTrust, ...] = ()
    more_jobs: float | None = None

    def tables(self) -> tuple[Table, ...]:
        """Methods, coverage, jobs tried and what each field is worth, as they are to be read."""
        found: list[Table] = []
        for t in self.targets:
            found += [self._methods(t), self._coverage(t)]
        for t in self.targets[:1]:
            found.append(self._tried(t))
            if t.fields:
                found.append(field_table(t.fields))
        return tuple(found)

    def _methods(self, t: TargetTrust) -> Table:
        rows = tuple(
            (
                m.name,
                say_percent(m.error),
                say_percent(m.bias, signed=True),
                "no range" if m.held is None else f"{m.held.held} of {m.held.of}",
                "no range" if m.score is None else f"{m.score:.2f}",
                str(m.jobs),
            )
            for m in t.methods
        )
        return Table(
            f"Foretelling the {PLAIN_TARGET[t.target]} of your own past jobs",
            ("", "typical error", "leans", "8 in 10 range held", "score", "jobs"),
            rows,
            "Each job from the jobs before it only. Score: width plus misses, lower is better.",
        )

    def _coverage(self, t: TargetTrust) -> Table:
        rows = tuple(
            (
                f"{c.level * 10:.0f} in 10",
                f"{c.held} of {c.of}",
                say_percent(c.share),
                f"{c.least} to {c.most}",
            )
            for c in t.coverage
        )
        return Table(
            f"Did the ranges of {PLAIN_TARGET[t.target]} hold?",
            ("range", "held", "share", "fair luck would give"),
            rows,
        )

    def _tried(self, t: TargetTrust) -> Table:
        money = self.grounds.currency
        rows = tuple(
            (
                j.job,
                f"{j.day:%b %Y}",
                str(j.known),
                f"{say(j.low, t.target, money)} to {say(j.high, t.target, money)}",
                say(j.actual, t.target, money),
                "yes" if j.held else "no",
            )
            for j in t.tried
        )
        return Table(
            f"Job by job: {PLAIN_TARGET[t.target]}",
            ("job", "quoted", "jobs known then", "8 in 10 range", "came to", "held"),
            rows,
        )


def backtest(history: History) -> Trust:
    """How far the estimates can be trusted, tried on the firm's own past jobs.

    Each job is predicted from the jobs finished before the day of its quote (its start where no
    quote's date is known), with its own planned figure where it had one.
    """
    found = tuple(t for name in TARGETS if (t := _target(history, name)) is not None)
    if not found:
        return _nothing(history)
    lead = found[0]
    more = _more_jobs(lead, len(known_totals(history, lead.target, None)[0]))
    names = {t.job for t in lead.tried}
    jobs = [j for j in history.usable if j.name in names]
    doubts = doubts_of(jobs, known_totals(history, lead.target, None)[1], 0.0, lead.target)
    return Trust(
        _sentence(lead, more) + doubts.first,
        grounds_of(history, jobs, _notes(history, lead), "of each job's own day"),
        found,
        more,
    )


def as_quoted(job: Job, target: str) -> float | None:
    """What the job came to without the changes approved later, which no quote could hold."""
    came = ms.observed(job, target)
    if came is None:
        return None
    later = {"cost": job.changed_cost / 100, "person_days": job.changed_days}.get(target, 0.0)
    return came - later if came > later else None


def _target(history: History, target: str) -> TargetTrust | None:
    jobs, totals = known_totals(history, target, None)
    dated = [(day, j, float(v)) for j, v in zip(jobs, totals, strict=True) if (day := quote_day(j))]
    tried: list[Tried] = []
    spreads: list[LogSpread] = []
    rules: list[LogSpread | None] = []
    plans: list[LogSpread | None] = []
    for day, job, _ in sorted(dated, key=lambda d: (d[0], d[1].key))[-NEWEST:]:
        past = known_on(history, day)
        asked = replace(job, state="quoted", quoted_on=day, started=None, finished=None)
        asked = replace(asked, actual=NOTHING, phases=(), changes=())
        guess = predict(past, asked, target, quoted=True)
        actual = as_quoted(job, target)
        if guess is None or actual is None:
            continue
        spread = guess.spread
        ends = spread.interval(0.8)
        tried.append(
            Tried(
                job.name,
                day,
                len(guess.jobs),
                ends.low,
                spread.median,
                ends.high,
                actual,
                ms.planned(asked, target),
            )
        )
        spreads.append(spread)
        rules.append(_by_area(past, job, target))
        plans.append(_by_plan(past, job, target))
    if len(tried) < MIN_TRIED:
        return None
    actuals = [t.actual for t in tried]
    methods = [
        m
        for name, found in ((OWN, list(spreads)), (RULE, rules), (QUOTE, plans))
        if (m := _method(name, found, actuals)) is not None
    ]
    return TargetTrust(
        target,
        tuple(tried),
        tuple(
            coverage([s.interval(v).holds(a) for s, a in zip(spreads, actuals, strict=True)], v)
            for v in (0.5, 0.8, 0.9)
        ),
        tuple(methods),
        _narrowing(tried),
        worth_of_fields(history, target),
    )


def _by_area(past: History, job: Job, target: str) -> LogSpread | None:
    """The simple rule: the firm's average per floor area, with the spread it had."""
    pairs = [
        (j.area_sqft, v)
        for j in past.usable
        if j.area_sqft and (v := ms.observed(j, target)) is not None
    ]
    if len(pairs) < MIN_JOBS or not job.area_sqft:
        return None
    sizes, totals = (np.array(column) for column in zip(*pairs, strict=True))
    return one_number(totals, sizes, job.area_sqft).spread


def _by_plan(past: History, job: Job, target: str) -> LogSpread | None:
    """The firm's own planned figure, times what such figures turned out to be worth."""
    pairs = [
        (p, v)
        for j in past.usable
        if (p := independent_plan(j, target)) is not None
        and (v := ms.observed(j, target)) is not None
    ]
    planned = independent_plan(replace(job, changes=()), target)
    if len(pairs) < MIN_JOBS or planned is None:
        return None
    plans, totals = (np.array(column) for column in zip(*pairs, strict=True))
    return one_number(totals, plans, planned).spread


def _method(
    name: str, spreads: Sequence[LogSpread | None], actuals: Sequence[float]
) -> Method | None:
    pairs = [(s, a) for s, a in zip(spreads, actuals, strict=True) if s is not None]
    if not pairs:
        return None
    off = np.array([np.log(a / s.median) for s, a in pairs])
    ends = np.log([[s.interval(0.8).low, s.interval(0.8).high] for s, _ in pairs])
    truth = np.log([a for _, a in pairs])
    score = interval_score(ends[:, 0], ends[:, 1], truth, 0.8)
    held = coverage([s.interval(0.8).holds(a) for s, a in pairs], 0.8)
    return Method(
        name,
        len(pairs),
        float(np.exp(np.median(np.abs(off)))) - 1,
        float(np.exp(np.median(off))) - 1,
        float(score.mean()),
        held,
    )


def _narrowing(tried: Sequence[Tried]) -> Narrowing | None:
    try:
        return narrowing([t.known for t in tried], [t.half_width for t in tried])
    except NothingToSay:
        return None


def _more_jobs(lead: TargetTrust, have: int) -> float | None:
    """Further jobs until the range is within 15 % either way; None if it never gets there."""
    if lead.narrowing is None:
        return None
    needed = lead.narrowing.jobs_for(WANTED_HALF_WIDTH)
    return None if needed is None else max(needed - have, 0.0)


def _sentence(lead: TargetTrust, more: float | None) -> str:
    held = next(c for c in lead.coverage if c.level == 0.8)
    text = (
        f"Of {count_of(held.of, 'past job')}, each foretold from the jobs before it, the 8-in-10 "
        f"range of {PLAIN_TARGET[lead.target]} held {held.held}; fair luck would give "
        f"{held.least} to {held.most}. The middle was off by {say_percent(lead.own.error)} in the "
        "typical job"
    )
    others = [
        f"{m.name} by {say_percent(m.error)}" for m in lead.methods[1:] if m.jobs >= MIN_TRIED
    ]
    text += (", " + ", ".join(others) if others else "") + "."
    if not held.fair:
        text += (
            " The ranges have been too narrow: add to them."
            if held.held < held.least
            else " The ranges have been wider than need be."
        )
    text += _say_more(lead, more)
    best = next((f for f in lead.fields if f.advice), None)
    return text + (f" {best.advice}" if best else "")


def _say_more(lead: TargetTrust, more: float | None) -> str:
    if lead.narrowing is None:
        return ""
    now = lead.tried[-1].half_width
    if now <= WANTED_HALF_WIDTH or more == 0:
        return f" The range is now within {say_percent(now)} either way."
    have = lead.tried[-1].known + 1
    if more is None or more > 3 * have:
        return (
            f" The range is now {say_percent(now)} either way, and more jobs alone will hardly "
            "bring it to 15 %: what differs from job to job is not in the records."
        )
    jobs = count_of(int(round_figures(max(more, 1.0), 1)), "more job")
    return (
        f" The range is now {say_percent(now)} either way; going by how it narrowed so far, some "
        f"{jobs} would bring it to 15 %."
    )


def _notes(history: History, lead: TargetTrust) -> tuple[str, ...]:
    return (
        *bounds_met(history, (t.known for t in lead.tried)),
        "Each job was priced from jobs finished before the day of its quote, with its own planned "
        "figure where it had one; changes approved later are taken out of what it came to",
        "Scope and floor area are as built; a quote may have known them less well",
        "Jobs with fewer than 3 finished before them cannot be tried",
    )


def _nothing(history: History) -> Trust:
    counted = {t: known_totals(history, t, None)[0] for t in TARGETS}
    dated = max(sum(bool(quote_day(j) and j.finished) for j in js) for js in counted.values())
    return Trust(
        f"Your records cannot tell yet how good estimates are: {count_of(dated, 'finished job')} "
        f"{'is' if dated == 1 else 'are'} on file with cost or days, start and finish; at least 8 "
        "are needed, one after the other, so that each can be priced from those before it."
        + why_few(history),
        grounds_of(history, history.usable),
        known=False,
    )
