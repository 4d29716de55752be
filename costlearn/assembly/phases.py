"""The phases of a job: rows of one phase summed, gaps filled from hours and cost lines."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from costlearn.assembly.logs import (
    HoursSum,
    Logs,
    say_day_rate,
    say_lines,
    say_rows,
    working_days,
)
from costlearn.assembly.trail import (
    AMOUNT_FIELDS,
    MOST_PLACES,
    WORDS,
    Figure,
    Figures,
    Trail,
    apart,
    gather,
    say_places,
    settle,
    to_amounts,
)
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import COST_KINDS, NOTHING, PhaseEntry, PhaseRecord
from costlearn.units import say_count, to_cents

TIME_SHARE = 0.15
"""How far two records of days may lie apart before they disagree; common practice, no source."""

_BOUGHT = ("sub", "permit", "disposal", "rental")
_OWN_WORK = ("labour", "person_days", "site_days")


@dataclass(slots=True)
class PhaseFigures:
    """The figures of one phase: planned, actual by its own rows, and actual with gaps filled."""

    phase: str
    plan: Figures = field(default_factory=dict)
    own: Figures = field(default_factory=dict)
    actual: Figures = field(default_factory=dict)
    percent_complete: Figure | None = None
    books_closed: bool | None = None

    @property
    def about(self) -> str:
        """How sentences and origins about this phase begin."""
        return f"phase {self.phase}: "

    def record(self, trail: Trail) -> PhaseRecord:
        """The phase as it enters the job, its origins kept in the trail."""
        trail.keep(f"{self.about}plan.", self.plan)
        trail.keep(f"{self.about}actual.", self.actual)
        percent = None
        if self.percent_complete is not None:
            percent = float(self.percent_complete.value)
            trail.keep(self.about, {"percent_complete": self.percent_complete})
        return PhaseRecord(
            self.phase, to_amounts(self.plan), to_amounts(self.actual), percent, self.books_closed
        )


def settle_phases(
    entries: Sequence[PhaseEntry],
    logs: Logs,
    firm: Firm,
    trail: Trail,
    order: Mapping[str, int],
) -> list[PhaseFigures]:
    """The phases of one job, in the order of the trade; the firm's own phases come last."""
    rows: dict[str, list[PhaseEntry]] = {}
    for entry in entries:
        rows.setdefault(entry.phase, []).append(entry)
    planned = {k for e in entries for k in COST_KINDS if getattr(e.plan, k) is not None}
    spent = {k for e in entries for k in COST_KINDS if getattr(e.actual, k) is not None}
    names = dict.fromkeys((*rows, *logs.hours_by_phase, *logs.costs_by_phase))
    phases: list[PhaseFigures] = []
    left_open = 0
    for name in sorted(names, key=lambda n: order.get(n, len(order))):
        phase = _from_rows(name, rows.get(name, []), firm, trail)
        add_cost(phase.plan, planned, firm)
        add_crew(phase.plan)
        add_cost(phase.own, spent, firm)
        phase.actual = dict(phase.own)
        left_open += _fill_from_logs(phase, logs, firm, trail)
        add_crew(phase.own)
        add_crew(phase.actual)
        phases.append(phase)
    if left_open:
        lines, rows_of = logs.costs_untagged, logs.hours_untagged
        counts = [say_lines(lines)] * bool(lines) + [f"{say_rows(rows_of)} of hours"] * bool(
            rows_of
        )
        verb = "names" if (lines, rows_of) in ((1, 0), (0, 1)) else "name"
        trail.disagree(
            f"direct cost of {say_count(left_open, 'phase')} is left open: "
            f"{' and '.join(counts)} of the job {verb} no phase."
        )
    return phases


def add_cost(found: Figures, kinds: Collection[str], firm: Firm) -> None:
    """Sum the known kinds into a direct cost, if none is stated and they can be all of it.

    They can be all of it if the record splits cost into several kinds and the firm's own work in
    it has a price: a labour cost, or person-days and a day rate. Without own work the bought work
    is the cost. An incomplete cost is no cost.

    Args:
        found: the figures of a phase or job; ``cost`` (and ``labour``) are added to it.
        kinds: the kinds of cost this record keeps at all.
        firm: gives the day rate.
    """
    parts = {k: found[k] for k in COST_KINDS if k in found}
    if "cost" in found or not parts or len(kinds) < 2:
        return
    if "labour" not in parts:
        labour = price_days(found.get("person_days"), firm)
        if labour is not None:
            found["labour"] = parts["labour"] = labour
        elif _shows_own_work(found):
            return
    found["cost"] = Figure(
        sum(f.value for f in parts.values()),
        "sum of " + ", ".join(k for k in COST_KINDS if k in parts),
        gather(parts.values()),
    )


def price_days(person_days: Figure | None, firm: Firm) -> Figure | None:
    """Person-days priced at the firm's day rate, in cents; None if either is not known."""
    if person_days is None or person_days.value <= 0 or firm.day_rate is None:
        return None
    how = f"{say_count(person_days.value, 'person-day')} at {say_day_rate(firm)}"
    return Figure(to_cents(person_days.value * firm.day_rate), how, person_days.places)


def add_crew(found: Figures) -> None:
    """Crew size is person-days over site days; of the three, two known ones give the third.

    A stated crew size stays: it says who was there, which short days blur in the ratio.
    """
    people, days, crew = (found.get(k) for k in ("person_days", "site_days", "crew"))
    if people is None or people.value <= 0:
        return
    if crew is None and days is not None and days.value > 0:
        how = "person-days / site days"
        found["crew"] = Figure(people.value / days.value, how, gather((people, days)))
    elif days is None and crew is not None and crew.value > 0:
        how = "person-days / crew size"
        found["site_days"] = Figure(people.value / crew.value, how, gather((people, crew)))


def phase_sum(
    phases: Iterable[tuple[str, Figures]], name: str
) -> tuple[Figure | None, tuple[str, ...]]:
    """The sum of one figure over the phases, and the phases that should have it but do not.

    Phases with no figures at all are not concerned. Work that was bought takes none of the firm's
    own days. A kind of cost that is absent where the kinds make up the whole cost is none.

    Args:
        phases: phase keys with their figures, planned or actual.
        name: the figure to add up.
    """
    known: list[Figure] = []
    missing: list[str] = []
    for phase, found in phases:
        if name in found:
            known.append(found[name])
        elif found and not _needs_none(found, name):
            missing.append(phase)
    if not known:
        return None, tuple(missing)
    count = say_count(len(known), "phase")
    total = sum(f.value for f in known)
    return Figure(total, f"sum of {count}", gather(known)), tuple(missing)


def _shows_own_work(found: Figures) -> bool:
    """True if the firm's own people worked: days are noted, or material with nobody to fit it."""
    worked = any(name in found and found[name].value > 0 for name in _OWN_WORK)
    return worked or ("material" in found and "sub" not in found)


def _needs_none(found: Figures, name: str) -> bool:
    """True if a phase without a figure is complete without it."""
    if name in COST_KINDS:
        parts = [found[k].value for k in COST_KINDS if k in found]
        return "cost" in found and bool(parts) and sum(parts) == found["cost"].value
    if name in ("person_days", "site_days"):
        return any(k in found for k in _BOUGHT) and not any(k in found for k in _OWN_WORK)
    return False


def _from_rows(name: str, rows: Sequence[PhaseEntry], firm: Firm, trail: Trail) -> PhaseFigures:
    """One phase by its own rows: rows of one sheet are summed, sheets are compared."""
    phase = PhaseFigures(name)
    if not rows:
        return phase
    sheets: dict[tuple[str, str], list[PhaseEntry]] = {}
    for row in rows:
        sheets.setdefault((row.place.file, row.place.sheet), []).append(row)
    for side in ("plan", "actual"):
        about = f"{phase.about}{side} "
        sums = [_sum_rows(listed, side, trail, about) for listed in sheets.values()]
        merged = _first_known(sums, trail, about)
        if side == "plan":
            phase.plan = merged
        else:
            phase.own = merged
    if "elapsed_days" not in phase.own:
        starts = [r.started for r in rows if r.started is not None]
        ends = [r.finished for r in rows if r.finished is not None]
        if starts and ends and min(starts) <= max(ends):
            phase.own["elapsed_days"] = Figure(
                float(working_days((min(starts), max(ends)), firm.workdays)),
                "working days from start to finish",
                tuple(r.place for r in rows if r.started or r.finished)[:MOST_PLACES],
            )
    done = [(r.percent_complete, r.place) for r in rows]
    phase.percent_complete = settle("percent_complete", done, trail, phase.about)
    closed = [r.books_closed for r in rows if r.books_closed is not None]
    phase.books_closed = all(closed) if closed else None
    return phase


def _sum_rows(rows: Sequence[PhaseEntry], side: str, trail: Trail, about: str) -> Figures:
    """The figures of a phase by the rows of one sheet."""
    found: Figures = {}
    if all(getattr(row, side) is NOTHING for row in rows):
        return found
    for name in AMOUNT_FIELDS:
        values: list[tuple[Any, Place]] = [(getattr(getattr(r, side), name), r.place) for r in rows]
        known = [(value, place) for value, place in values if value is not None]
        if not known:
            continue
        if name == "crew" or len(rows) == 1:
            figure = settle(name, values, trail, about)
            if figure is not None:
                found[name] = figure
            continue
        places = [place for _, place in known]
        total = sum(value for value, _ in known)
        how = f"sum of {len(known)} rows" if len(known) > 1 else "as stated"
        found[name] = Figure(total, how, tuple(places[:MOST_PLACES]))
        gaps = [place for value, place in values if value is None]
        if gaps:
            trail.disagree(
                f"{about}{WORDS.get(name, name)}: {len(gaps)} of {len(rows)} rows give none "
                f"({say_places(gaps)}); the others are summed."
            )
    return found


def _first_known(sums: Sequence[Figures], trail: Trail, about: str) -> Figures:
    """Field by field the first sheet's figure; a later sheet that differs is a disagreement."""
    if len(sums) == 1:
        return sums[0]
    merged: Figures = {}
    for found in sums:
        for name, figure in found.items():
            first = merged.setdefault(name, figure)
            if first is not figure:
                pair = [(first.value, first.places[0]), (figure.value, figure.places[0])]
                settle(name, pair, trail, about)
    return {name: merged[name] for name in AMOUNT_FIELDS if name in merged}


def _fill_from_logs(phase: PhaseFigures, logs: Logs, firm: Firm, trail: Trail) -> bool:
    """Fill what a phase's own rows do not say; True if its cost stays open for want of tags."""
    hours = logs.hours_by_phase.get(phase.phase)
    costs = logs.costs_by_phase.get(phase.phase)
    if hours is None and costs is None:
        return False
    found = phase.actual
    if hours is not None:
        _fill_days(phase, hours, firm, trail)
        labour = hours.labour(firm)
        if labour is not None:
            found.setdefault("labour", labour)
    if costs is not None:
        for kind, figure in costs.figures(firm).items():
            found.setdefault(kind, figure)
    if "cost" in found:
        return False
    if logs.costs_untagged or logs.hours_untagged:
        return True
    if costs is not None:
        add_cost(found, COST_KINDS, firm)
    return False


def _fill_days(phase: PhaseFigures, hours: HoursSum, firm: Firm, trail: Trail) -> None:
    """Fill a phase's days from the hours log, unless the log contradicts its own rows."""
    logged = hours.figures(firm, part=True)
    stated, counted = phase.own.get("person_days"), logged.get("person_days")
    if (
        stated is not None
        and counted is not None
        and apart(stated.value, counted.value, TIME_SHARE)
    ):
        trail.disagree(
            f"{phase.about}person-days: {stated.value:.6g} by its own rows, {counted.value:.6g} by "
            "the hours log; its own rows count, and no days are filled from the log."
        )
        return
    for name, figure in logged.items():
        phase.actual.setdefault(name, figure)
