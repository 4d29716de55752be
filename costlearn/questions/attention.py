"""What on file is worth a look before it is learned from? Listed, never enforced."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from costlearn.features import measures as ms
from costlearn.features.attention import KINDS, Attention, of_records, places_of
from costlearn.features.doubles import twice
from costlearn.features.openbooks import likely_open
from costlearn.features.outlandish import outlandish
from costlearn.features.slips import FAR, FEWEST, LEAST_SPREAD, robust_z, slips
from costlearn.models.distribution import Floats
from costlearn.models.regression import PriorRegression
from costlearn.questions.answer import Answer, Table
from costlearn.questions.learning import (
    grounds_of,
    index_of,
    known_totals,
    latest,
    terms_of,
)
from costlearn.questions.wording import count_of, is_are, say
from costlearn.records import Entry, History, Job

_TARGETS = {"cost": "cost far off", "person_days": "time far off"}
_FIGURES = {"cost": "actual.cost", "person_days": "actual.person_days"}
_WORDS = {"cost": "direct cost", "person_days": "work in person-days"}
PLACES = 2
MOST_SHARE = 20
"""Percent of the jobs of which some can be far off the others."""


@dataclass(frozen=True)
class Look(Answer):
    """The things worth a look, by kind and job."""

    found: tuple[Attention, ...] = ()

    def tables(self) -> tuple[Table, ...]:
        """One table: job, what, where."""
        if not self.found:
            return ()
        rows = tuple(
            (a.job or "several", a.kind, a.sentence, "; ".join(map(str, a.places[:PLACES])))
            for a in self.found
        )
        note = "No record is changed; where one is not counted, its line says so. You know the job."
        return (Table("Worth a look", ("job", "what", "said", "where"), rows, note),)


def attention(
    history: History, entries: Iterable[Entry] = (), *, today: date | None = None
) -> Look:
    """Which records look like slips, copies, doubles or unfinished books.

    Args:
        history: the firm's jobs.
        entries: the rows behind them, for what only single days and bills show.
        today: the day it is asked on, for dates that are still to come.
    """
    rows = list(entries)
    slipped = slips(history)
    explained = {a.job for a in slipped}
    sound = replace(history, jobs=tuple(j for j in history.jobs if j.name not in explained))
    found = [*slipped, *far_off(sound), *outlandish(history, today)]
    found += [*twice(history), *of_records(history, rows), *likely_open(history, rows)]
    order = {kind: i for i, kind in enumerate(KINDS)}
    found.sort(key=lambda a: order[a.kind])
    return Look(_sentence(len(found)), grounds_of(history, history.usable), found=tuple(found))


def far_off(history: History) -> tuple[Attention, ...]:
    """Jobs whose cost or work lies far off what area, scope and date of the others explain.

    Each job is judged by the others alone (leave-one-out), the spread of these errors is a robust
    one, and the worst job is taken out before the next is looked for: so that one bad record
    neither hides itself nor accuses its neighbours. The only job of its kind is no judge's case:
    what its kind costs is known from itself alone.
    """
    found: list[Attention] = []
    for target in _TARGETS:
        jobs, totals = known_totals(history, target, latest(history.usable))
        left = _with_fellows(jobs)
        for _ in range(max(MOST_SHARE * len(jobs) // 100, 1)):
            if len(left) < FEWEST:
                break
            worst = _worst(history, [jobs[i] for i in left], totals[left], target)
            if worst is None:
                break
            at, expected = worst
            found.append(_tell(history, jobs[left[at]], float(totals[left[at]]), expected, target))
            del left[at]
    return tuple(found)


def _with_fellows(jobs: Sequence[Job]) -> list[int]:
    """Which jobs have another of their kind beside them, or say no kind."""
    kinds = Counter(job.kind for job in jobs)
    return [i for i, job in enumerate(jobs) if job.kind is None or kinds[job.kind] > 1]


def _worst(
    history: History, jobs: list[Job], totals: Floats, target: str
) -> tuple[int, float] | None:
    """The job farthest off, if it is far at all, and what the others lead to expect of it."""
    drift = 0.0 if target == "cost" and index_of(history) else None
    measured = ms.measure(jobs, None, target=target, drift=drift)
    loo = PriorRegression(terms_of(measured.columns)).fit(measured.frame, totals).loo_
    scores = np.abs(robust_z(loo.errors, LEAST_SPREAD / float(np.median(loo.scale))))
    at = int(np.argmax(scores))
    return (at, float(np.exp(loo.centre[at]))) if scores[at] > FAR else None


def _tell(history: History, job: Job, total: float, expected: float, target: str) -> Attention:
    money = history.firm.currency
    area = job.area_sqft if target == "cost" else None
    each = f" ({say(total / area, target, money)} a sq ft)" if area else ""
    text = (
        f"Its {_WORDS[target]}, {say(total, target, money)}{each}, is {total / expected:.2g} times "
        f"what the other jobs lead to expect of its area and scope "
        f"({say(expected, target, money)}): is it right, and is its scope whole?"
    )
    return Attention(job.name, _TARGETS[target], text, places_of(job, _FIGURES[target])[:PLACES])


def _sentence(count: int) -> str:
    if not count:
        return "Nothing on file looks like a slip."
    return f"{count_of(count, 'thing')} on file {is_are(count)} worth a look."
