"""What each item of a scope adds to the cost of the job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costlearn.features.likeness import FEW
from costlearn.features.measures import Column
from costlearn.models.regression import Effect
from costlearn.questions.answer import Table
from costlearn.questions.learning import Prediction
from costlearn.questions.wording import say_list
from costlearn.records import Job
from costlearn.units import say_money
from costlearn.vocabulary import standard


@dataclass(frozen=True)
class ItemWorth:
    """What one item of the scope adds to the job's cost: middle and 80 % interval, in money."""

    item: str
    name: str
    adds: float
    low: float
    high: float
    jobs: int


def items_worth(prediction: Prediction, job: Job) -> tuple[ItemWorth, ...]:
    """What leaving items out would take off the middle of the estimate, most first.

    Items that every job on file had or lacked together cannot be told apart, so they stand as one.
    """
    if prediction.model is None:
        return ()
    found = []
    for group in item_groups(prediction, job):
        effect = prediction.worth(group.columns)
        low, middle, high = taken_off(effect, prediction.spread.median)
        found.append(ItemWorth(group.items[0], group.name, middle, low, high, group.jobs))
    return tuple(sorted(found, key=lambda i: -i.adds))


@dataclass(frozen=True)
class ItemGroup:
    """Items that cannot be told apart: their keys and columns, and how many jobs had them.

    ``items`` and ``columns`` are in the same order.
    """

    items: tuple[str, ...]
    columns: tuple[str, ...]
    name: str
    jobs: int


def item_groups(prediction: Prediction, job: Job) -> tuple[ItemGroup, ...]:
    """The items of a job, those that always came together as one group."""
    words = standard()
    row, frame = prediction.measures.row, prediction.measures.frame
    together: dict[tuple[float, ...], list[Column]] = {}
    for column in prediction.measures.columns:
        if column.item and row is not None and row[column.name] > 0:
            had = any(j.scope.get(column.item) for j in prediction.jobs)
            name = () if had else (float(len(together)),)
            marks = (*name, float(row[column.name]), *frame[column.name].fillna(-1.0))
            together.setdefault(marks, []).append(column)
    found = []
    for columns in together.values():
        jobs = sum(bool(j.scope.get(columns[0].item)) for j in prediction.jobs)
        names = [words.item(c.item).name if job.scope.get(c.item) else c.label for c in columns]
        items, keys = tuple(c.item for c in columns), tuple(c.name for c in columns)
        found.append(ItemGroup(items, keys, say_list(names), jobs))
    return tuple(found)


def items_table(items: Sequence[ItemWorth], currency: str) -> Table | None:
    """What items add, as it is to be read; None if there are none."""
    if not items:
        return None
    rows = tuple(
        (
            i.name,
            f"{say_money(i.low, currency)} to {say_money(i.high, currency)}",
            say_money(i.adds, currency),
            _seen(i.jobs),
        )
        for i in items
    )
    return Table(
        "What each item adds to direct cost",
        ("item", "8 in 10", "middle", "jobs that had it"),
        rows,
        "Items that always came together stand in one row. With few jobs behind an item this is "
        "mostly a first guess of a few percent.",
    )


def _seen(jobs: int) -> str:
    if not jobs:
        return "0: a first guess, no record"
    return f"{jobs}, too few to say" if jobs < FEW else str(jobs)


def taken_off(effect: Effect, median: float) -> tuple[float, float, float]:
    """What leaving out an effect takes off a middle that holds it: low, middle, high (80 %)."""
    reach = effect.reach(0.8)
    sizes = np.array([effect.mean - reach, effect.mean, effect.mean + reach])
    low, middle, high = median * (1 - np.exp(-sizes))
    return float(low), float(middle), float(high)


def put_on(effect: Effect, median: float) -> tuple[float, float, float]:
    """What an effect adds to a middle that does not hold it yet: low, middle, high (80 %)."""
    reach = effect.reach(0.8)
    sizes = np.array([effect.mean - reach, effect.mean, effect.mean + reach])
    low, middle, high = median * (np.exp(sizes) - 1)
    return float(low), float(middle), float(high)
