"""From a History to a fitted prediction: the one place where features and models meet.

Every question that needs "where will this job land" asks here, so that they cannot disagree.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from costlearn.errors import NothingToSay
from costlearn.features import measures as ms
from costlearn.features.beliefs import Belief, all_believed, believed
from costlearn.features.likeness import Reach, reach
from costlearn.features.prices import PriceIndex
from costlearn.firm import Firm
from costlearn.models.distribution import Floats, Interval, LogSpread
from costlearn.models.joint import Together, correlation
from costlearn.models.mixture import (
    Member,
    Mixed,
    belief_alone,
    from_belief,
    mix,
    subset,
    with_quote,
)
from costlearn.models.regression import Effect, PriorRegression, Term
from costlearn.questions.answer import Grounds
from costlearn.questions.doubts import (
    NO_DOUBTS,
    Doubts,
    doubts_of,
    is_plan,
    notes_on,
    recent_gap,
    untaught,
    widened,
)
from costlearn.questions.wording import count_of
from costlearn.records import History, Job
from costlearn.units import say_percent
from costlearn.workdays import whole_days

MIN_JOBS = 3
MOSTLY_ASSUMED = 8
"""Below this many jobs an interval is mostly prior, and says so."""
TOO_WIDE = 2.0
"""An 80 % interval whose upper end is over twice the lower is too wide to price from."""
OUTSIDE_WIDER = 1.15
"""Least spread factor for floor areas outside the history (measured shortfall of coverage)."""
UNLIKE = "too little like your past jobs to price from"
UNLIKE_EACH_OTHER = "too wide to price from: like jobs of yours came out far apart"
UNSEEN_SD = 0.85
"""Prior spread of a never-seen item, in noise scales (trade judgement, no source)."""
FAR_LEVERAGE = 1.0
"""A job whose own columns add as much variance as the noise of jobs is unlike those on file."""
USUAL_BELIEF_SPREAD = 0.4
"""How far off a stated belief may be where the firm does not say (trade judgement, no source)."""
LEVELS = (0.5, 0.8, 0.9)
UNITS = {
    "cost": "direct cost",
    "person_days": "person-days",
    "site_days": "site days",
    "elapsed_days": "elapsed days",
}


@dataclass(frozen=True)
class Prediction:
    """Where a new job will land in one target, and what that rests on.

    ``weights`` tells how much each member of a mixture counted, empty where items speak alone.
    ``errors`` are the studentised leave-one-out errors of the jobs whose keys are ``judged``.
    ``belief`` is what the firm stated, where it counted.
    """

    target: str
    spread: LogSpread
    jobs: tuple[Job, ...]
    model: PriorRegression | None
    measures: ms.Measures
    errors: Floats
    judged: tuple[str, ...]
    weights: dict[str, float]
    reach: Reach
    belief: Belief | None = None
    doubts: Doubts = NO_DOUBTS

    @property
    def unlike(self) -> bool:
        """True if the new job lies outside the history, not only in a wide range."""
        row, outside = self.measures.row, self.reach
        far = (
            self.model is not None
            and row is not None
            and self.model.leverage(np.asarray(row, dtype=float)) > FAR_LEVERAGE
        )
        return bool(outside.area or outside.never or outside.kind_unseen) or far

    @property
    def belief_note(self) -> str:
        """What was believed and how much it counts; empty where no belief counts."""
        if self.belief is None:
            return ""
        share = say_percent(self.weights["belief"])
        text = f"{UNITS[self.target].capitalize()}: a belief of yours counts for {share}"
        rest = f", corrected by {count_of(len(self.jobs), 'finished job')}" if self.jobs else ""
        return f"{text}{rest} ({self.belief.how})"

    def worth(self, names: Sequence[str]) -> Effect:
        """What some columns of the new job add together, in log points.

        Raises:
            NothingToSay: no finished job has taught any effect yet.
        """
        if self.model is None:
            raise NothingToSay("no finished job tells yet what an item adds")
        row = self.measures.row
        amounts = [
            float(row[c.name]) if row is not None and c.name in names else 0.0
            for c in self.measures.columns
        ]
        return self.model.combined(np.nan_to_num(amounts))

    @property
    def verdict(self) -> str:
        """How far to trust it, in the words shown beside the figure; empty if there is no catch."""
        if len(self.jobs) < MIN_JOBS:
            return "what you stated, not experience"
        if self.spread.interval(0.8).ratio > TOO_WIDE:
            return UNLIKE if self.unlike else UNLIKE_EACH_OTHER
        if len(self.jobs) < MOSTLY_ASSUMED:
            return "mostly assumptions, few jobs"
        return ""

    def intervals(self) -> tuple[Interval, ...]:
        """The intervals shown; no 90 % interval where too few jobs could ever support one."""
        enough = len(self.jobs) >= 9
        return tuple(self.spread.interval(v) for v in LEVELS if v < 0.9 or enough)


def terms_of(columns: Sequence[ms.Column], frame: pd.DataFrame | None = None) -> tuple[Term, ...]:
    """The priors of columns as the models take them.

    A column that is the same in every job of ``frame`` keeps its own spread: what other items
    taught of shrinkage says nothing of an item never seen.
    """
    if frame is None:
        return tuple(Term(c.name, c.mean, c.sd, c.shrunk, c.role) for c in columns)
    spread = np.nan_to_num(np.nanmax(frame, axis=0) - np.nanmin(frame, axis=0))
    return tuple(
        Term(c.name, c.mean, c.sd, c.shrunk, c.role)
        if seen
        else Term(c.name, c.mean, c.sd * UNSEEN_SD, False, c.role)
        for c, seen in zip(columns, spread > 0, strict=True)
    )


def predict(history: History, new: Job, target: str, *, quoted: bool = False) -> Prediction | None:
    """Where a new job will land; None where neither three jobs nor the firm's own rates say.

    Args:
        history: the firm's jobs; jobs with open books are left out. Its firm may state beliefs
            (rates, usual figures): they speak from no finished job upward, and give way to jobs.
        new: the scope, with a date at whose prices it is asked.
        target: one of ``features.measures.TARGETS``.
        quoted: use the new job's own plan as an expert's number where the history has plans too.
    """
    now = new.day or latest(history.usable)
    jobs, totals = known_totals(history, target, now)
    belief = believed(new, history.firm, target)
    if len(jobs) < (1 if belief else MIN_JOBS):
        return _by_belief(jobs, new, target, belief, history.firm) if belief else None
    drift = 0.0 if target == "cost" and index_of(history) else None
    measures = ms.measure(jobs, new, target=target, drift=drift)
    terms = terms_of(measures.columns, measures.frame)
    model = PriorRegression(terms).fit(measures.frame, totals)
    facts = _Facts(history, jobs, totals, measures, model, target, now)
    mixed, keep = _mixed(facts, ms.planned(new, target) if quoted else None, belief)
    if belief and mixed is None and len(jobs) < MIN_JOBS:
        return _by_belief(jobs, new, target, belief, history.firm)
    spread = mixed.spread if mixed else model.distribution(_row(measures))
    errors = mixed.loo.errors if mixed else model.loo_.errors
    outside = reach(jobs, new)
    if outside.area and len(jobs) >= MIN_JOBS:
        spread = spread.wider(_outside_factor(outside, new))
    kept = [j for j, said in zip(jobs, keep, strict=True) if said]
    gap = recent_gap([j.day for j in kept], mixed.loo if mixed else model.loo_)
    kind_sd = untaught(totals, outside.kind_unseen, mixed is not None)
    spread = widened(spread, kind_sd=kind_sd, gap=gap)
    weights = mixed.weights if mixed else {}
    keys = tuple(j.key for j in kept)
    used = belief if "belief" in weights else None
    doubts = doubts_of(jobs, totals, gap, target)
    return Prediction(
        target, spread, jobs, model, measures, errors, keys, weights, outside, used, doubts
    )


def chance_of_both(
    cost: Prediction, days: Prediction, cost_limit: float, days_limit: float
) -> float:
    """The chance that one job stays within a cost AND within some days, whole if first to last."""
    limit = whole_days(days_limit) if days.target == "elapsed_days" else days_limit
    return joint_of(cost, days).chance_within(cost_limit, limit)


def joint_of(cost: Prediction, days: Prediction) -> Together:
    """Cost and days of one job together, tied as their errors over the jobs that say both."""
    errors = dict(zip(days.judged, days.errors, strict=True))
    pairs = [
        (one, errors[key])
        for key, one in zip(cost.judged, cost.errors, strict=True)
        if key in errors
    ]
    first, second = np.array(pairs).reshape(-1, 2).T
    return Together(cost.spread, days.spread, correlation(first, second))


def _by_belief(
    jobs: tuple[Job, ...], new: Job, target: str, belief: Belief, firm: Firm
) -> Prediction:
    """The belief alone: no finished job can be set against it yet."""
    return Prediction(
        target,
        belief_alone(belief.value, spread_of_belief(firm)),
        jobs,
        None,
        ms.measure(jobs, new, target=target),
        np.empty(0),
        (),
        {"belief": 1.0},
        reach(jobs, new),
        belief,
    )


def spread_of_belief(firm: Firm) -> float:
    """How far off the firm says its beliefs may be; a usual figure where it does not say."""
    return USUAL_BELIEF_SPREAD if firm.belief_spread is None else firm.belief_spread


@dataclass(frozen=True)
class _Facts:
    """What the members of a mixture are made from."""

    history: History
    jobs: tuple[Job, ...]
    totals: Floats
    measures: ms.Measures
    model: PriorRegression
    target: str
    now: date | None

    def figures(self, found: Sequence[float | None]) -> Floats:
        """Figures of the jobs at prices of now; NaN where there is none."""
        pairs = list(zip(self.jobs, (np.nan if v is None else v for v in found), strict=True))
        return at_prices(self.history, pairs, self.target, self.now)


def _mixed(
    facts: _Facts, plan: float | None, belief: Belief | None
) -> tuple[Mixed | None, NDArray[np.bool_]]:
    """Items, plans and beliefs together over the jobs that have them all; None with items alone.

    The model of items alone stays a member: where quotes say little it keeps the range narrow
    (measured in ``tests/bench``: score 1.42 to 1.34 at 8 jobs, no cell worse).
    """
    keep = np.ones(len(facts.jobs), dtype=bool)
    plans = facts.figures([independent_plan(j, facts.target) for j in facts.jobs])
    beliefs = np.array(all_believed(facts.jobs, facts.history.firm, facts.target), dtype=float)
    use_plan = plan is not None and int(np.sum(~np.isnan(plans))) >= MIN_JOBS
    if use_plan:
        keep &= ~np.isnan(plans)
    use_belief = belief is not None and bool(np.any(keep & ~np.isnan(beliefs)))
    if use_belief:
        keep &= ~np.isnan(beliefs)
    if not use_plan and not use_belief:
        return None, keep
    row, terms = _row(facts.measures), terms_of(facts.measures.columns, facts.measures.frame)
    columns, totals = facts.measures.frame.to_numpy()[keep], facts.totals[keep]
    plain = facts.model.distribution(row)
    seen = subset(facts.model.loo_, keep)
    members = []
    if len(facts.jobs) >= MIN_JOBS:
        members.append(Member("items", plain.centre, plain.scale, facts.model.df_, seen))
    if use_plan and plan is not None:
        members += with_quote(columns, terms, totals, plans[keep], row, plan)
    if use_belief and belief is not None:
        spread = spread_of_belief(facts.history.firm)
        members.append(
            from_belief(columns, terms, totals, beliefs[keep], row, belief.value, spread)
        )
    return mix(members), keep


def _outside_factor(outside: Reach, new: Job) -> float:
    """How much wider a job outside the range of past areas is, growing with the distance.

    Just outside the measured shortfall; far outside one unit more for each e-fold of area, since
    no past job tells whether size and quotes go on as they did (trade judgement, no source).
    """
    if not outside.nearest_area or not new.area_sqft:
        return 1.0
    return max(OUTSIDE_WIDER, 1 + abs(float(np.log(new.area_sqft / outside.nearest_area))))


def known_totals(history: History, target: str, now: date | None) -> tuple[tuple[Job, ...], Floats]:
    """The usable jobs that say a target, and what each came to, at prices of ``now`` if indexed."""
    pairs = [(j, v) for j in history.usable if (v := ms.observed(j, target)) is not None]
    return tuple(j for j, _ in pairs), at_prices(history, pairs, target, now)


def independent_plan(job: Job, target: str) -> float | None:
    """What was planned, unless the actual cost is the plan's own figure, copied to the cent."""
    return None if is_plan(job) else ms.planned(job, target)


def at_prices(
    history: History, pairs: Sequence[tuple[Job, float]], target: str, now: date | None
) -> Floats:
    """Figures of jobs at prices of one date, by the user's index; unchanged without one."""
    index = index_of(history)
    if target != "cost" or index is None or now is None:
        return np.array([v for _, v in pairs])
    return np.array([v * (index.factor(j.day, now) if j.day else 1.0) for j, v in pairs])


def index_of(history: History) -> PriceIndex | None:
    """The firm's price index, if it keeps one."""
    return PriceIndex.of(history.firm.price_index, history.firm.price_index_share)


def latest(jobs: Sequence[Job]) -> date | None:
    """The newest date among jobs."""
    return max((d for j in jobs if (d := j.day)), default=None)


def grounds_of(
    history: History, jobs: Sequence[Job], notes: Sequence[str] = (), prices: str | None = None
) -> Grounds:
    """What an answer from these jobs rests on; jobs with open books are counted.

    ``prices`` says at which prices the answer stands, if not at those of the question's date.
    """
    days = [d for j in jobs if (d := j.day)]
    said = [*notes, *notes_on(history)]
    if history.open_books:
        count = len(history.open_books)
        said.append(f"{count} job{'s' * (count > 1)} left out: books still open")
    unsaid = sum(j.books_closed is None for j in jobs)
    if unsaid:
        silent = "does not say whether its" if unsaid == 1 else "do not say whether their"
        said.append(f"{unsaid} of these jobs {silent} books are closed")
    copies = sum(is_plan(j) for j in jobs)
    if copies:
        said.append(
            f"{count_of(copies, 'actual cost')} equal the plan to the cent: taught nothing about "
            "quotes"
        )
    return Grounds(
        len(jobs),
        min(days, default=None),
        max(days, default=None),
        history.firm.currency,
        history.firm.area_unit,
        _prices(history, jobs, days) if prices is None else prices,
        tuple(said),
    )


def _prices(history: History, jobs: Sequence[Job], days: Sequence[date]) -> str:
    index = index_of(history)
    if index:
        text = "brought to the date of the question by your price index"
        undated = len(jobs) - len(days)
        if undated:
            text += f"; {count_of(undated, 'job')} without a date taken at today's prices"
        if not all(index.covers(d) for d in days):
            text += "; outside the dates of the index its nearest level is used"
        return text
    if not days:
        return "as written down; no dates, so no price drift could be learned"
    return (
        "at the date of the question, by the drift your jobs show (first guess "
        f"{say_percent(ms.DRIFT_PER_YEAR)} a year; trade judgement, no source)"
    )


def _row(measures: ms.Measures) -> Floats:
    return np.asarray(measures.row, dtype=float)
