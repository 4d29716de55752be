"""What a change of the records does to the figures of jobs: moved, lost, or made absurd."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from costlearn.cli import sources
from costlearn.records import Entry, History, HoursEntry, Job
from costlearn.units import exact_money, say_area, say_count, say_days

if TYPE_CHECKING:
    from costlearn.book.kept import Answered
    from costlearn.book.store import Book
    from costlearn.firm import Firm

TENTH = 0.1
"""The share by which a figure must move to be told."""
LEAST_COST, MOST_COST = 300_00, 1_000_000_00
"""Cents that a bathroom, laundry or kitchen never costs less, or more, than."""
MOST_DAYS = 400
MOST_HOURS = 24
_ROOMS = ("bathroom", "kitchen", "laundry", None)
_WORDS = {"phase", "scope", "job", "cost kind", "kind of job", "state", "state of a change"}
"""Topics whose answers only name things: no figure is read in another way by them."""

FIGURES: dict[str, Callable[[Job], float | None]] = {
    "cost": lambda job: job.actual.total,
    "price": lambda job: job.paid if job.paid is not None else job.agreed_price,
    "days on site": lambda job: job.actual.site_days,
    "work in person-days": lambda job: job.actual.person_days,
    "size": lambda job: job.area_sqft,
}
"""The figures of a job that are compared, by what they are called."""


@dataclass(frozen=True, slots=True)
class Moved:
    """One figure of one job, as it was and as it is; None where it is not recorded."""

    job: str
    figure: str
    was: float | None
    now: float | None


def moved(before: History, after: History) -> tuple[Moved, ...]:
    """The figures of jobs that moved by more than a tenth, or are no longer recorded."""
    found: list[Moved] = []
    for job, now in _pairs(before, after):
        for name, read in FIGURES.items():
            was, new = read(job), read(now) if now else None
            gone = was is not None and new is None
            if now and (gone or (was and new is not None and abs(new - was) > TENTH * abs(was))):
                found.append(Moved(job.name, name, was, new))
    return tuple(found)


def losses(before: History, after: History) -> list[str]:
    """What the answers no longer have, in a few words each: "3 jobs lose their cost"."""
    pairs = list(_pairs(before, after))
    gone = sum(now is None for _, now in pairs)
    lost = Counter(one.figure for one in moved(before, after) if one.now is None)
    phased = sum(bool(job.phases) and now is not None and not now.phases for job, now in pairs)
    said = [f"{say_count(gone, 'job')} {'is' if gone == 1 else 'are'} gone"] if gone else []
    for name, count in [*lost.items(), *([("phases", phased)] if phased else [])]:
        verb, whose = ("loses", "its") if count == 1 else ("lose", "their")
        said.append(f"{say_count(count, 'job')} {verb} {whose} {name}")
    return said


def say_moved(one: Moved, firm: Firm) -> str:
    """A figure that moved, in one line: "'Hall bath': cost from $14,500 to $18,000"."""
    was, now = (_shown(one.figure, figure, firm) for figure in (one.was, one.now))
    return f"'{one.job}': {one.figure} from {was} to {now}"


def consequence(
    kept: Book, given: Sequence[Answered], others: Sequence[Answered] = ()
) -> str | None:
    """What absurd figure answers would make, as a sentence; None if they make none.

    Args:
        kept: the book.
        given: questions with what was said to them.
        others: answers that are kept with these; what they make is not told again.

    Raises:
        BookProblem: the book cannot be read or written.
    """
    if all(one.question.topic in _WORDS or one.insisted or not one.said for one in given):
        return None
    anew, _ = sources.read_anew(kept, [*others, *given])
    earlier, _ = sources.read_anew(kept, others)
    firm, after = kept.firm(), kept.as_if(anew)
    known = set(_absurd(kept.as_if(earlier) if earlier else kept.history()))
    for job, figure in _absurd(after):
        if (job, figure) not in known:
            value = next(FIGURES[figure](j) for j in after.jobs if j.name == job)
            verb = "cost" if figure == "cost" else "take"
            return f"That makes '{job}' {verb} {_shown(figure, value, firm)}."
    long = _long_days(entry for batch in anew.values() for entry in batch.entries)
    before = _long_days(kept.entries()) if long else {}
    new = next((key for key in long if key not in before), None)
    return new and f"That makes '{new[0]}' work {long[new]:g} hours on {new[1]}."


def _pairs(before: History, after: History) -> Iterator[tuple[Job, Job | None]]:
    """Each job there was with what it is now."""
    known = {job.key: job for job in after.jobs}
    return ((job, known.get(job.key)) for job in before.jobs)


def _absurd(history: History) -> Iterator[tuple[str, str]]:
    """Jobs with a figure that no such job has."""
    for job in history.jobs:
        cost, days = job.actual.total, (job.actual.site_days, job.actual.person_days)
        low = cost is not None and cost < LEAST_COST and job.state == "finished"
        if job.kind in _ROOMS and cost is not None and (low or cost > MOST_COST):
            yield job.name, "cost"
        for name, figure in zip(("days on site", "work in person-days"), days, strict=True):
            if figure is not None and figure > MOST_DAYS:
                yield job.name, name


def _long_days(entries: Iterable[Entry]) -> dict[tuple[str, date], float]:
    """People's days of more hours than a day has."""
    worked: dict[tuple[str, date], float] = {}
    for entry in entries:
        if isinstance(entry, HoursEntry) and entry.day and entry.person:
            key = (entry.person, entry.day)
            worked[key] = worked.get(key, 0.0) + entry.hours
    return {key: hours for key, hours in worked.items() if hours > MOST_HOURS}


def _shown(figure: str, value: float | None, firm: Firm) -> str:
    """A figure as it is written down."""
    if value is None:
        return "not recorded"
    if figure in ("cost", "price"):
        return exact_money(value / 100, firm.currency)
    return say_area(value, firm.area_unit) if figure == "size" else say_days(value)
