"""Which surprises jobs met, as their notes, change orders and bills say."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from costlearn.records import ChangeEntry, CostEntry, Entry, HoursEntry, Job, job_key
from costlearn.vocabulary import fold, standard

DENIED = r"(?<!\bno )(?<!\bnot )(?<!\bwithout )(?<!\bsans )"
"""A word with one of these before it is no surprise: "no rot"."""

MOST_LETTERS = 90


@dataclass(frozen=True, slots=True)
class Surprise:
    """One kind of surprise: the jobs (keys) that met it, and where it is said.

    ``cost`` is what approved or verbal change orders and bills that name it came to, in currency
    units; None where none does.
    """

    key: str
    name: str
    jobs: tuple[str, ...]
    said: tuple[str, ...]
    cost: float | None


@dataclass
class _Found:
    jobs: dict[str, None]
    said: dict[str, None]
    cents: int | None = None


def surprises(jobs: Sequence[Job], entries: Iterable[Entry] = ()) -> tuple[Surprise, ...]:
    """The surprises that finished jobs met, the commonest first.

    Words are those of the vocabulary (common practice, no source). A change order a client
    declined still says that the thing was found; its cost was not spent.
    """
    found: dict[str, _Found] = {}
    known = {j.key for j in jobs}
    for job in jobs:
        _take(found, job.key, job.notes)
        for change in job.changes:
            _take(found, job.key, change.label, _spent(change))
    for entry in entries:
        if isinstance(entry, CostEntry) and entry.job and job_key(entry.job) in known:
            _take(found, job_key(entry.job), entry.notes, entry.net)
        elif isinstance(entry, HoursEntry) and job_key(entry.job) in known:
            _take(found, job_key(entry.job), entry.notes)
    names = {w.key: w.name for w in standard().surprises}
    ranked = sorted(found.items(), key=lambda item: (-len(item[1].jobs), item[0]))
    return tuple(
        Surprise(
            key,
            names[key],
            tuple(one.jobs),
            tuple(one.said),
            None if one.cents is None else one.cents / 100,
        )
        for key, one in ranked
    )


def named_in(text: str) -> tuple[str, ...]:
    """Keys of the surprises a text names.

    >>> named_in("Rot under the old tub; no mould")
    ('rot',)
    """
    folded = fold(text.replace(";", ".").replace(",", "."))
    return tuple(k for k, pattern in _patterns() if folded and pattern.search(folded))


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple(
        (
            w.key,
            re.compile(DENIED + r"\b(?:" + "|".join(re.escape(fold(x)) for x in w.words) + r")\b"),
        )
        for w in standard().surprises
    )


def _take(found: dict[str, _Found], job: str, text: str, cents: int | None = None) -> None:
    if not text:
        return
    for key in named_in(text):
        one = found.setdefault(key, _Found({}, {}))
        one.jobs[job] = None
        one.said[_clause(text, key)] = None
        if cents is not None:
            one.cents = (one.cents or 0) + cents


def _clause(text: str, key: str) -> str:
    """The part of a text between semicolons that names a surprise, cut where it runs on."""
    said = next((part for part in text.split(";") if key in named_in(part)), text).strip()
    return said if len(said) <= MOST_LETTERS else said[: MOST_LETTERS - 3].rstrip() + "..."


def _spent(change: ChangeEntry) -> int | None:
    return change.cost if change.state != "declined" else None
