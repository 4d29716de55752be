"""Scope that jobs like this one nearly always had, and this quote has not.

How likely an item is in a job of this scope is an average over rules, each weighted by how well it
foretells the item over the finished jobs: "whatever else there is", and for each other item "with
it, or without it". A rule has one share, or two, each Beta(1/2, 1/2) beforehand. Of many rules the
luckiest would be picked by its share alone; by weight, a rule that splits the jobs has to earn it.

Source: Bayesian model averaging, Statistical Science 14(4), 1999; Jeffreys' prior of a share.
Measured in ``tests/bench/omissions.py``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, lgamma, log

from costlearn.features.likeness import items_of
from costlearn.records import Job

MIN_SUPPORT = 4
NEARLY_ALWAYS = 0.85
"""An item is asked for if so large a share of jobs of this scope should have it."""
PRIOR = 0.5

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

    ``because`` is the item of the quote that it goes with (that the quote has not, if
    ``lacking``), empty if jobs of the kind have it whatever else they have; ``had`` of ``of`` such
    jobs had it; ``share`` is the share of jobs of this scope that should have it, by all rules
    together. Trade knowledge has ``of`` 0 and names what would do in ``instead``.
    """

    item: str
    because: str
    had: int
    of: int
    share: float
    instead: tuple[str, ...] = ()
    lacking: bool = False


def learned(jobs: Sequence[Job], new: Job) -> tuple[Missing, ...]:
    """Items that jobs sharing an item with the quote nearly always had, most certain first."""
    scopes = [items_of(j) for j in jobs if j.scope and (not new.kind or j.kind == new.kind)]
    mine = items_of(new)
    if len(scopes) < MIN_SUPPORT or not mine:
        return ()
    every = sorted(set().union(*scopes))
    found = []
    for item in every:
        if item in mine or new.scope.get(item) == 0.0:
            continue
        missing = _expected(scopes, mine, item, every)
        if missing.share >= NEARLY_ALWAYS:
            found.append(missing)
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


@dataclass(frozen=True, slots=True)
class _Rule:
    """A rule: how well it foretells the item (log evidence), and what it says of this scope."""

    because: str
    lacking: bool
    had: int
    of: int
    evidence: float

    @property
    def share(self) -> float:
        return (self.had + PRIOR) / (self.of + 2 * PRIOR)


def _expected(
    scopes: Sequence[set[str]], mine: set[str], item: str, every: Sequence[str]
) -> Missing:
    """How likely an item is in a job of this scope, and the rule that says it best."""
    rules = list(_rules(scopes, mine, item, every))
    best = max(r.evidence for r in rules)
    weights = [exp(r.evidence - best) for r in rules]
    share = sum(w * r.share for w, r in zip(weights, rules, strict=True)) / sum(weights)
    clear = [r for r in rules if r.share >= NEARLY_ALWAYS] or rules
    told = max(clear, key=lambda r: (r.evidence, r.share, r.because))
    return Missing(item, told.because, told.had, told.of, share, lacking=told.lacking)


def _rules(
    scopes: Sequence[set[str]], mine: set[str], item: str, every: Sequence[str]
) -> Iterator[_Rule]:
    """Every rule about an item, the plain one as likely beforehand as all others together."""
    had = [item in s for s in scopes]
    count = sum(had)
    yield _Rule("", False, count, len(scopes), _evidence(count, len(scopes)))
    for other in every:
        there = [other in s for s in scopes]
        with_it = sum(there)
        if other == item or with_it in (0, len(scopes)):
            continue
        both = sum(h and t for h, t in zip(had, there, strict=True))
        sides = ((both, with_it), (count - both, len(scopes) - with_it))
        evidence = sum(_evidence(*side) for side in sides) - log(len(every))
        yield _Rule(other, other not in mine, *sides[other not in mine], evidence)


def _evidence(had: int, of: int) -> float:
    """Log chance of seeing an item in so many of so many jobs, its share not known beforehand."""
    return _log_beta(had + PRIOR, of - had + PRIOR) - _log_beta(PRIOR, PRIOR)


def _log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)
