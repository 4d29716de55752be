"""Entries about one job, and the job they make, for the tests of this room."""

from __future__ import annotations

from datetime import date

from costlearn.assembly import assemble
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import CostEntry, Entry, HoursEntry, Job, JobEntry, PhaseEntry

RATED = Firm(day_rate=400.0)


def at(row: int, file: str = "a.csv", sheet: str = "") -> Place:
    return Place(file, sheet, row)


def only(entries: list[Entry], firm: Firm | None = None) -> Job:
    (job,) = assemble(entries, firm or Firm()).jobs
    return job


def listed(row: int = 2, file: str = "a.csv", **given: object) -> JobEntry:
    return JobEntry("J-1", at(row, file), **given)  # type: ignore[arg-type]


def worked(day: int, hours: float = 8.0, *, row: int = 0, **given: object) -> HoursEntry:
    """Hours on a day of March 2024; 1 March 2024 was a Friday."""
    return HoursEntry("J-1", "Ann", date(2024, 3, day), hours, at(row or day, "h.csv"), **given)  # type: ignore[arg-type]


def line(kind: str, net: int, *, row: int = 50, **given: object) -> CostEntry:
    return CostEntry("J-1", kind, net, at(row, "r.csv"), **given)  # type: ignore[arg-type]


def phase(name: str, row: int = 5, *, sheet: str = "", **given: object) -> PhaseEntry:
    return PhaseEntry("J-1", name, at(row, "p.xlsx", sheet), **given)  # type: ignore[arg-type]


def how(job: Job, figure: str) -> str:
    (origin,) = (o for o in job.origins if o.figure == figure)
    return origin.how
