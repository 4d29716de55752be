"""Site days of each phase as draws, with or without a helper, and where phases begin and end.

Draws of one row belong to one job: phases share the job's own factor and sum to a draw of its total
(``costlearn.models.phases``), so that late finishes are those of jobs that run long throughout.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from costlearn.models.distribution import Floats, LogSpread
from costlearn.models.phases import DRAWS
from costlearn.questions.byphase import REST, phase_draws
from costlearn.questions.calendar import Between
from costlearn.questions.crewing.job import OCCURS, phase_factors
from costlearn.questions.crewing.speedup import Speedup
from costlearn.questions.learning import predict
from costlearn.records import History, Job
from costlearn.vocabulary import Vocabulary

WHOLE = ""
"""The key of a job that is not split into phases."""


@dataclass(frozen=True)
class SiteDays:
    """Site days of a job: ``draws`` has shape (draws, phases), 0 where a phase does not occur.

    ``keys`` are phases in the order of the trade, or :data:`WHOLE` alone; ``chances`` that each
    occurs; ``seen`` how many finished jobs recorded it. ``jobs`` taught it; ``verdict`` says how
    far to trust it, as ``costlearn.questions.learning.Prediction`` does.
    """

    keys: tuple[str, ...]
    draws: Floats
    chances: tuple[float, ...]
    seen: tuple[int, ...]
    jobs: tuple[Job, ...]
    verdict: str

    @property
    def split(self) -> bool:
        """True if phases are told apart."""
        return self.keys != (WHOLE,)

    @property
    def likely(self) -> tuple[bool, ...]:
        """Which phases at least half of the draws have."""
        return tuple(bool(share >= OCCURS) for share in (self.draws > 0).mean(axis=0))


def site_days(history: History, job: Job, *, quoted: bool, words: Vocabulary) -> SiteDays | None:
    """The site days of a job, by phase where five finished jobs have them; None if not known.

    Args:
        history: the firm's jobs.
        job: the scope, with the crew to reckon with; its own planned days count if ``quoted``.
        quoted: take the job's plan as an expert's number.
        words: the words of the trade and the firm.
    """
    prediction = predict(history, job, "site_days", quoted=quoted)
    if prediction is None:
        return None
    found = phase_draws(history, job, "site_days", prediction.spread, words)
    kept = [i for i, f in enumerate(found.fitted) if f.phase != REST] if found else []
    if found is None or not kept:
        whole = shuffled(prediction.spread)
        seen = (len(prediction.jobs),)
        return SiteDays((WHOLE,), whole[:, None], (1.0,), seen, prediction.jobs, prediction.verdict)
    return SiteDays(
        tuple(found.fitted[i].phase for i in kept),
        _filled(found.draws[:, kept], found.draws.sum(axis=1)),
        tuple(found.chances[i].chance for i in kept),
        tuple(found.fitted[i].jobs for i in kept),
        prediction.jobs,
        prediction.verdict,
    )


def _filled(draws: Floats, totals: Floats) -> Floats:
    """Phases scaled up to the job's total: days no phase shows fall evenly on those it has."""
    likeliest = int(np.argmax((draws > 0).mean(axis=0)))
    shaped = draws.copy()
    shaped[shaped.sum(axis=1) <= 0, likeliest] = 1.0
    return np.asarray(shaped * (totals / shaped.sum(axis=1))[:, None])


def shuffled(spread: LogSpread, size: int = DRAWS, seed: int = 23) -> Floats:
    """Evenly spaced quantiles of a distribution in a fixed random order, shape (size,)."""
    values = spread.quantiles((np.arange(size) + 0.5) / size)
    return np.asarray(np.random.default_rng(seed).permutation(values))


def alone(job: Job) -> Job:
    """The job as done by one person."""
    return replace(job, plan=replace(job.plan, crew=1.0))


def helper_factors(
    days: SiteDays, found: Speedup, phases: Sequence[str], before: Sequence[float] = ()
) -> Floats:
    """What two on some phases and one on the others multiply site days by, (draws, phases).

    Args:
        days: the site days as reckoned so far.
        found: what a second person does; a phase with no factor of its own takes that of all work.
        phases: those a helper works in, all if the days are not split.
        before: people at work in the days reckoned so far, a number a phase, one if not said; days
            follow a power of it, so that a crew of 1.4 is half way from one to two.
    """
    size = len(days.draws)
    own = phase_factors(found, size)
    whole = found.whole.sample(size, 24)
    factors = np.ones_like(days.draws)
    known = {gain.phase: i for i, gain in enumerate(found.phases)} if found.effects else {}
    for k, key in enumerate(days.keys):
        people = 2.0 if key in phases or key == WHOLE else 1.0
        doublings = np.log2(people / (before[k] if before else 1.0))
        if doublings:
            factors[:, k] = (own[:, known[key]] if key in known else whole) ** doublings
    return factors


@dataclass(frozen=True)
class Positions:
    """Where phases begin and end in each draw, in working days gone since the start.

    ``begins``, ``ends`` and ``work`` (site days) have shape (draws, phases), ``totals`` (draws,).
    """

    work: Floats
    begins: Floats
    ends: Floats
    totals: Floats


def lay(site: Floats, waits: Floats, gaps: Floats) -> Positions:
    """Phases one after the other: site days, then waits, then a share of the other gaps.

    A job is over with its last day on site, so waits and gaps of its last phase fall within it.

    Args:
        site: site days, shape (draws, phases).
        waits: wait days after each phase, same shape.
        gaps: other days nobody was there, shape (draws,); they fall evenly on the days of work.
    """
    work = site.sum(axis=1)
    share = site / np.where(work > 0, work, 1.0)[:, None]
    off = waits + share * gaps[:, None]
    after = np.cumsum(site + off, axis=1)
    begins = after - site - off
    ends = begins + site
    ends[:, -1] = after[:, -1]
    return Positions(site, begins, ends, after[:, -1])


def wait_draws(keys: Sequence[str], idle: Between) -> Floats:
    """Drawn wait days after each phase, shared out as they were recorded, shape (draws, phases).

    Waits that no phase is known for fall evenly on all.
    """
    by = idle.waits.by_phase
    share = np.array([by.get(key, 0.0) for key in keys])
    share = share / share.sum() if share.sum() > 0 else np.full(len(keys), 1 / len(keys))
    return np.asarray(idle.wait_draws[:, None] * share)


def fitted(totals: Floats, wanted: LogSpread | None) -> Floats:
    """What each draw is multiplied by so that totals follow a distribution, order kept.

    1 throughout where there is none to follow.
    """
    if wanted is None:
        return np.ones_like(totals)
    ranked = np.empty_like(totals)
    chance = (np.arange(len(totals)) + 0.5) / len(totals)
    ranked[np.argsort(totals, kind="stable")] = wanted.quantiles(chance)
    return np.asarray(ranked / totals)
