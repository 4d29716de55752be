"""Bringing what past jobs left to the price level of one date, where that is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.regression import PriorRegression
from costlearn.questions.learning import (
    MOSTLY_ASSUMED,
    index_of,
    known_totals,
    latest,
    terms_of,
)
from costlearn.records import History, Job
from costlearn.units import say_percent

AS_WRITTEN = "as written down, of each job's own time: too few dated jobs tell how prices moved"
YEAR = 365.25


@dataclass(frozen=True)
class PriceLevel:
    """What money of a job's date is at the level of one date, by job key, and how that is known."""

    factors: dict[str, float]
    words: str

    def of(self, job: Job) -> float:
        """The factor of a job; 1 where nothing is known."""
        return self.factors.get(job.key, 1.0)


def price_level(history: History, jobs: Sequence[Job], now: date | None) -> PriceLevel:
    """The factors that bring money of some jobs to the prices of a date.

    By the firm's price index where it keeps one, else by the drift that the costs of its jobs show
    after area and scope; unchanged where fewer than eight dated jobs say a cost.

    Args:
        history: the firm's jobs.
        jobs: the jobs to bring to one level.
        now: the date; default the newest on file.
    """
    day = now or latest(history.usable)
    index = index_of(history)
    if day is None:
        return PriceLevel({}, AS_WRITTEN)
    if index is not None:
        factors = {j.key: index.factor(j.day, day) for j in jobs if j.day}
        return PriceLevel(factors, f"brought to {day:%b %Y} by your price index")
    costed, totals = known_totals(history, "cost", day)
    if sum(j.day is not None for j in costed) < MOSTLY_ASSUMED:
        return PriceLevel({}, AS_WRITTEN)
    asked = Job("", "", state="quoted", quoted_on=day)
    have = {j.key for j in costed}
    measured = ms.measure([*costed, *(j for j in jobs if j.key not in have)], asked, target="cost")
    frame = measured.frame.iloc[: len(costed)]
    model = PriorRegression(terms_of(measured.columns, frame)).fit(frame, totals)
    dated = np.array([c.role == "drift" or c.name.startswith("since ") for c in measured.columns])
    row = np.asarray(measured.row, dtype=float)
    factors = {}
    for job in jobs:
        if job.day:
            moved = np.where(dated, row - measured.frame.loc[job.key].to_numpy(dtype=float), 0.0)
            factors[job.key] = float(np.exp(model.combined(np.nan_to_num(moved)).mean))
    return PriceLevel(factors, _words(jobs, factors, day))


def _words(jobs: Sequence[Job], factors: dict[str, float], day: date) -> str:
    text = (
        f"brought to {day:%b %Y} by the drift your costs show (first guess "
        f"{say_percent(ms.DRIFT_PER_YEAR)} a year; trade judgement, no source)"
    )
    dated = [(d, factors[j.key]) for j in jobs if (d := j.day) and j.key in factors]
    if not dated:
        return text
    oldest, factor = min(dated)
    years = (day - oldest).days / YEAR
    if years < 1:
        return text
    yearly = say_percent(factor ** (1 / years) - 1, signed=True)
    return f"{text}: {yearly} a year since {oldest:%b %Y}"
