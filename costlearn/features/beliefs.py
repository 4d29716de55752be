"""What the firm itself believes a job comes to, from its own rates or its usual figure per area.

costlearn ships no rate table: every figure here was stated by the user, and every answer that leans
on it says so. It speaks while finished jobs are few, and gives way as they arrive.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.records import Job
from costlearn.units import SQFT_PER_SQM
from costlearn.vocabulary import Vocabulary, fold, standard

MIN_COVERED = 0.5
"""Rates speak for a job only if they cover at least this share of its items."""


@dataclass(frozen=True)
class Belief:
    """What the firm believes: money in whole units or days, and the words it was made of."""

    value: float
    how: str


def believed(
    job: Job, firm: Firm, target: str, vocabulary: Vocabulary | None = None
) -> Belief | None:
    """What the firm's stated rates say of a job; None if they say nothing.

    Args:
        job: the job, finished or asked about; only its scope, area and crew are used.
        firm: its ``rates`` (summed over items), else its ``usual`` figure per area.
        target: one of ``features.measures.TARGETS``.
        vocabulary: the words of the trade.

    Raises:
        InputProblem: a rate is stated for an item nobody knows.
    """
    words = vocabulary or standard()
    return _from_rates(job, firm, target, words) or _from_usual(job, firm, target)


def known_rates(firm: Firm, words: Vocabulary) -> dict[str, tuple[float | None, float | None]]:
    """Item key to person-days and bought cost for each unit.

    Raises:
        InputProblem: a rate is stated for an item nobody knows.
    """
    found = {}
    for word, rate in firm.rates.items():
        key = words.item_words.get(fold(word))
        if key is None:
            raise InputProblem(
                f"'{word}' is no scope item costlearn knows",
                place=Place(column="firm.rates"),
                hint="see the list with: costlearn words",
            )
        found[key] = (rate.get("person_days"), rate.get("bought"))
    return found


def _from_rates(job: Job, firm: Firm, target: str, words: Vocabulary) -> Belief | None:
    rates = known_rates(firm, words)
    sizes = {k: v for k, v in job.scope.items() if v}
    used = [k for k in sizes if k in rates and not _size_unknown(words, k, sizes[k])]
    if not used or len(used) < MIN_COVERED * len(sizes):
        return None
    days = sum(sizes[k] * (rates[k][0] or 0.0) for k in used)
    bought = sum(sizes[k] * (rates[k][1] or 0.0) for k in used)
    value = _rated(days, bought, firm, target, job)
    if value is None or value <= 0:
        return None
    return Belief(value, f"your own rates for {len(used)} of {len(sizes)} items")


def _size_unknown(words: Vocabulary, key: str, size: float) -> bool:
    """True if an item measured by area or length is only said to be there."""
    return size == 1.0 and words.item(key).unit != "each"


def _rated(days: float, bought: float, firm: Firm, target: str, job: Job) -> float | None:
    if target == "person_days":
        return days
    if target == "cost":
        return None if firm.day_rate is None else days * firm.day_rate + bought
    if target == "site_days":
        crew = job.actual.crew or job.plan.crew
        return days / crew if crew else None
    return None


def _from_usual(job: Job, firm: Firm, target: str) -> Belief | None:
    usual = firm.usual.get(target)
    if not usual or not job.area_sqft:
        return None
    area = job.area_sqft / (SQFT_PER_SQM if firm.area_unit == "sqm" else 1.0)
    unit = "m²" if firm.area_unit == "sqm" else "sq ft"
    return Belief(usual * area, f"your usual {usual:g} a {unit}")


def all_believed(jobs: Sequence[Job], firm: Firm, target: str) -> tuple[float | None, ...]:
    """The belief of each job; quick where the firm stated none."""
    if not firm.rates and not firm.usual:
        return (None,) * len(jobs)
    found = (believed(j, firm, target) for j in jobs)
    return tuple(b.value if b else None for b in found)
