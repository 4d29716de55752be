"""Histories and scopes the tests of the pocket sheet share; all invented, all seeded."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from typing import Any

import numpy as np
import page_making as making

from costlearn.firm import Firm
from costlearn.records import Amounts, History, Job
from costlearn.units import FT_PER_M, SQFT_PER_SQM
from costlearn.vocabulary import standard

MADE = date(2026, 11, 2)
ITEMS = standard().items
STATED = Firm(
    day_rate=500.0,
    usual={"cost": 260.0, "person_days": 0.4},
    rates={
        "wall tile": {"person_days": 0.06, "bought": 9.0},
        "floor tile": {"person_days": 0.07, "bought": 8.0},
        "toilet": {"person_days": 0.4, "bought": 350.0},
        "vanity": {"person_days": 0.5},
        "drywall": {"person_days": 0.02},
        "paint": {"person_days": 0.01},
    },
    belief_spread=0.3,
)
COUNTS = {
    "many": 250,
    "jumped": 50,
    "indexed": 50,
    "few": 150,
    "stated": 150,
    "two stated": 100,
    "none stated": 50,
    "metric": 50,
    "alike": 50,
    "alike stated": 50,
    "even": 50,
}
"""Scopes asked of each history: 1,000 in all."""


@cache
def history(name: str) -> History:
    """A history by name; phases are left out, since the sheet says nothing of them."""
    whole = making.history()
    jobs = tuple(replace(j, phases=()) for j in whole.usable)
    alike = tuple(
        replace(j, area_sqft=50.0 if i % 3 else None, started=None, finished=None, grade=None)
        for i, j in enumerate(jobs[:6])
    )
    newest = {j.key for j in sorted(jobs, key=lambda j: j.day or date.min)[-3:]}
    jumped = tuple(
        replace(j, actual=replace(j.actual, cost=3 * (j.actual.total or 0)))
        if j.key in newest
        else j
        for j in jobs
    )
    even = tuple(
        replace(j, actual=Amounts(cost=1_700_000 + 1_000 * i)) for i, j in enumerate(jobs[:9])
    )
    index = Firm(price_index={"2021-01-01": 100.0, "2026-06-01": 131.0}, price_index_share=0.6)
    return {
        "many": replace(whole, jobs=jobs),
        "jumped": replace(whole, jobs=jumped),
        "indexed": History(index, jobs),
        "few": replace(whole, jobs=jobs[:5]),
        "stated": History(STATED, jobs),
        "two stated": History(STATED, jobs[:2]),
        "none stated": History(STATED),
        "metric": making.totals_only(),
        "alike": History(Firm(), alike),
        "alike stated": History(STATED, alike),
        "even": History(Firm(), even),
    }[name]


def noted(count: int, seed: int, *, after: bool = False) -> list[dict[str, Any]]:
    """Scopes as the form notes them: empty, one item, all items, tiny and huge floors, any date.

    ``after`` leaves out days before the sheet was made, which one by a price index refuses.
    """
    rng = np.random.default_rng(seed)

    def maybe(value: Any, chance: float = 0.75) -> Any:
        return value if rng.random() < chance else None

    found = []
    for _ in range(count):
        share = rng.choice([0, 0.03, 0.3, 0.5, 1], p=[0.05, 0.2, 0.4, 0.25, 0.1])
        ticked = [i for i in range(len(ITEMS)) if rng.random() < share]
        usual, odd = float(rng.lognormal(4, 0.8)), float(rng.choice([0.5, 90_000]))
        found.append(
            {
                "kind": maybe(str(rng.choice(["bathroom", "kitchen", "laundry", "roof"]))),
                "area": maybe(round(usual, 1) if rng.random() < 0.95 else odd),
                "grade": maybe(int(rng.integers(0, 3))),
                "year": maybe(int(rng.integers(1900, 2024))),
                "condo": maybe(bool(rng.integers(0, 2)), 0.4),
                "crew": maybe(float(rng.choice([0.5, 1, 1.5, 2, 3])), 0.6),
                "date": str(MADE + timedelta(days=int(rng.integers(0 if after else -900, 900)))),
                "price": maybe(round(float(rng.lognormal(9.9, 0.5)), 2)),
                "items": [
                    [i, maybe(round(float(rng.lognormal(2, 1.5)) + 0.01, 2))] for i in ticked
                ],
            }
        )
    return found


def job_of(scope: dict[str, Any], firm: Firm) -> Job:
    """The job that a noted scope means: sizes and floor in square feet and feet."""
    metric = firm.area_unit == "sqm"
    factors = {"sqft": SQFT_PER_SQM, "lnft": FT_PER_M} if metric else {}
    sizes = {
        ITEMS[i].key: 1.0 if size is None else size * factors.get(ITEMS[i].unit, 1.0)
        for i, size in scope["items"]
    }
    area = scope["area"]
    return Job(
        "asked",
        "asked",
        kind=scope["kind"],
        state="quoted",
        quoted_on=date.fromisoformat(scope["date"]),
        area_sqft=area * (SQFT_PER_SQM if metric else 1.0) if area else None,
        grade=None if scope["grade"] is None else float(scope["grade"]),
        house_year=scope["year"],
        condo=scope["condo"],
        plan=Amounts(crew=scope["crew"]),
        scope=sizes,
    )
