"""Sums of the hours log and of the cost lines, for a job and for each of its phases."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from costlearn.assembly.exchange import turn
from costlearn.assembly.trail import MOST_PLACES, Figure, Figures, Trail, say_places
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import COST_KINDS, CostEntry, HoursEntry
from costlearn.units import exact_money, say_count, to_cents
from costlearn.vocabulary import NEVER_DIRECT, UNASSIGNED
from costlearn.workdays import Workdays


@dataclass(slots=True)
class HoursSum:
    """Hours worked and waited, by day, of a job or of one phase of it."""

    rows: int = 0
    undated: int = 0
    worked: dict[date | None, float] = field(default_factory=dict)
    waited: dict[date | None, float] = field(default_factory=dict)
    people: dict[date | None, dict[str, float]] = field(default_factory=dict)
    paid: dict[str, float] = field(default_factory=dict)
    """Hours worked and waited, by person."""
    idle: set[date | None] = field(default_factory=set)
    """Days the job waited with nobody paid for it: rows of waiting with no hours."""
    places: list[Place] = field(default_factory=list)

    def add(self, entry: HoursEntry) -> None:
        """Count an entry in."""
        self.rows += 1
        self.undated += entry.day is None
        days = self.waited if entry.waiting else self.worked
        days[entry.day] = days.get(entry.day, 0.0) + entry.hours
        name = entry.person.casefold()
        self.paid[name] = self.paid.get(name, 0.0) + entry.hours
        if entry.waiting and not entry.hours:
            self.idle.add(entry.day)
        if not entry.waiting:
            who = self.people.setdefault(entry.day, {})
            who[name] = who.get(name, 0.0) + entry.hours
        if len(self.places) < MOST_PLACES:
            self.places.append(entry.place)

    @property
    def hours_worked(self) -> float:
        """Hours worked, waiting left out."""
        return sum(self.worked.values())

    @property
    def hours_paid(self) -> float:
        """Hours worked and waited."""
        return self.hours_worked + sum(self.waited.values())

    @property
    def days_worked(self) -> set[date]:
        """The days with worked hours; corrections that take all hours back empty a day."""
        return {day for day, hours in self.worked.items() if day is not None and hours > 0}

    @property
    def days_logged(self) -> set[date]:
        """The days with hours of either sort."""
        waited = {
            day
            for day, hours in self.waited.items()
            if day is not None and (hours > 0 or day in self.idle)
        }
        return self.days_worked | waited

    def figures(self, firm: Firm, *, part: bool = False) -> Figures:
        """Person-days, site days, crew size, wait days and elapsed days, as the log tells them.

        Days are known only if every row has its date. Wait days are known only if the log marks
        waiting at all: a log that never does says nothing about it. A day on site counts whole for
        a job; for a ``part`` of it (a phase), which may share a day with others, each day counts as
        long as its longest shift, so that an hour of work by two is not a day of work by less.
        """
        found: Figures = {}
        places = tuple(self.places)
        hours = self.hours_worked
        if hours > 0:
            how = f"{say_count(hours, 'hour')} worked in {say_rows(self.rows)} of the hours log"
            days = hours / firm.hours_per_day
            found["person_days"] = Figure(days, f"{how}, {firm.hours_per_day:g} a day", places)
        worked, logged = self.days_worked, self.days_logged
        if self.undated or not logged:
            return found
        if worked:
            found.update(self._on_site(worked, firm, part))
        if self.waited:
            found["wait_days"] = Figure(
                float(len(logged - worked)), "days of waiting only in the hours log", places
            )
        found["elapsed_days"] = Figure(
            float(working_days(logged, firm.workdays)),
            "working days from the first to the last day of the hours log",
            places,
        )
        return found

    def _on_site(self, worked: set[date], firm: Firm, part: bool) -> Figures:
        places = tuple(self.places)
        shifts = [[h for h in self.people[day].values() if h > 0] for day in sorted(worked)]
        longest = sum(max(hours) for hours in shifts)
        if part:
            days = Figure(longest / firm.hours_per_day, "longest shift of each day", places)
            crew = sum(sum(hours) for hours in shifts) / longest
            return {"site_days": days, "crew": Figure(crew, "hours over longest shifts", places)}
        crew = sum(len(hours) for hours in shifts) / len(shifts)
        return {
            "site_days": Figure(
                float(len(shifts)), "days with worked hours in the hours log", places
            ),
            "crew": Figure(crew, "people on site on the average day of the hours log", places),
        }

    def labour(self, firm: Firm) -> Figure | None:
        """All paid hours, waiting too, priced at each one's day rate; in cents.

        None where hours of anybody have no rate: a sum without them would be no labour cost.
        """
        rates = self._rates(firm)
        if self.hours_paid <= 0 or None in rates.values():
            return None
        cost = sum(self.paid[name] * (rate or 0.0) for name, rate in rates.items())
        how = f"{say_count(self.hours_paid, 'hour')} paid at {self.say_rates(firm)}"
        return Figure(to_cents(cost / firm.hours_per_day), how, tuple(self.places))

    def _rates(self, firm: Firm) -> dict[str, float | None]:
        return {name: firm.day_rate_of(name) for name, hours in self.paid.items() if hours}

    def say_rates(self, firm: Firm) -> str:
        """The day rates that price these hours, in words."""
        rates = set(self._rates(firm).values())
        if rates == {firm.day_rate}:
            return say_day_rate(firm)
        listed = sorted(exact_money(rate, firm.currency) for rate in rates if rate is not None)
        return f"each one's day rate ({', '.join(listed)})"


UNSORTED_AS = "material"
"""The kind under which bought cost counts until somebody says its own: the total is the same."""


@dataclass(slots=True)
class CostSum:
    """Cost lines by kind, in cents, of a job or of one phase of it."""

    rows: dict[str, int] = field(default_factory=dict)
    cents: dict[str, int] = field(default_factory=dict)
    places: dict[str, list[Place]] = field(default_factory=dict)
    turned: dict[str, dict[str, int]] = field(default_factory=dict)
    """Kind to the rates of exchange its lines were turned at, and how many lines each."""
    twice: dict[str, int] = field(default_factory=dict)
    """Kind to how many of its lines stand in a second table too."""
    unsorted: int = 0
    """Lines of which nobody has said the kind."""

    def add(self, entry: CostEntry, firm: Firm, rate: str = "", also: Sequence[Place] = ()) -> None:
        """Count a line in, tax on top where the firm cannot recover it.

        Args:
            entry: the line, in the firm's currency.
            firm: says what becomes of tax.
            rate: the rate of exchange the line was turned at, in words.
            also: where the same purchase stands in a second table.
        """
        kind = entry.kind if entry.kind in COST_KINDS else UNSORTED_AS
        self.unsorted += entry.kind not in COST_KINDS
        amount = entry.net if firm.tax_recoverable else entry.net + (entry.tax or 0)
        self.rows[kind] = self.rows.get(kind, 0) + 1
        self.cents[kind] = self.cents.get(kind, 0) + amount
        places = self.places.setdefault(kind, [])
        if len(places) < MOST_PLACES:
            places += (entry.place, *also)
        self.twice[kind] = self.twice.get(kind, 0) + bool(also)
        if rate:
            rates = self.turned.setdefault(kind, {})
            rates[rate] = rates.get(rate, 0) + 1

    def _more(self, kind: str) -> str:
        """How many lines of a kind were turned from other currencies, and how many stand twice."""
        rates = self.turned.get(kind, {})
        twice = self.twice.get(kind, 0)
        told = f", {twice:,} of them in a second table too, counted once" if twice else ""
        if self.unsorted and kind == UNSORTED_AS:
            told += f", {self.unsorted:,} of no kind that anybody said"
        return "".join(f", {count:,} in {rate}" for rate, count in rates.items()) + told

    def figures(self, firm: Firm) -> Figures:
        """The sum of each kind that has lines."""
        tax = "net of tax" if firm.tax_recoverable else "tax included where stated"
        return {
            kind: Figure(
                self.cents[kind],
                f"sum of {say_lines(self.rows[kind])}, {tax}{self._more(kind)}",
                tuple(self.places[kind]),
            )
            for kind in COST_KINDS
            if kind in self.cents
        }


@dataclass(slots=True)
class Logs:
    """The hours log and the cost lines of one job, whole and by phase."""

    hours: HoursSum = field(default_factory=HoursSum)
    hours_by_phase: dict[str, HoursSum] = field(default_factory=dict)
    hours_untagged: int = 0
    costs: CostSum = field(default_factory=CostSum)
    costs_by_phase: dict[str, CostSum] = field(default_factory=dict)
    costs_untagged: int = 0


def read_logs(
    hours: Iterable[HoursEntry],
    costs: Iterable[CostEntry],
    firm: Firm,
    trail: Trail,
    also: Mapping[Place, Sequence[Place]],
) -> Logs:
    """Sum a job's hours and direct cost lines; the trail says what the sums leave out.

    Call-back work is no part of them and must not be given. ``also`` holds where purchases stand in
    a second table, by their places.
    """
    logs = Logs()
    for entry in hours:
        logs.hours.add(entry)
        if entry.phase is None:
            logs.hours_untagged += 1
        else:
            logs.hours_by_phase.setdefault(entry.phase, HoursSum()).add(entry)
    for line, rate in read_lines(costs, firm, trail, "direct cost"):
        second = also.get(line.place, ())
        logs.costs.add(line, firm, rate, second)
        if line.phase is None:
            logs.costs_untagged += 1
        else:
            logs.costs_by_phase.setdefault(line.phase, CostSum()).add(line, firm, rate, second)
    return logs


def read_lines(
    costs: Iterable[CostEntry], firm: Firm, trail: Trail, about: str
) -> Iterator[tuple[CostEntry, str]]:
    """The direct cost lines in the firm's currency, each with the rate it was turned at, or "".

    Lines that cannot be summed are left out, and the trail says so once all are read.
    """
    foreign: dict[str, list[Place]] = {}
    strange: dict[str, list[Place]] = {}
    for line in costs:
        if line.kind in NEVER_DIRECT:
            continue
        turned = turn(line, firm)
        if turned is None:
            foreign.setdefault(line.currency or "", []).append(line.place)
        elif line.kind not in (*COST_KINDS, UNASSIGNED):
            strange.setdefault(line.kind, []).append(line.place)
        else:
            yield turned.line, turned.how
    for currency, places in foreign.items():
        trail.disagree(
            f"{about}: {say_lines(len(places))} in {currency} ({say_places(places)}) left out "
            f"of the sums, for no dated rate turns {currency} into {firm.currency}."
        )
    for kind, places in strange.items():
        trail.disagree(
            f"{about}: {say_lines(len(places))} of the unknown kind '{kind}' "
            f"({say_places(places)}) left out of the sums."
        )


def say_doubled_hours(hours: Sequence[HoursEntry], trail: Trail) -> None:
    """Say where the same hours stand in two files, for they count twice."""
    twins = 0
    where: tuple[Place, Place] | None = None
    seen: dict[tuple[object, ...], Place] = {}
    for h in hours:
        mark = (h.person.casefold(), h.day, h.hours, h.phase, h.waiting)
        first = seen.setdefault(mark, h.place)
        if h.day is not None and first.file != h.place.file:
            twins, where = twins + 1, where or (first, h.place)
    if where:
        trail.disagree(
            f"hours: {say_rows(twins)} alike in two files, first {where[0]} and {where[1]}; "
            "all are counted."
        )


def working_days(on_site: Iterable[date], calendar: Workdays) -> int:
    """Working days of the firm from the first to the last of some days on site.

    Both ends count. A day off counts only if it is itself one of the days on site.

    >>> working_days([date(2024, 3, 1), date(2024, 3, 4)], Workdays())
    2
    """
    days = set(on_site)
    span = calendar.count(min(days), max(days))
    return span + sum(1 for day in days if not calendar.works(day))


def say_rows(count: int) -> str:
    """Print a number of rows."""
    return say_count(count, "row")


def say_lines(count: int) -> str:
    """Print a number of cost lines."""
    return say_count(count, "cost line")


def say_day_rate(firm: Firm) -> str:
    """Print the firm's day rate as it was stated."""
    return f"the day rate of {exact_money(firm.day_rate, firm.currency)}"
