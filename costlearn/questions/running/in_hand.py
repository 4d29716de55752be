"""When the change orders in hand still pay: agreed price against the cost still to come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costlearn.models.distribution import LogSpread, Multipliers
from costlearn.questions.answer import Table
from costlearn.questions.running.stage import PhaseTable, Standing
from costlearn.records import ChangeEntry, Job
from costlearn.units import say_money, say_percent

NOISE_DF = 4.0


@dataclass(frozen=True)
class ChangeWorth:
    """One approved or verbal change: its price, its estimated cost, the part of it still to come.

    Money in currency units, None where nobody wrote it down. ``most`` is what the rest may cost
    while the change still pays for itself; ``chance`` the odds of that, by how its phase usually
    goes against plan; None where it cannot be told.
    """

    label: str
    state: str
    phase: str
    price: float | None
    cost: float | None
    left: float | None
    most: float | None
    chance: float | None
    verdict: str


def changes_in_hand(
    job: Job, found: Sequence[Standing], table: PhaseTable | None
) -> tuple[ChangeWorth, ...]:
    """Every approved or verbal change of a running job, as it stands today."""
    mine = [c for c in job.changes if c.state in ("approved", "verbal")]
    return tuple(_worth(c, found, table) for c in mine)


def changes_table(changes: Sequence[ChangeWorth], currency: str) -> Table | None:
    """Changes in hand as they are to be read; None if there are none."""
    if not changes:
        return None
    rows = tuple(
        (
            c.label,
            c.state,
            say_money(c.price, currency),
            say_money(c.cost, currency),
            say_money(c.left, currency),
            "not known" if c.chance is None else say_percent(c.chance),
            c.verdict,
        )
        for c in changes
    )
    return Table(
        "Change orders in hand",
        ("change", "state", "price", "own cost", "cost to come", "odds it pays", ""),
        rows,
        "A change pays while its price covers its own cost; verbal ones are in no other figure.",
    )


def _worth(change: ChangeEntry, found: Sequence[Standing], table: PhaseTable | None) -> ChangeWorth:
    price = None if change.price is None else change.price / 100
    cost = None if change.cost is None else change.cost / 100
    one = next((s for s in found if s.phase == change.phase), None)
    done = one.done if one else _all_done(found)
    left = None if cost is None else cost * (1 - done)
    most = None
    if price is not None and cost is not None and left is not None:
        most = price - (cost - left)
    chance = _chance(change.phase, left, most, table)
    return ChangeWorth(
        change.label,
        change.state,
        one.name if one else "no phase named",
        price,
        cost,
        left,
        most,
        chance,
        _verdict(change.state, price, cost, left, most),
    )


def _all_done(found: Sequence[Standing]) -> float:
    """A change of no named phase is over when the job is; until then it is still to come."""
    return float(bool(found) and all(s.done >= 1 for s in found))


def _chance(
    phase: str | None, left: float | None, most: float | None, table: PhaseTable | None
) -> float | None:
    if left is None or most is None:
        return None
    if left <= 0:
        return float(most >= 0)
    if most <= 0:
        return 0.0
    if table is None or phase not in table.phases:
        return None
    k = table.phases.index(phase)
    plain = Multipliers.from_errors((), NOISE_DF + len(table.jobs))
    ratio = LogSpread(float(np.log(table.factors[k])), float(table.spreads[k]), plain)
    return ratio.cdf(most / left)


def _verdict(
    state: str,
    price: float | None,
    cost: float | None,
    left: float | None,
    most: float | None,
) -> str:
    signed = "" if state == "approved" else "; not signed: get it in writing"
    if price is None:
        return "no price agreed: agree one before more is spent on it" + signed
    if cost is None or left is None or most is None:
        return "its own cost is not on file" + signed
    if left <= 0:
        side = "covers its cost" if most >= 0 else "does not cover its cost"
        return f"its work is done; the price {side}" + ("" if state == "approved" else signed)
    if most <= 0:
        return "its price is used up already" + signed
    return f"pays while the rest of it stays under {most / left:.2f} times its estimate" + signed
