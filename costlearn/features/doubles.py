"""One job under two names: alike in name and in the facts, so that it would teach twice."""

from __future__ import annotations

import re
from collections import defaultdict
from difflib import SequenceMatcher
from itertools import combinations
from typing import Any

from costlearn.features.attention import Attention, places_of
from costlearn.records import History, Job
from costlearn.vocabulary import fold

_FACTS = ("started", "finished", "area_sqft", "price", "cost", "person_days")
_TELLING = frozenset(("started", "finished", "price", "cost"))
"""Facts that two jobs seldom share; many rooms have one size."""
ALIKE = 0.6
"""How alike two names must be where two facts agree; where four do, the names may be anything."""
ENOUGH = 2
WHATEVER_THE_NAME = 4
MOST_OF_ONE_FACT = 30
"""A fact shared by more jobs than this (a date put in for all) brings nobody together."""


def twice(history: History) -> tuple[Attention, ...]:
    """Pairs of jobs that look like one job entered twice."""
    facts = {job.key: _facts(job) for job in history.jobs}
    holders: dict[tuple[str, Any], list[Job]] = defaultdict(list)
    for job in history.jobs:
        for name in _TELLING & facts[job.key].keys():
            holders[name, facts[job.key][name]].append(job)
    pairs: dict[tuple[str, str], tuple[Job, Job]] = {}
    for jobs in holders.values():
        if len(jobs) <= MOST_OF_ONE_FACT:
            pairs.update({(a.key, b.key): (a, b) for a, b in combinations(jobs, 2)})
    found = []
    for one, other in pairs.values():
        shared = [
            n for n in _FACTS if n in facts[one.key] and same(n, facts[one.key], facts[other.key])
        ]
        differ = [
            n for n in _FACTS if n in facts[one.key] and n in facts[other.key] and n not in shared
        ]
        if len(shared) - len(differ) < ENOUGH or not _named_alike(one, other, len(shared)):
            continue
        said = ", ".join(_WORDS[n] for n in shared)
        text = f"'{one.name}' and '{other.name}' have the same {said}: one job entered twice?"
        places = (*places_of(one, "name", "actual.cost", "started")[:1], *_first(other))
        found.append(Attention(one.name, "one job twice", text, places))
    return tuple(found)


_WORDS = {
    "started": "start",
    "finished": "finish",
    "area_sqft": "area",
    "price": "price",
    "cost": "direct cost",
    "person_days": "person-days",
}


def same(name: str, one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two jobs agree on a fact that both state."""
    return name in other and one[name] == other[name]


def _facts(job: Job) -> dict[str, Any]:
    said = {
        "started": job.started,
        "finished": job.finished,
        "area_sqft": job.area_sqft,
        "price": job.price,
        "cost": job.actual.total,
        "person_days": job.actual.person_days,
    }
    return {name: value for name, value in said.items() if value}


def _first(job: Job) -> tuple[Any, ...]:
    return places_of(job, "actual.cost", "started", "price")[:1]


def _named_alike(one: Job, other: Job, shared: int) -> bool:
    """Whether two names may be one job's; the facts may be so many that no name matters."""
    if shared >= WHATEVER_THE_NAME:
        return True
    first, second = (re.sub(r"\d+", "", fold(j.name)) for j in (one, other))
    return SequenceMatcher(None, first, second).ratio() >= ALIKE
