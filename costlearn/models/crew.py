"""How site days change with crew size, and what a second person is worth.

Answers "does the work really go faster with two?" with scope controlled: big jobs get two people,
so a plain comparison of days reverses the sign. Dividing days by person-days is a trap too, since
person-days already hold what the second person wastes.

The effect is theta = log(days with two / days with one), a coefficient on log2(crew size). Its
prior, N(-.35, .3) in log points, stands for "two people need .70 of the days, or .48 to 1.03"
(trade judgement, no source); with it 12 jobs did as well in trials as plain least squares that
knew the true work content. Posterior spreads are widened by the factors measured in those trials.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from costlearn.errors import NothingToSay
from costlearn.models.contrasts import Contrasts, averaged, contrasts
from costlearn.models.distribution import Codes, Floats, Interval
from costlearn.models.regression import Effect, PriorRegression, Term, start_spread

PHASE_SD = 0.15
"""How far one phase's effect usually differs from the common one, in log points (trade judgement,
no source)."""
PHASE_SDS = (0.05, 0.1, 0.15, 0.22, 0.32)
"""How far it may: averaged by what the records say, half-normal of .2 beforehand; the one figure of
.15 held 67 to 76 of 100 where phases truly differ by .25."""
WIDEST_USUAL = 0.2
JOB_SD = 0.5
"""Spread of what a job has in common over its phases, in noise scales."""
JOB_NOISE = 0.3
"""Spread of single jobs, in log points, where no record tells it (trade judgement, no source)."""
WIDEN_PHASES = 1.03
WIDEN_PARTS = 1.06
"""Spreads times this hold their odds in trials (``tests/bench/crew.py``)."""


@dataclass(frozen=True, slots=True)
class Guess:
    """What is believed of log(days with two / days alone) before any record: normal."""

    mean: float
    sd: float

    @classmethod
    def of_range(cls, low: float, high: float) -> Guess:
        """The belief that 8 times in 10 the factor on site days lies in a range, 0 < low < high.

        >>> round(Guess.of_range(0.6, 0.85).sd, 3)
        0.136
        """
        middle, reach = np.log(low * high) / 2, np.log(high / low) / 2
        return cls(float(middle), float(reach / special.ndtri(0.9)))

    @property
    def effect(self) -> CrewEffect:
        """The belief as an effect that rests on no record."""
        return CrewEffect("all", self.mean, self.sd, 1e6, 0, 0)


GUESS = Guess(-0.35, 0.3)
"""Two people need .70 of the days, or .48 to 1.03 (trade judgement, no source)."""


def widening(jobs: int) -> float:
    """What the spread over whole jobs is multiplied by to hold its odds.

    With few jobs the first guess keeps intervals wide enough by itself; with many, what the columns
    cannot follow is left over (``tests/bench/crew.py``).
    """
    return max(0.9, 1.12 - 2.4 / max(jobs, 1))


@dataclass(frozen=True, slots=True)
class CrewEffect:
    """The factor on site days when the crew doubles: 0.7 means 30 % fewer days.

    ``lean`` is the part of ``mean`` that comes from the first guess, in log points; ``noise`` how
    far one more job by two would stand from the truth.
    """

    name: str
    mean: float
    sd: float
    df: float
    alone: int
    together: int
    lean: float = 0.0
    noise: float = JOB_NOISE

    @property
    def factor(self) -> float:
        """The middle of the factor on site days."""
        return float(np.exp(self.mean))

    def interval(self, level: float = 0.8) -> Interval:
        """Interval of the factor on site days."""
        reach = float(special.stdtrit(self.df, (1 + level) / 2)) * self.sd
        return Interval(level, float(np.exp(self.mean - reach)), float(np.exp(self.mean + reach)))

    def chance_below(self, factor: float) -> float:
        """The chance that the true factor is below a value."""
        return float(special.stdtr(self.df, (np.log(factor) - self.mean) / self.sd))

    def shown_below(self, factor: float) -> float:
        """The same chance for one who had expected no effect: what the records alone show.

        A first guess that two are faster would "find" a saving where there is none more often than
        its odds say; a claim of a saving rests on this one.
        """
        return float(special.stdtr(self.df, (np.log(factor) - self.mean + self.lean) / self.sd))

    @property
    def work(self) -> float:
        """The middle of the factor on person-days: two people for so many of the days."""
        return 2 * self.factor

    def sample(self, size: int, seed: int = 0) -> Floats:
        """Draws of the factor, shape (size,)."""
        draws = np.random.default_rng(seed).standard_t(self.df, size)
        return np.asarray(np.exp(self.mean + self.sd * draws), dtype=float)


def from_jobs(
    columns: Floats,
    terms: Sequence[Term],
    site_days: Floats,
    crew: Floats,
    *,
    guess: Guess = GUESS,
) -> CrewEffect:
    """The effect seen over whole jobs.

    Args:
        columns: shape (n, p), what describes the work (size, items), crew left out.
        terms: their priors.
        site_days: shape (n,), positive.
        crew: shape (n,), crew sizes, positive.
        guess: what was believed of the effect before these records.

    Raises:
        NothingToSay: crew size never varies, so the records cannot tell.
    """
    _check_varies(crew)
    design = np.column_stack([columns, np.log2(crew)])

    def priors(noise: float) -> tuple[Term, ...]:
        return (*terms, Term("crew", guess.mean, guess.sd / noise, shrunk=False))

    model = _fit(design, priors, site_days)
    effect = model.combined(np.append(np.zeros(len(terms)), 1.0), "crew")
    return replace(_named(effect, "all", crew, widening(len(crew)), guess), noise=model.noise)


@dataclass(frozen=True)
class PhaseEffects:
    """The effect in each phase and over all of them, known together.

    ``whole`` is the effect on a job's site days, each phase weighing as the days it takes alone
    (``shares``, shape (k,)). ``alone`` holds the log site days that one person needs in each phase
    of the job asked about, or None if none was; ``noise`` the spread of single records.
    """

    whole: CrewEffect
    parts: tuple[CrewEffect, ...]
    shares: Floats
    together: Contrasts
    alone: Floats | None
    noise: float

    def factors(self, size: int, seed: int = 0) -> Floats:
        """Draws of the factor on site days in each phase, shape (size, k)."""
        k = len(self.parts)
        rng = np.random.default_rng(seed)
        covariance = self.together.covariance[:k, :k]
        root = np.linalg.cholesky(covariance + 1e-12 * np.eye(k))
        normal = rng.standard_normal((size, k)) @ root.T
        wide = np.sqrt(self.together.df / rng.chisquare(self.together.df, size))
        return np.asarray(np.exp(self.together.mean[:k] + normal * wide[:, None]))


def from_phases(
    columns: Floats,
    terms: Sequence[Term],
    site_days: ArrayLike,
    crew: ArrayLike,
    phase: ArrayLike,
    job: ArrayLike,
    names: Sequence[str],
    *,
    guess: Guess = GUESS,
    asked: Floats | None = None,
) -> PhaseEffects:
    """The effect over all phases and each phase's own, from records of phases.

    Args:
        columns: shape (n, p), what describes the work of the phase in the job.
        terms: their priors.
        site_days: shape (n,), positive.
        crew: shape (n,), crew sizes in that phase, positive.
        phase: shape (n,), codes 0..k-1, each occurring at least once.
        job: shape (n,), codes of the jobs.
        names: the k phase names.
        guess: what was believed of the effect before these records.
        asked: shape (k, p), the work columns of a job asked about, phase by phase.

    Raises:
        NothingToSay: crew size never varies, so the records cannot tell.
    """
    days, size = np.asarray(site_days, dtype=float), np.asarray(crew, dtype=float)
    which, where = np.asarray(phase, dtype=np.int64), np.asarray(job, dtype=np.int64)
    _check_varies(size)
    log_crew, k = np.log2(size), len(names)
    in_phase = np.eye(k)[which]
    level = _group_median(np.log(days), which)
    start = start_spread(np.log(days) - level[which])
    design = np.column_stack([columns, in_phase, log_crew, in_phase * log_crew[:, None]])
    wanted = _wanted(k, columns.shape[1], asked)
    records = _Records(design, np.log(days), wanted, where)

    def fitted(noise: float, apart: float) -> Contrasts:
        priors = (
            *terms,
            *(Term(f"phase {n}", level[i], 8.0, shrunk=False) for i, n in enumerate(names)),
            Term("crew", guess.mean, guess.sd / noise, shrunk=False),
            *(Term(f"crew in {n}", 0.0, apart / noise, shrunk=False) for n in names),
        )
        return records.fit(priors, start)

    noise = fitted(start, PHASE_SD).noise
    chances = [-0.5 * (sd / WIDEST_USUAL) ** 2 for sd in PHASE_SDS]
    found = averaged([fitted(noise, sd) for sd in PHASE_SDS], chances)
    return _effects(found, names, days, size, which, where, guess)


@dataclass(frozen=True)
class _Records:
    """Columns (n, p), log days (n,), wanted combinations (q, p) and jobs (n,) of phase records."""

    design: Floats
    log_days: Floats
    wanted: Floats
    where: Codes

    def fit(self, priors: tuple[Term, ...], start: float) -> Contrasts:
        """The combinations under some priors."""
        return contrasts(
            self.design,
            self.log_days,
            priors,
            self.wanted,
            start,
            groups=self.where,
            share=JOB_SD,
        )


def _wanted(k: int, p: int, asked: Floats | None) -> Floats:
    """The effect in each phase, then the work of each phase of the job asked about."""
    own = np.hstack([np.zeros((k, p + k)), np.ones((k, 1)), np.eye(k)])
    if asked is None:
        return own
    return np.vstack([own, np.hstack([asked, np.eye(k), np.zeros((k, k + 1))])])


def _effects(
    found: Contrasts,
    names: Sequence[str],
    days: Floats,
    size: Floats,
    which: Codes,
    where: Codes,
    guess: Guess,
) -> PhaseEffects:
    k = len(names)
    mean = found.mean[:k]
    solo = np.bincount(which, days * np.exp(-mean[which] * np.log2(size)), k)
    shares = solo / solo.sum()
    shrunk = shares * np.exp(mean)
    slope = np.concatenate([shrunk / shrunk.sum(), np.zeros(len(found.mean) - k)])
    _, spread = found.times(slope)
    own = np.sqrt(np.diag(found.covariance)[:k])
    parts = tuple(
        _named(
            Effect(n, float(mean[i]), float(own[i]), found.df),
            n,
            size[which == i],
            WIDEN_PARTS,
            Guess(guess.mean, float(np.hypot(guess.sd, PHASE_SD))),
        )
        for i, n in enumerate(names)
    )
    whole = Effect("all", float(np.log(shrunk.sum())), spread, found.df)
    a_job = float(np.hypot(JOB_SD, np.sqrt((int(where.max()) + 1) / len(which)))) * found.noise
    every = replace(_named(whole, "all", size, WIDEN_PHASES, guess), noise=a_job)
    alone = found.mean[k:] if len(found.mean) > k else None
    return PhaseEffects(every, parts, shares, found, alone, found.noise)


@dataclass(frozen=True, slots=True)
class DayCosts:
    """What a day costs: owner and helper by the day, overhead on every day of the job."""

    owner: float
    helper: float
    overhead: float
    helper_paid_waiting: bool = False


def job_days_cost(
    active_alone: float, waiting: float, speedup: float | None, day: DayCosts
) -> float:
    """What the days of a job cost alone (``speedup`` None) or with a helper.

    Overhead runs on every day; the owner counts on working days only, since another job can take
    the waiting ones; the helper is paid on working days, and on waiting days if so agreed.
    """
    if speedup is None:
        return active_alone * (day.owner + day.overhead) + waiting * day.overhead
    active = active_alone / speedup
    paid = waiting * (day.overhead + (day.helper if day.helper_paid_waiting else 0.0))
    return active * (day.owner + day.overhead + day.helper) + paid


def break_even_speedup(day: DayCosts) -> float:
    """The speed-up at which a helper costs what the gained days are worth, if they can be sold.

    Raises:
        NothingToSay: owner's day and overhead are both zero, so a gained day is worth nothing.
    """
    worth = day.owner + day.overhead
    if worth <= 0:
        raise NothingToSay("a gained day is worth nothing here, so no speed-up breaks even")
    return 1 + day.helper / worth


def explained(columns: Floats, crew: Floats) -> float:
    """How much of crew size the columns foretell, 0 to 1: R2 of jobs left out one at a time.

    Near 1, "crew" is only another name for the work, and no record tells them apart. Ridge over the
    columns in their own spreads, its strength by the same left-out errors (PRESS); columns shape
    (n, p), crew shape (n,).
    """
    log_crew = np.log2(crew) - np.log2(crew).mean()
    whole = float(log_crew @ log_crew)
    if len(crew) < 3 or whole <= 0:
        return 0.0
    spread = columns.std(axis=0)
    kept = columns[:, spread > 0]
    if not kept.shape[1]:
        return 0.0
    left, size, _ = np.linalg.svd(
        (kept - kept.mean(axis=0)) / kept.std(axis=0), full_matrices=False
    )
    best = whole
    for strength in np.geomspace(0.01, 100, 13) * len(crew):
        part = size**2 / (size**2 + strength)
        fitted = left @ (part * (left.T @ log_crew))
        hat = 1 / len(crew) + (left**2) @ part
        best = min(best, float(np.sum(((log_crew - fitted) / np.maximum(1 - hat, 1e-6)) ** 2)))
    return max(0.0, 1 - best / whole)


def _fit(
    columns: Floats,
    priors: Callable[[float], tuple[Term, ...]],
    days: Floats,
) -> PriorRegression:
    """Fit twice: the crew's prior is in log points, and only a first fit tells the noise scale."""
    noise = start_spread(np.log(days))
    for _ in range(2):
        model = PriorRegression(priors(noise)).fit(columns, days)
        noise = model.noise
    return model


def _named(effect: Effect, name: str, crew: Floats, widen: float, guess: Guess) -> CrewEffect:
    return CrewEffect(
        name,
        effect.mean,
        effect.sd * widen,
        effect.df,
        int(np.sum(crew < 1.5)),
        int(np.sum(crew >= 1.5)),
        guess.mean * min(effect.sd / guess.sd, 1.0) ** 2,
    )


def _check_varies(crew: Floats) -> None:
    if not len(crew) or np.ptp(np.log2(crew)) < 0.1:
        raise NothingToSay("crew size never varies, so the records cannot tell what it does")


def _group_median(values: Floats, codes: Codes) -> Floats:
    return np.array([np.median(values[codes == k]) for k in range(int(codes.max()) + 1)])
