"""Points at which the work must stop until somebody has looked: inspections and tests.

Nothing is covered before its rough inspection (plumbing, electrical, mechanical, framing), and a
final inspection comes before use; local codes say what applies where.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from costlearn.features.likeness import items_of
from costlearn.questions.answer import Table
from costlearn.records import Job
from costlearn.vocabulary import standard

ROUGH = ("framing", "plumb_rough", "elec_rough", "vent")
COVERING = ("board", "waterproof", "tile")
NOTE = (
    "Waits for inspections are counted only as recorded in your jobs. Which inspections apply, the "
    "local building department says."
)


@dataclass(frozen=True)
class Hold:
    """A hold point: what must have passed, before which phase, and the likely day it is due.

    ``before`` is a phase key, "" for the end of the job; ``day`` None where no dates by phase are
    known.
    """

    what: str
    before: str
    day: date | None


def holds_of(
    job: Job, phases: Sequence[str], begins: Mapping[str, date], finish: date | None
) -> tuple[Hold, ...]:
    """The hold points of a job, in their order.

    Args:
        job: the job; its scope speaks where no phases are known.
        phases: the phases it likely has still before it.
        begins: likely first day of each.
        finish: likely last day of the job.
    """
    ahead = set(phases) or set(_by_scope(job))
    every = _in_order(ahead | {p.phase for p in job.phases})
    rough = any(p in ROUGH for p in every)
    found = []
    covers = next((p for p in every if p in COVERING), None)
    if rough and covers is not None and covers in ahead:
        what = "Rough inspections passed before walls and floors are closed"
        found.append(Hold(what, covers, begins.get(covers)))
    if "waterproof" in every and "tile" in ahead:
        found.append(
            Hold("Membrane cured and flood test passed before tile", "tile", begins.get("tile"))
        )
    if rough:
        found.append(Hold("Final inspection passed before use", "", finish))
    return tuple(found)


def _by_scope(job: Job) -> tuple[str, ...]:
    """The phases a scope speaks of."""
    items = items_of(job)
    return _in_order({p for i in standard().items if i.key in items for p in i.phases})


def _in_order(phases: set[str]) -> tuple[str, ...]:
    """Phases in the order of the trade; a firm's own take part in no hold point."""
    return tuple(p.key for p in standard().phases if p.key in phases)


def holds_table(holds: Sequence[Hold], names: Mapping[str, str]) -> Table | None:
    """Hold points as they are to be read; None if there are none."""
    if not holds:
        return None
    rows = tuple(
        (
            h.what,
            names.get(h.before, h.before) if h.before else "the end",
            f"{h.day:%a} {h.day.day} {h.day:%b %Y}" if h.day else "no dates by phase",
        )
        for h in holds
    )
    return Table(
        "Hold points: nothing goes on before these",
        ("what", "before", "likely due by"),
        rows,
        NOTE,
    )
