"""Whether said odds come true: ``python tests/bench/odds.py``.

Over the invented worlds, each of the odds a contractor is shown is set beside what happened:

* ``loss``: the job costs more than the quoted price;
* ``margin``: the price leaves the wanted margin;
* ``both``: the job keeps a limit of cost and one of working days at once;
* ``budget`` and ``finish``: after 2 to 7 of 10 phases, the running job keeps a limit of cost, and
  a promised day.

Prices and limits are drawn far apart, so that odds of all sizes are said. Quotes go through
``check``'s own path, running jobs through ``forecast``. In ``worlds.py`` the totals of a job are
drawn on their own; here a job that costs more than thought also takes longer than thought
(correlation ``TIED``), or has no such tie (``free``), so that ``both`` is tried with and without.

Working days are whole in the records, and so are promises. The firms' days of the running jobs are
made up from the phases of ``midjob.py``: person-days go with cost, the crew works them off, waits
and gaps come on top.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

import midjob
import numpy as np
from laws import Floats
from numpy.random import Generator
from ours import FIRST_DAY, records_of
from scipy import special
from worlds import LOOK, MIDDLE_DRAWS, WORLDS, Laws, Sample, World, make_trial

from costlearn.firm import Firm
from costlearn.models.ladder import chance_of_margin
from costlearn.questions.learning import chance_of_both, predict
from costlearn.questions.running.midjob import forecast
from costlearn.records import NOTHING, Amounts, History, Job, PhaseRecord
from costlearn.units import to_cents
from costlearn.vocabulary import standard
from costlearn.workdays import Workdays

TIED = 0.6
"""How log cost and log days of one job go together, given what the records say of it."""
DRAWS = 400
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
SIZES = (8, 20, 35)
AHEAD = 6
STAGES = (2, 4, 7)
MARGIN = 0.25
WAITS = {2: 1.0, 5: 1.5, 6: 2.0, 7: 1.0}
"""Mean wait days of some of the ten phases."""


@dataclass(frozen=True)
class Said:
    """One of the odds: of what, whose, said how large, and whether it happened."""

    what: str
    firm: str
    chance: float
    happened: bool


@dataclass(frozen=True)
class Bin:
    """Odds of about one size: mean said, share that happened, standard error over firms."""

    count: int
    said: float
    happened: float
    error: float

    @property
    def off(self) -> float:
        """By how much what was said differs from what happened."""
        return self.happened - self.said

    @property
    def beyond(self) -> float:
        """The part of it that two standard errors do not explain."""
        return max(abs(self.off) - 2 * self.error, 0.0)


def quoted(world: World, size: int, seed: int, tie: float) -> Iterator[Said]:
    """The odds of one firm's quotes."""
    rng = np.random.default_rng([seed, *world.name.encode()])
    trial = make_trial(world, size, AHEAD, rng)
    laws = trial.laws
    past, ahead = (_tied(s, world, laws, tie, rng) for s in (trial.history, trial.next_jobs))
    history = History(jobs=records_of(past, "finished"))
    name = f"{world.name} {seed}"
    for i, job in enumerate(records_of(ahead, "quoted")):
        cost = predict(history, job, "cost", quoted=True)
        days = predict(history, job, "elapsed_days", quoted=True)
        if cost is None or days is None:
            continue
        came, took = ahead.actual["cost"][i], ahead.actual["elapsed_days"][i]
        price = ahead.quote["cost"][i] * rng.uniform(0.8, 1.7)
        yield Said("loss", name, 1 - cost.spread.cdf(price), came > price)
        kept = chance_of_margin(cost.spread, price, MARGIN)
        yield Said("margin", name, kept, came <= price * (1 - MARGIN))
        limits = [ahead.quote[t][i] * rng.uniform(0.8, 1.5) for t in ("cost", "elapsed_days")]
        limits[1] = float(round(limits[1]))
        both = chance_of_both(cost, days, limits[0], limits[1])
        yield Said("both", name, both, came <= limits[0] and took <= limits[1])


def _tied(sample: Sample, world: World, laws: Laws, tie: float, rng: Generator) -> Sample:
    """The same jobs with totals that go together; each total keeps its law."""
    n = len(sample.jobs.area)
    common = rng.normal(size=n)
    actual, quote = {}, {}
    mood = rng.normal(0, world.quote_sd, n)
    for target, law in laws.items():
        own = np.sqrt(tie) * common + np.sqrt(1 - tie) * rng.normal(size=n)
        draws = np.sort(law.draw(rng, sample.jobs, DRAWS), axis=0)
        place = (special.ndtr(own) * DRAWS).astype(int).clip(0, DRAWS - 1)
        actual[target] = draws[place, np.arange(n)]
        if target == "elapsed_days":
            actual[target] = np.maximum(np.round(actual[target]), 1.0)
        middle = law.quantiles(sample.jobs, [0.5], MIDDLE_DRAWS)[0]
        slip = np.sqrt(0.5) * (mood + rng.normal(0, world.quote_sd, n))
        seen = (actual[target] / middle) ** LOOK
        quote[target] = middle * seen * world.quote_bias * np.exp(slip)
    return replace(sample, actual=actual, quote=quote)


def running(world: midjob.World, size: int, seed: int) -> Iterator[Said]:
    """The odds of one firm's running jobs, each after some of its phases."""
    rng = np.random.default_rng([seed, *world.name.encode()])
    plan, actual = world.make(rng, size + AHEAD)
    made = _Days(rng, plan, actual)
    calendar = Workdays()
    history = History(Firm(), tuple(made.finished(i) for i in range(size)))
    for i in range(size, size + AHEAD):
        done = int(rng.choice(STAGES))
        job, whole = made.stopped(i, done), float(np.nansum(actual[i]))
        limit = float(np.nansum(plan[i])) * rng.uniform(0.85, 1.4)
        total = round(made.elapsed[i].sum())
        due = round(float(job.plan.elapsed_days or 0) * rng.uniform(0.8, 1.5))
        start = job.started or FIRST_DAY
        promised = calendar.after(start - timedelta(days=1), float(due))
        priced = replace(job, price=to_cents(limit))
        answer = forecast(history, priced, promised=promised)
        for one in answer.odds:
            if one.what == "price":
                yield Said("budget", f"{world.name} {seed}", one.chance, whole <= limit)
            if one.what == "finish" and one.limit > 0:
                yield Said("finish", f"{world.name} {seed}", one.chance, total <= due)


class _Days:
    """Person-days, site days, waits and elapsed days for the phases of ``midjob.py``."""

    def __init__(self, rng: Generator, plan: Floats, actual: Floats) -> None:
        jobs, phases = plan.shape
        self.plan, self.actual = plan, actual
        rate = 700 * np.exp(rng.normal(0, 0.15, phases))
        over = (actual / plan) ** 0.9 * np.exp(rng.normal(0, 0.1, plan.shape))
        self.planned = plan / rate
        self.work = self.planned * over
        self.crew = rng.choice([1.0, 2.0], (jobs, 1), p=[0.6, 0.4])
        self.site = self.work / self.crew
        mean = np.array([WAITS.get(k, 0.0) for k in range(phases)])
        waits = mean * rng.gamma(3.0, 1 / 3, plan.shape)
        gaps = self.site * rng.gamma(2.0, 0.06, (jobs, 1))
        self.waits = np.where(np.isnan(plan), np.nan, waits)
        self.elapsed = np.nan_to_num(self.site + self.waits + gaps)
        self.keys = [p.key for p in standard().phases][:phases]
        usual = np.nan_to_num(self.planned / self.crew).sum(axis=1) + mean.sum()
        self.due = 1.1 * usual * np.exp(rng.normal(0, 0.1, jobs))

    def finished(self, i: int) -> Job:
        """A finished job with all its phases."""
        return self._job(i, len(self.keys), "finished")

    def stopped(self, i: int, done: int) -> Job:
        """The job after so many phases."""
        return self._job(i, done, "running")

    def _job(self, i: int, done: int, state: str) -> Job:
        records = []
        for k, key in enumerate(self.keys):
            if np.isnan(self.plan[i, k]):
                continue
            actual = Amounts(
                cost=to_cents(float(self.actual[i, k])),
                person_days=float(self.work[i, k]),
                site_days=float(self.site[i, k]),
                wait_days=float(self.waits[i, k]) or None,
            )
            planned = Amounts(
                cost=to_cents(float(self.plan[i, k])), person_days=float(self.planned[i, k])
            )
            records.append(
                PhaseRecord(
                    key, planned, actual if k < done else NOTHING, percent_complete=float(k < done)
                )
            )
        here = slice(0, done)
        start = date(2020, 1, 6) + timedelta(days=28 * i)
        return Job(
            f"{state}{i}",
            f"{state} {i}",
            "bathroom",
            state,
            started=start,
            finished=start + timedelta(days=27) if state == "finished" else None,
            area_sqft=60.0,
            plan=Amounts(cost=to_cents(np.nansum(self.plan[i])), elapsed_days=float(self.due[i])),
            actual=Amounts(
                cost=to_cents(float(np.nansum(self.actual[i, here]))),
                person_days=float(np.nansum(self.work[i, here])),
                site_days=float(np.nansum(self.site[i, here])),
                wait_days=float(np.nansum(self.waits[i, here])),
                elapsed_days=float(round(self.elapsed[i, here].sum())),
            ),
            books_closed=state == "finished",
            phases=tuple(records),
        )


def reliability(said: Sequence[Said]) -> tuple[Bin, ...]:
    """Said odds against what happened, in bins; errors over firms, whose jobs share their luck."""
    found = []
    for low, high in pairwise(BINS):
        here = [s for s in said if low <= s.chance < high or (high == 1 and s.chance == 1)]
        if len(here) < 20:
            continue
        miss: dict[str, float] = {}
        for s in here:
            miss[s.firm] = miss.get(s.firm, 0.0) + s.happened - s.chance
        sums = np.array(list(miss.values()))
        mean = sums.sum() / len(here)
        counts = np.array([sum(s.firm == f for s in here) for f in miss])
        error = float(np.sqrt(((sums - mean * counts) ** 2).sum())) / len(here)
        chance = float(np.mean([s.chance for s in here]))
        found.append(Bin(len(here), chance, chance + float(mean), error))
    return tuple(found)


def worst(bins: Sequence[Bin]) -> Bin:
    """The bin whose deviation its standard error explains least."""
    return max(bins, key=lambda b: (b.beyond, abs(b.off)))


def everything(firms: int, sizes: Sequence[int]) -> dict[str, list[Said]]:
    """All odds of all worlds by what they are of; ``both`` apart by whether totals are tied."""
    found: dict[str, list[Said]] = {}
    sources: list[tuple[str, Callable[[int, int], Iterator[Said]]]] = []
    for w in WORLDS:
        if w.in_bars:
            sources.append(("tied", lambda n, s, w=w: quoted(w, n, s, TIED)))
            sources.append(("free", lambda n, s, w=w: quoted(w, n, s, 0.0)))
    sources += [("", lambda n, s, m=m: running(m, n, s)) for m in midjob.WORLDS]
    for size in sizes:
        for seed in range(firms):
            for kind, source in sources:
                for one in source(size, seed):
                    name = f"{one.what}, {kind}" if one.what == "both" else one.what
                    found.setdefault(name, []).append(replace(one, firm=f"{size} {one.firm}"))
    return found


def lines(found: dict[str, list[Said]]) -> list[str]:
    """The table: each kind of odds with its bins and its worst."""
    told = []
    for what, said in found.items():
        bins = reliability(said)
        cells = "  ".join(f"{100 * b.said:3.0f}>{100 * b.happened:3.0f}" for b in bins)
        bad = worst(bins)
        told.append(
            f"{what:11s} {len(said):6d}  {cells}   worst {100 * bad.off:+.1f} "
            f"(error {100 * bad.error:.1f}) where {100 * bad.said:.0f} is said"
        )
    return told


def main() -> None:
    """Print said odds against what happened, in per cent."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--firms", type=int, default=30)
    parser.add_argument("--short", action="store_true", help="6 firms a world, 20 jobs")
    parser.add_argument("--by-size", action="store_true", help="each history size on its own")
    told = parser.parse_args()
    firms, sizes = (6, (20,)) if told.short else (told.firms, SIZES)
    for part in [(s,) for s in sizes] if told.by_size else [sizes]:
        print("jobs on file:", ", ".join(map(str, part)))
        print("\n".join(lines(everything(firms, part))))


if __name__ == "__main__":
    main()
