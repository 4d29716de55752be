"""The cautions an answer shows where its scope triggers them: short, and deferring to others.

costlearn is a second opinion on money and days; it is never engineering, legal or tax advice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from costlearn.features.likeness import items_of
from costlearn.records import Job
from costlearn.vocabulary import Vocabulary, standard

LEAD_YEAR = 1978
"""Year of build before which lead paint rules may apply in the US (73 FR 21692, 2008)."""
ASBESTOS_YEAR = 1990
"""Common practice, no source."""

LEAD = (
    "Built before 1978 or year not said: lead-safe rules may apply to this work. Testing and "
    "containment are not in this estimate unless your past jobs held them. "
    "Ask the environmental authority or a certified renovator."
)
ASBESTOS = (
    "Old sheet floors, mastic, plaster and pipe wrap may hold asbestos: have suspect material "
    "sampled by an accredited surveyor before demolition. This estimate assumes none."
)
LIVE = (
    "Hours shown do not mean it is safe to start: isolate and verify power, gas and water first; "
    "licensed trades do theirs."
)
LICENSED = (
    "Licence and permit rules differ by place: ask the local building department. Inspection "
    "waits are included only as recorded."
)
WET = (
    "Skipping cure or test time is the costliest saving: the calendar keeps these waits. Follow "
    "the membrane maker's sheet and the local inspector."
)
SILICA = (
    "Cutting tile or concrete makes silica dust, and limits apply: follow the occupational safety "
    "rules of your place."
)
STRUCTURE = (
    "Structural change is outside what past jobs can tell: ask an engineer or the building "
    "official."
)
OPEN_FLOOR = "Crew days assume the area can be made safe to walk on: a competent person decides."
HIRING = (
    "This compares days and dollars only. Wage law, overtime, employee-or-contractor status, "
    "payroll remittances, workers' compensation and liability cover change the answer: ask an "
    "accountant, the labour authority and your insurer."
)
NEW_WORKER = "Training time is a cost in the first months; none is assumed unless entered."
TWO_NEEDED = (
    "Some work needs two people whatever these figures say: heavy or awkward lifts (tubs, tops, "
    "glass, board overhead), ladders, live services. Plan them with two."
)
DEPOSIT = (
    "Deposit caps and holdback rules differ by state or province: check with the licensing board "
    "or a lawyer before you send a payment plan."
)
TAX = "Costs are as entered, without recoverable tax; what is recoverable, an accountant knows."
UNKNOWN = "What hides behind walls is unknown until opened: a range is not a promise."


def for_scope(job: Job, vocabulary: Vocabulary | None = None) -> tuple[str, ...]:
    """The cautions that a job's scope and house call for, each once."""
    words = vocabulary or standard()
    items = items_of(job)
    roles = {words.item(k).role for k in items if any(i.key == k for i in words.items)}
    opens = bool(items & {"gut_demo", "part_demo", "wall_removal", "tub_removal"})
    old = job.house_year is None or job.house_year < LEAD_YEAR
    maybe_asbestos = job.house_year is None or job.house_year < ASBESTOS_YEAR
    shown = (
        (LEAD, old),
        (ASBESTOS, opens and maybe_asbestos),
        (LIVE, opens or bool(roles & {"plumbing", "electrical"})),
        (LICENSED, bool(roles & {"plumbing", "electrical", "wet"})),
        (WET, "wet" in roles),
        (SILICA, "tile" in roles),
        (STRUCTURE, "structure" in roles),
        (OPEN_FLOOR, "open_floor" in roles),
        (UNKNOWN, opens),
    )
    return tuple(text for text, wanted in shown if wanted)


def together(*groups: Sequence[str]) -> tuple[str, ...]:
    """Several lists of cautions as one, each once, in order."""
    return tuple(dict.fromkeys(text for group in groups for text in group))


@dataclass(frozen=True)
class Rule:
    """When a caution is shown: for any of some items (numbers in the vocabulary), or for every job.

    ``items`` is None for every job; with ``before``, only where the house was built before that
    year, or nobody says when.
    """

    text: str
    items: tuple[int, ...] | None
    before: int | None


def rules() -> tuple[Rule, ...]:
    """The cautions of :func:`for_scope` as data, found by asking it about each item alone."""
    words = standard()
    everything = Job("all", "all", state="quoted", scope={i.key: 1.0 for i in words.items})
    empty = for_scope(Job("none", "none", state="quoted"))
    alone = [for_scope(Job("one", "one", state="quoted", scope={i.key: 1.0})) for i in words.items]
    found = []
    for text in for_scope(everything):
        years = [
            year
            for year in (LEAD_YEAR, ASBESTOS_YEAR)
            if text not in for_scope(replace(everything, house_year=year))
        ]
        items = None if text in empty else tuple(i for i, a in enumerate(alone) if text in a)
        found.append(Rule(text, items, min(years, default=None)))
    return tuple(found)
