"""How well the effect of a second person is found: invented firms, the true effect known.

Run by hand: ``python tests/bench/crew.py 100`` (histories a cell) prints the table in DEVELOPERS'
terms; ``test_crew_short.py`` runs a short form. Four forms of world, all invented, none of them the
form the engine assumes:

* ``adding``: a phase takes a set-up and so much for each square foot; items add days;
* ``multiplying``: sizes and items multiply, each phase with its own power;
* ``surprises``: as adding, and what is found after opening is in no record, with heavy tails;
* ``bent``: days rise with size only beyond a kink, and no item does anything.

The second person is sent to the big jobs (odds e^3 per e-fold of area), each phase has its own true
effect, and days are written down to the quarter (phases) or half (jobs). Truth is the mean over the
firm's jobs of log(days with two / days alone), noise left out.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from costlearn.questions.crewing.speedup import speedup
from costlearn.records import Amounts, History, Job, PhaseRecord
from costlearn.vocabulary import standard

Floats = NDArray[np.float64]
PHASES = {
    "demo": (2.0, 0.4),
    "framing": (1.2, 0.5),
    "plumb_rough": (1.5, 0.8),
    "elec_rough": (0.8, 0.6),
    "board": (2.5, 0.3),
    "waterproof": (1.2, 0.5),
    "tile": (4.0, 0.2),
    "paint": (1.5, 0.4),
    "finish_set": (1.5, 0.8),
}
"""Phase: days alone in a bathroom of 60 sq ft, and the part of them that is set-up."""
ITEMS = ("gut_demo", "floor_leveling", "bath_fan", "curbless", "subfloor_repair", "shower_glass")
FORMS = ("adding", "multiplying", "surprises", "bent")
RECORDS = ("by job", "by phase")
SIZES = (12, 35, 80)


@dataclass(frozen=True)
class Firm:
    """A firm's history and the truth behind it, in log points."""

    history: History
    whole: float
    phases: dict[str, float]


@dataclass
class Score:
    """Errors in log points of a cell, and whether the 80 % interval held the truth."""

    errors: list[float]
    held: list[bool]
    wrong: list[bool]
    naive: list[float]
    width: list[float]
    part_errors: list[float]
    part_held: list[bool]
    claimed: list[bool]
    silent: int = 0

    @classmethod
    def empty(cls) -> Score:
        """Nothing scored yet."""
        return cls([], [], [], [], [], [], [], [])


def make_firm(
    form: str, records: str, count: int, rng: Generator, *, effect: float | None = None
) -> Firm:
    """A firm of one form; ``effect`` sets the true effect of every phase, in log points."""
    names = tuple(PHASES)
    usual = rng.uniform(-0.55, -0.25)
    theta = np.array([rng.normal(usual, 0.12) for _ in names])
    if effect is not None:
        theta[:] = effect
    area = np.clip(60 * np.exp(rng.normal(0, 0.5, count)), 20, 260)
    items = (rng.random((count, len(ITEMS))) < 0.4).astype(float)
    work = _work(form, area, items, rng)
    big = rng.random(count) < 1 / (1 + np.exp(-3 * np.log(area / 65)))
    two = np.repeat(big[:, None], len(names), axis=1)
    if records == "by phase":
        own = rng.random(two.shape) < 0.35
        two = np.where(own, rng.random(two.shape) < 0.5, two)
    days = work * np.exp(theta * two) * _noise(form, work.shape, rng)
    whole = float(np.mean(np.log((work * np.exp(theta)).sum(axis=1) / work.sum(axis=1))))
    jobs = tuple(
        _job(i, area[i], items[i], days[i], two[i], names if records == "by phase" else ())
        for i in range(count)
    )
    return Firm(History(jobs=jobs), whole, dict(zip(names, theta.tolist(), strict=True)))


def _work(form: str, area: Floats, items: Floats, rng: Generator) -> Floats:
    """Days alone of each job and phase, shape (jobs, phases)."""
    words = standard()
    phase_at = {p: k for k, p in enumerate(PHASES)}
    base = np.array([b for b, _ in PHASES.values()]) * np.exp(rng.normal(0, 0.2, len(PHASES)))
    setup = np.array([s for _, s in PHASES.values()])
    size = (area / 60)[:, None]
    falls = np.zeros((len(ITEMS), len(PHASES)))
    for i, key in enumerate(ITEMS):
        for phase in words.item(key).phases:
            if phase in phase_at:
                falls[i, phase_at[phase]] = 1.0
    if form == "multiplying":
        power = rng.uniform(0.2, 0.9, len(PHASES))
        return base * size**power * np.exp(items @ (falls * rng.normal(0.15, 0.1, falls.shape)))
    if form == "bent":
        return np.asarray(base * (1 + 1.2 * np.maximum(size - 1.2, 0)))
    lumps = falls * rng.uniform(0.1, 0.8, (len(ITEMS), 1))
    return np.asarray(base * (setup + (1 - setup) * size) + items @ lumps)


def _noise(form: str, shape: tuple[int, ...], rng: Generator) -> Floats:
    job = rng.normal(0, 0.12 if form == "surprises" else 0.08, (shape[0], 1))
    if form != "surprises":
        return np.exp(job + rng.normal(0, 0.18, shape))
    found = 1 + (rng.random(shape) < 0.2) * rng.exponential(0.5, shape)
    return np.asarray(np.exp(job + 0.12 * rng.standard_t(4, shape)) * found)


def _job(
    i: int, area: float, items: Floats, days: Floats, two: NDArray[np.bool_], names: Sequence[str]
) -> Job:
    day = date(2021, 1, 4) + timedelta(days=21 * i)
    site = max(0.5, round(2 * float(days.sum())) / 2)
    people = float(days @ (1.0 + two))
    records = tuple(
        PhaseRecord(
            p, actual=Amounts(site_days=max(0.25, round(4 * float(d)) / 4), crew=1.0 + float(t))
        )
        for p, d, t in zip(names, days, two, strict=bool(names))
    )
    return Job(
        key=f"j{i:03d}",
        name=f"J{i}",
        kind="bathroom",
        started=day,
        finished=day + timedelta(days=20),
        area_sqft=float(area),
        scope={"toilet": 1.0} | {k: 1.0 for k, v in zip(ITEMS, items, strict=True) if v},
        actual=Amounts(site_days=site, crew=people / float(days.sum())),
        phases=records,
        books_closed=True,
    )


def score(
    form: str,
    records: str,
    count: int,
    histories: int,
    seed: int = 5,
    *,
    effect: float | None = None,
) -> Score:
    """One cell of the table; ``claimed`` says where a saving is claimed with odds of 95 in 100."""
    found = Score.empty()
    for k in range(histories):
        key = [seed, FORMS.index(form), RECORDS.index(records), count, k]
        firm = make_firm(form, records, count, np.random.default_rng(key), effect=effect)
        answer = speedup(firm.history)
        if answer is None:
            found.silent += 1
            continue
        low_high = answer.whole.interval(0.8)
        found.errors.append(answer.whole.mean - firm.whole)
        found.held.append(low_high.holds(float(np.exp(firm.whole))))
        found.wrong.append(answer.whole.mean * firm.whole < 0)
        found.claimed.append(answer.whole.shown_below(1.0) >= 0.95)
        found.width.append(float(np.log(low_high.ratio)))
        found.naive.append(_naive(firm.history) - firm.whole)
        for part in answer.phases:
            found.part_errors.append(float(np.log(part.factor)) - firm.phases[part.phase])
            found.part_held.append(part.interval.holds(float(np.exp(firm.phases[part.phase]))))
    return found


def _naive(history: History) -> float:
    """The plain comparison: mean log days of jobs by two, less that of jobs alone."""
    days = np.log([j.actual.site_days or np.nan for j in history.jobs])
    two = np.array([(j.actual.crew or 1) >= 1.5 for j in history.jobs])
    return float(days[two].mean() - days[~two].mean())


def rows(histories: int, sizes: Sequence[int] = SIZES) -> Iterator[tuple[str, int, str, Score]]:
    """All cells: records, jobs, form, score."""
    for records in RECORDS:
        for count in sizes:
            for form in FORMS:
                yield records, count, form, score(form, records, count, histories)


def _line(records: str, count: int, form: str, s: Score) -> str:
    e = np.array(s.errors)
    parts = (
        f"{np.sqrt(np.mean(np.square(s.part_errors))):6.3f} {100 * np.mean(s.part_held):5.0f}"
        if s.part_errors
        else "     -     -"
    )
    return (
        f"{records:9s}{count:4d} {form:12s}{e.mean():+7.3f}{np.sqrt(np.mean(e**2)):7.3f}"
        f"{100 * np.mean(s.held):6.0f}{100 * np.mean(s.wrong):7.1f}{np.mean(s.width):7.2f}"
        f"{np.mean(s.naive):+8.3f} {parts}{s.silent:7d}"
    )


def main(histories: int) -> None:
    """Print the table: each form, and the mean of the four."""
    print(
        "records  jobs form           bias   rmse  held% wrong%  width   naive  p.rmse p.held none"
    )
    for records in RECORDS:
        for count in SIZES:
            cells = [score(form, records, count, histories) for form in FORMS]
            for form, cell in zip(FORMS, cells, strict=True):
                print(_line(records, count, form, cell), flush=True)
            print(_line(records, count, "all four", _together(cells)), flush=True)
    print("\nwhere two are no faster, a saving is claimed (95 in 100) in so many % of histories")
    for records in RECORDS:
        for count in SIZES:
            found = _together([score(f, records, count, histories, effect=0.0) for f in FORMS])
            print(f"{records:9s}{count:4d} {100 * np.mean(found.claimed):6.1f}", flush=True)


def _together(cells: Sequence[Score]) -> Score:
    return Score(
        *([x for c in cells for x in getattr(c, name)] for name in (
            "errors", "held", "wrong", "naive", "width", "part_errors", "part_held", "claimed")),
        silent=sum(c.silent for c in cells),
    )  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
