"""The fitted models of one target in numbers, for a sheet that must foretell just the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from costlearn.features import measures as ms
from costlearn.features.beliefs import all_believed
from costlearn.models.carried import CarriedFit, CarriedTable, carried_fit, carried_table
from costlearn.models.distribution import Floats
from costlearn.models.mixture import Member, belief_model, from_belief, mix, subset
from costlearn.models.regression import PriorRegression, Term
from costlearn.questions import learning
from costlearn.questions.doubts import doubts_of, recent_gap, untaught
from costlearn.records import History, Job
from costlearn.vocabulary import standard

STEP = "since "
HOW = {
    "log area": "area",
    "wall tile": "wall",
    "moved": "moved",
    "lights": "lights",
    "grade": "grade",
    "old house": "old",
    "condo": "condo",
    "kitchen": "kitchen",
    "laundry": "laundry",
    "years": "years",
}
"""Column names to how the sheet measures them; besides these: items, crew, and "since" a day."""


@dataclass(frozen=True)
class CarriedColumn:
    """How a column is measured; ``of`` is an item's number or the day a price step starts.

    ``seen`` is False where the finished jobs all say the same or nothing: such a column counts only
    in a scope that differs from them.
    """

    how: str
    of: int
    seen: bool


@dataclass(frozen=True)
class CarriedMember:
    """One regression: which of the target's jobs it rests on, a prior a column, what it learned.

    A prior is its mean, its spread, whether it is shrunk, and whether it is the drift of prices.
    """

    rows: tuple[int, ...]
    terms: tuple[tuple[float, float, bool, bool], ...]
    fit: CarriedFit


@dataclass(frozen=True)
class CarriedDoubts:
    """What there is to doubt in the records as a whole (``questions.doubts``)."""

    first: str
    said: tuple[str, ...]


@dataclass(frozen=True)
class CarriedWay:
    """Items alone, and items with what the firm states where it speaks for finished jobs.

    ``weights`` go with the members of the mixture by name: items (from 3 jobs upward), belief. The
    gaps say how far the newest jobs lie off the others (``questions.doubts.recent_gap``); the
    doubts are sentences, the first of them as the estimate's own sentence ends.
    """

    items: CarriedMember
    table: CarriedTable
    gap: float
    doubts: CarriedDoubts
    belief: CarriedMember | None = None
    weights: dict[str, float] | None = None
    mixed: CarriedTable | None = None
    mixed_gap: float = 0.0
    mixed_doubts: CarriedDoubts | None = None


@dataclass(frozen=True)
class CarriedTarget:
    """All of one target. ``jobs`` are numbers of usable jobs; ``middle`` is their mean day.

    ``sized`` is used instead of ``plain`` where only the new scope's floor tells sizes apart;
    ``untaught`` is the spread in log points that jobs too even to be counted leave out.
    """

    target: str
    jobs: tuple[int, ...]
    middle: float
    columns: tuple[CarriedColumn, ...]
    plain: CarriedWay | None
    sized: CarriedWay | None
    untaught: float


@dataclass(frozen=True)
class _Facts:
    """One target of the finished jobs: what each came to, and all columns measured."""

    history: History
    target: str
    jobs: tuple[Job, ...]
    totals: Floats
    frame: pd.DataFrame


def carried_target(
    history: History, target: str, on: date, *, stated: bool
) -> CarriedTarget | None:
    """The fitted models of a target at prices of a day; None where it can never be answered.

    Args:
        history: the firm's jobs.
        target: one of ``features.measures.TARGETS``.
        on: the day whose prices a price index brings costs to.
        stated: the firm states beliefs, which may speak without any job.
    """
    jobs, totals = learning.known_totals(history, target, on)
    if len(jobs) < (0 if stated else learning.MIN_JOBS):
        return None
    drift = 0.0 if target == "cost" and learning.index_of(history) else None
    built = ms.every_column(jobs, target=target, drift=drift)
    columns = [c for c, _ in built]
    values = [[measured(j) for _, measured in built] for j in jobs]
    frame = pd.DataFrame(values, columns=[c.name for c in columns], dtype=float)
    seen = tuple(bool(v) for v in frame.max() > frame.min())
    place = {j.key: i for i, j in enumerate(history.usable)}
    days = sorted(d.toordinal() for j in jobs if (d := j.day))
    plain, sized = _ways(_Facts(history, target, jobs, totals, frame), columns, seen)
    return CarriedTarget(
        target,
        tuple(place[j.key] for j in jobs),
        float(np.mean(days)) if days else 0.0,
        tuple(_column(c, s, target) for c, s in zip(columns, seen, strict=True)),
        plain,
        sized,
        untaught(totals, kind_unseen=False, mixed=False),
    )


def _column(column: ms.Column, seen: bool, target: str) -> CarriedColumn:
    name = column.name
    if name in HOW:
        return CarriedColumn(HOW[name], 0, seen)
    if name == "crew":
        return CarriedColumn("steady" if target in ms.CREW_TARGETS else "crew", 0, seen)
    if name.startswith(STEP):
        return CarriedColumn("since", date.fromisoformat(name.removeprefix(STEP)).toordinal(), seen)
    keys = [i.key for i in standard().items]
    return CarriedColumn("item", keys.index(column.item), seen)


def _ways(
    facts: _Facts, columns: Sequence[ms.Column], seen: Sequence[bool]
) -> tuple[CarriedWay | None, CarriedWay | None]:
    """The way for most scopes, and the one for a floor that alone tells sizes apart."""
    if not facts.jobs:
        return None, None
    silent = facts.frame.isna().all()
    terms = learning.terms_of(columns, facts.frame.mask(silent, 0.0, axis=1))
    # The start of the noise looks at sizes only where the size column enters. Where all floors on
    # file are alike that takes a new one unlike them, and matters only if some job says none.
    alike = [t.role == "size" and not s for t, s in zip(terms, seen, strict=True)]
    plain = [replace(t, role="") if a else t for t, a in zip(terms, alike, strict=True)]
    areas = facts.frame["log area"]
    sized = any(alike) and bool(areas.isna().any() and areas.notna().any())
    return _way(facts, plain), _way(facts, terms) if sized else None


def _way(facts: _Facts, terms: Sequence[Term]) -> CarriedWay:
    """Columns that no job tells apart are fitted too: they keep their prior and move nothing."""
    columns, totals = facts.frame.to_numpy(), facts.totals
    model = PriorRegression(tuple(terms)).fit(columns, totals)
    items = _member(model, columns, totals, range(len(totals)))
    days = [j.day for j in facts.jobs]
    gap = recent_gap(days, model.loo_)
    alone = CarriedWay(items, carried_table(model.multipliers_), gap, _doubts(facts, gap))
    firm = facts.history.firm
    beliefs = np.array(all_believed(facts.jobs, firm, facts.target), dtype=float)
    keep = ~np.isnan(beliefs)
    if not keep.any():
        return alone
    some, kept, said = columns[keep], totals[keep], beliefs[keep]
    spread = learning.spread_of_belief(firm)
    second = belief_model(some, terms, kept, said, spread)
    # Weights and multipliers come from the jobs on file, so any row and any belief will do here.
    members = [from_belief(some, terms, kept, said, second.means_, 1.0, spread)]
    if len(facts.jobs) >= learning.MIN_JOBS:
        members.insert(0, Member("items", 0.0, 1.0, model.df_, subset(model.loo_, keep)))
    mixed = mix(members)
    gap = recent_gap([d for d, k in zip(days, keep, strict=True) if k], mixed.loo)
    return replace(
        alone,
        belief=_member(second, some, kept / said, np.flatnonzero(keep).tolist()),
        weights=mixed.weights,
        mixed=carried_table(mixed.spread.multipliers),
        mixed_gap=gap,
        mixed_doubts=_doubts(facts, gap),
    )


def _doubts(facts: _Facts, gap: float) -> CarriedDoubts:
    found = doubts_of(facts.jobs, facts.totals, gap, facts.target)
    return CarriedDoubts(found.first, found.said)


def _member(
    model: PriorRegression, columns: Floats, totals: Floats, rows: Sequence[int]
) -> CarriedMember:
    terms = model.terms or ()
    return CarriedMember(
        tuple(rows),
        tuple((t.mean, t.sd, t.shrunk, t.role == "drift") for t in terms),
        carried_fit(model, columns, totals, terms),
    )
