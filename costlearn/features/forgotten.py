"""Scope that jobs like this one nearly always had, and this quote has not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from costlearn.features.likeness import items_of
from costlearn.records import Job

MIN_SUPPORT = 4
NEARLY_ALWAYS = 0.8
PRIOR_JOBS = 2.0
"""How many jobs the item's overall frequency counts for when a rule has few jobs behind it."""

MUST_HAVES = (
    (("tiled_shower_floor", "tub_to_shower", "curbless"), ("membrane",)),
    (("tiled_shower_floor",), ("backer", "membrane")),
    (("wall_tile",), ("backer", "membrane")),
    (("heated_floor",), ("new_circuit", "outlet")),
    (("gut_demo",), ("drywall", "backer")),
)
"""If a scope has one of the first, it needs one of the second (common practice, no source)."""


@dataclass(frozen=True)
class Missing:
    """An item a quote may have forgotten.

    ``because`` is the item of the quote that it goes with, empty if jobs of the kind have it
    whatever else they have; ``had`` of ``of`` such jobs had it; ``share`` is that share drawn
    towards the item's overall frequency. Trade knowledge has ``of`` 0 and names what would do in
    ``instead``.
    """

    item: str
    because: str
    had: int
    of: int
    share: float
    instead: tuple[str, ...] = ()


def learned(jobs: Sequence[Job], new: Job) -> tuple[Missing, ...]:
    """Items that jobs sharing an item with the quote nearly always had, most certain first."""
    scopes = [items_of(j) for j in jobs if j.scope and (not new.kind or j.kind == new.kind)]
    mine = items_of(new)
    if len(scopes) < MIN_SUPPORT or not mine:
        return ()
    everything = sorted(set().union(*scopes) - mine)
    found = []
    for item in everything:
        if new.scope.get(item) == 0.0 and item in new.scope:
            continue
        usual = _overall(scopes, item)
        if usual.share >= NEARLY_ALWAYS:
            found.append(usual)
            continue
        best = max((_rule(scopes, because, item) for because in sorted(mine)), key=_certainty)
        if best.of >= MIN_SUPPORT and best.share >= NEARLY_ALWAYS:
            found.append(best)
    return tuple(sorted(found, key=lambda m: (-m.share, m.item)))


def trade(new: Job) -> tuple[Missing, ...]:
    """Items that the trade itself calls for, whatever the history says; a written "no" is final."""
    mine = items_of(new)
    found: dict[str, Missing] = {}
    for causes, needs in MUST_HAVES:
        cause = next((c for c in causes if c in mine), None)
        unsaid = tuple(n for n in needs if new.scope.get(n) is None)
        if cause and unsaid and not mine & set(needs):
            found.setdefault(unsaid[0], Missing(unsaid[0], cause, 0, 0, 1.0, unsaid[1:]))
    return tuple(found.values())


def _overall(scopes: Sequence[set[str]], item: str) -> Missing:
    """How many of all the jobs had the item, drawn towards a half by the prior jobs."""
    had = sum(item in s for s in scopes)
    share = (had + PRIOR_JOBS / 2) / (len(scopes) + PRIOR_JOBS)
    return Missing(item, "", had, len(scopes), share)


def _rule(scopes: Sequence[set[str]], because: str, item: str) -> Missing:
    with_cause = [s for s in scopes if because in s]
    had = sum(item in s for s in with_cause)
    overall = sum(item in s for s in scopes) / len(scopes)
    share = (had + PRIOR_JOBS * overall) / (len(with_cause) + PRIOR_JOBS)
    return Missing(item, because, had, len(with_cause), share)


def _certainty(rule: Missing) -> tuple[float, int, str]:
    return (rule.share if rule.of >= MIN_SUPPORT else 0.0, rule.of, rule.because)
