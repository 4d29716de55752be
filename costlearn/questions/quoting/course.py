"""When each phase of a quote is worked, and how much of it is bought before it starts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from costlearn.questions.byphase import REST, PhaseDraws, phase_models
from costlearn.questions.learning import Prediction
from costlearn.questions.wording import PLAIN_TARGET
from costlearn.records import Amounts, History, Job
from costlearn.units import say_days, say_percent

FEW_RECORDS = 3
"""A phase with fewer records that tell material apart takes the share of all phases together."""
WEEK = 7.0


@dataclass(frozen=True)
class Days:
    """Start and end of each phase, in the order drawn, one after another.

    ``known`` is False where no phase says its days: then phases are counted, each for one.
    ``week`` is the number of working days in seven.
    """

    starts: tuple[float, ...]
    ends: tuple[float, ...]
    known: bool
    said: str
    week: float = 5.0

    def working(self, days: float) -> float:
        """Calendar days as working days; 0 where days are not known."""
        return days * self.week / WEEK if self.known else 0.0


@dataclass(frozen=True)
class Bought:
    """Share of each phase that is bought before it starts, in the order drawn, and in words."""

    shares: tuple[float, ...]
    said: str


def days_of(history: History, job: Job, found: dict[str, Prediction], drawn: PhaseDraws) -> Days:
    """The phases of a quote one after another, over the middle length of such a job.

    Each phase takes its part of the job's days as its middle days on site, or of work, say. What no
    phase shows takes no days and stands at the start.
    """
    names = [f.phase for f in drawn.fitted]
    length = next((found[t] for t in ("elapsed_days", "site_days") if t in found), None)
    target, parts = _parts(history, job)
    if length is None or not any(parts.get(name) for name in names):
        sizes = [0.0 if name == REST else 1.0 for name in names]
        said = "no phase says its days, so phases are counted, not days"
        return Days(*_laid_out(names, sizes), False, said)
    sizes = [parts.get(name, 0.0) for name in names]
    scale = length.spread.median / sum(sizes)
    said = (
        f"phases follow one another over the middle length of such a job "
        f"({say_days(length.spread.median)}), each with its part of the {PLAIN_TARGET[target]}"
    )
    week = float(len(history.firm.working_days))
    return Days(*_laid_out(names, [s * scale for s in sizes]), True, said, week)


def _parts(history: History, job: Job) -> tuple[str, dict[str, float]]:
    """What each phase takes in the middle, on site or in work, whichever is on file."""
    for target in ("site_days", "person_days"):
        models = phase_models(history, job, target)
        if models is not None:
            return target, {c.name: c.chance * c.spread.median for c in models.chances}
    return "site_days", {}


def _laid_out(
    names: Sequence[str], sizes: Sequence[float]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Starts and ends of phases one after another; what no phase shows stands at 0."""
    starts, ends, now = [], [], 0.0
    for name, size in zip(names, sizes, strict=True):
        starts.append(0.0 if name == REST else now)
        now += size
        ends.append(0.0 if name == REST else now)
    return tuple(starts), tuple(ends)


def materials_before(jobs: Sequence[Job], names: Sequence[str]) -> Bought:
    """How much of each phase is material, from the phases on file that tell it apart.

    Where none does, nothing is taken as bought before a phase starts. What no phase shows counts as
    bought whole.
    """
    known: dict[str, list[tuple[float, float]]] = {}
    for one in jobs:
        for record in one.phases:
            pair = _material(record.actual)
            if pair is not None:
                known.setdefault(record.phase, []).append(pair)
    every = [pair for pairs in known.values() for pair in pairs]
    if len(every) < FEW_RECORDS:
        said = (
            "Payments: your phase records do not tell material apart, so nothing is taken as "
            "bought before its phase starts"
        )
        return Bought(tuple(1.0 if n == REST else 0.0 for n in names), said)
    whole = _share(every)
    shares = [
        1.0 if n == REST else _share(known[n]) if len(known.get(n, ())) >= FEW_RECORDS else whole
        for n in names
    ]
    said = (
        f"Payments: the material of a phase ({say_percent(whole)} of the cost of all) is bought by "
        "the time it starts, before the payment that falls due just then comes in"
    )
    return Bought(tuple(shares), said)


def _material(amounts: Amounts) -> tuple[float, float] | None:
    """Material and whole cost of a phase in cents; None where material cannot be told apart."""
    whole = amounts.total
    if not whole or whole <= 0:
        return None
    if amounts.material is not None:
        return float(min(max(amounts.material, 0), whole)), float(whole)
    return (0.0, float(whole)) if amounts.parts == whole else None


def _share(pairs: Sequence[tuple[float, float]]) -> float:
    return sum(m for m, _ in pairs) / sum(w for _, w in pairs)
