"""One cell that says how long a job took, and how many worked: "17 days, two of us", "26 x 2".

Nothing is guessed: what a cell does not say for sure stays None, and the note says so.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from costlearn.intake.values.attendance import Found, Part, read_facts
from costlearn.intake.values.cells import Code, Raw, Reading, is_missing, not_a_number, refused
from costlearn.intake.values.numerals import shown, tidy, unquoted
from costlearn.intake.values.sizes import clock_cell
from costlearn.intake.values.times import WORKING_DAYS_A_WEEK, Span

MOST_DAYS = 2000.0
"""A job of more days than this is taken for a slip."""
_NO_DAYS = "is no number of days"
_MOST_HOURS_A_DAY = 14.0
_MOST_PEOPLE = 3
"""In "26 x 2" the smaller figure is people only up to here; a firm of one or two, and a friend."""


@dataclass(frozen=True, slots=True)
class Stint:
    """How long a job (or a phase) took.

    Attributes:
        site_days: days on which somebody worked there, or None if not said for sure.
        crew: people on site on an average day.
        person_days: one person, one day.
        low, high: ends of a range, of ``site_days`` or else of ``person_days``; None if exact.
        rough: marked as unsure, or a range.
    """

    site_days: float | None = None
    crew: float | None = None
    person_days: float | None = None
    low: float | None = None
    high: float | None = None
    rough: bool = False


def read_stint(
    raw: Raw,
    *,
    unit: str | None,
    hours_per_day: float,
    people: Collection[str] = (),
    team: int | None = None,
    decimal: str = ".",
) -> Reading[Stint]:
    """Days on site, crew and person-days, as far as a cell says them.

    Args:
        raw: the cell.
        unit: "days", "weeks", "hours", "person-days", "days x people" or "people x days" for
            figures without a unit, from the column's heading; None if that is not known.
        hours_per_day: working hours in one day.
        people: names or initials of the people of the firm.
        team: how many the firm is when nobody is away, from its settings or, by
            :func:`team_shown`, from other cells of the column; two ``people`` are a team of two.
        decimal: the decimal mark of its column.

    >>> read_stint("17 days, two of us", unit=None, hours_per_day=8).value
    Stint(site_days=17.0, crew=2.0, person_days=34.0, low=None, high=None, rough=False)
    >>> read_stint("16 (T away)", unit="days", hours_per_day=8).value.crew is None
    True
    """
    if is_missing(raw):
        return Reading()
    clock = clock_cell(raw)
    if clock is not None:
        return _checked(Stint(person_days=clock / hours_per_day), raw, [])
    if problem := not_a_number(raw, "number of days"):
        return Reading(problem=problem, code="wrong type")
    if isinstance(raw, int | float):
        text, decimal = f"{raw:.15g}", "."
    else:
        text = unquoted(tidy(str(raw)))
    found = read_facts(text, decimal, people, hours_per_day)
    odd = {t.kind for t in found.unknown} - {"word", "one"}
    if "bound" in odd:
        return refused(raw, "bounds a figure, it does not state one", "bound")
    if odd:
        code: Code = "remark" if odd == {"doubt"} else "unreadable"
        return refused(raw, "has words that may change it" if code == "remark" else _NO_DAYS, code)
    if len(people) == 2 and team is None:
        team = 2
    return _settled(found, raw, unit, hours_per_day, team)


def may_tell_crew(raw: Raw) -> bool:
    """Whether a cell may say how many worked: a bare figure does not.

    >>> may_tell_crew("12.5"), may_tell_crew("12 x 2")
    (False, True)
    """
    return isinstance(raw, str) and not raw.replace(".", "").replace(",", "").strip().isdigit()


def team_shown(readings: Iterable[Reading[Stint]]) -> int | None:
    """How many the firm is, by the cells of a column: two if some show a crew of two and none more.

    >>> team_shown([read_stint("17 days, two of us", unit=None, hours_per_day=8)])
    2
    """
    crews = {r.value.crew for r in readings if r.value is not None and r.value.crew is not None}
    return 2 if crews and max(crews) == 2 else None


def _settled(
    found: Found, raw: Raw, unit: str | None, per_day: float, team: int | None
) -> Reading[Stint]:
    """What all parts of a cell come to."""
    notes: list[str] = []
    stints = [_of_part(part, unit, per_day, team, notes) for part in found.parts if part.span]
    if None in stints:
        return refused(raw, "has no unit (days, weeks or hours)", "no unit")
    made = [stint for stint in stints if stint is not None]
    if len(made) > 1 and not _may_be_added(found, made):
        return refused(raw, "gives several spans of time", "two amounts")
    if not made and not found.named:
        return refused(raw, _NO_DAYS)
    stint = _added(made) if made else Stint()
    if found.named or found.away or found.halves:
        stint = _by_person(stint, found, unit, per_day, team)
    if stint.site_days is None and stint.person_days is None and stint.crew is None:
        return refused(raw, "does not say for sure how many days and how many people")
    if stint.crew is None and _speaks_of_people(found):
        notes.append("how many worked is not sure and is left open")
    words = [t for t in found.unknown if t.kind == "word"]
    rest = found.text[words[0].start : words[-1].end] if words else ""
    if rest:
        notes.append(f"beside it stands '{rest}'")
    return replace(_checked(stint, raw, notes), rest=rest)


def _speaks_of_people(found: Found) -> bool:
    several = any(
        p.crews or p.names or p.said & {"helper", "each", "together"} or p.factor
        for p in found.parts
    )
    return several or bool(found.away or found.halves or found.named)


def _of_part(
    part: Part, unit: str | None, per_day: float, team: int | None, notes: list[str]
) -> Stint | None:
    """One part; None if its figure has no unit."""
    span, factor, crew = part.span or Span(0, 0), part.factor, part.crew(team)
    if factor is not None and not span.measure and unit != "hours":
        return _product(span.low, factor.low, unit, per_day)
    measure = span.measure or {"hours": "hour"}.get(unit or "", "day" if unit else "")
    if not measure and "each" in part.said and span.high <= _MOST_HOURS_A_DAY:
        measure = "hour"
    if not measure:
        return None
    worth = 1 / per_day if measure == "hour" else 1.0
    if span.weeks or (unit == "weeks" and not span.measure):
        notes.append(f"a week taken as {WORKING_DAYS_A_WEEK} working days")
        worth = 1.0 if span.weeks else float(WORKING_DAYS_A_WEEK)
    low, high = span.low * worth, span.high * worth
    if factor is not None and measure == "hour":
        # Two people for seven hours, or seven days of two: the work is the same.
        return Stint(person_days=low * factor.low)
    crew = factor.low if factor is not None and crew is None else crew
    stint = Stint((low + high) / 2, crew)
    if span.rough or low < high:
        stint = replace(stint, low=low, high=high, rough=True)
    if span.whose == "person" or (unit == "person-days" and not span.whose):
        work = stint.site_days or 0.0
        return replace(stint, site_days=work / crew if crew else None, person_days=work)
    return _with_people(stint, part, measure, team, high * per_day, notes)


def _with_people(
    stint: Stint, part: Part, measure: str, team: int | None, hours: float, notes: list[str]
) -> Stint:
    """A stint of so many days, or of hours in days, with the work of its people."""
    crew, middle = stint.crew, stint.site_days or 0.0
    if "each" in part.said:
        crew = crew or team
        work = crew * middle if crew else None
        return replace(stint, site_days=None, crew=crew, person_days=work)
    if measure == "day":
        return replace(stint, person_days=crew * middle if crew else None)
    if crew and crew > 1 and hours > _MOST_HOURS_A_DAY:
        notes.append("whether the hours are those of one or of all is not sure")
        return replace(stint, site_days=None)
    return replace(stint, site_days=None, person_days=middle * (crew or 1))


def _product(one: float, two: float, unit: str | None, per_day: float) -> Stint:
    """Days times people; which is which is only said where it cannot be otherwise."""
    days, crew = (two, one) if unit == "people x days" else (one, two)
    if unit not in {"days x people", "people x days"}:
        days, crew = max(one, two), min(one, two)
        hours = two == per_day and one <= _MOST_PEOPLE
        if crew > _MOST_PEOPLE or days < 2 * crew or days <= _MOST_PEOPLE or hours:
            return Stint() if hours else Stint(person_days=days * crew)
    return Stint(days, crew, days * crew)


def _may_be_added(found: Found, stints: list[Stint]) -> bool:
    """Whether several spans are one after the other: each says who worked, or a plus joins them."""
    plus = sum(found.text.count(mark) for mark in "+&") >= len(stints) - 1
    if not all(s.site_days is not None and s.low is None for s in stints):
        return False
    return plus or all(s.crew is not None for s in stints)


def _added(stints: list[Stint]) -> Stint:
    if len(stints) == 1:
        return stints[0]
    days = sum(s.site_days or 0.0 for s in stints)
    if any(s.person_days is None for s in stints) or not days:
        return Stint(days)
    work = sum(s.person_days or 0.0 for s in stints)
    return Stint(days, work / days, work)


def _by_person(
    stint: Stint, found: Found, unit: str | None, per_day: float, team: int | None
) -> Stint:
    """A stint with what single people did: away, half the time, some of the days."""
    spans = [s for s in (*found.named, *found.away) if s is not None]
    exact = all(s.low == s.high and (s.measure or unit) for s in spans)

    def days(span: Span) -> float:
        hours = (span.measure or {"hours": "hour"}.get(unit or "", "day")) == "hour"
        return span.low / per_day if hours else span.low

    names = set().union(*(part.names for part in found.parts))
    if names and found.named:
        # "M, K 12 days": both worked them.
        both = exact and len(found.named) == 1 and stint == Stint()
        worked, crew = days(found.named[0]), 1.0 + len(names)
        return Stint(worked, crew, worked * crew) if both else Stint()
    if found.named and exact and (stint == Stint() or "me" in found.parts[0].said):
        own = stint.site_days or stint.person_days or 0.0
        return Stint(person_days=own + sum(map(days, found.named)))
    base, site = stint.crew or team, stint.site_days
    if base is None or not site or not exact or (found.named and (base != 2 or stint.crew)):
        return replace(stint, crew=None, person_days=None)
    work = site * (base - 0.5 * found.halves)
    work -= sum(site if span is None else min(days(span), site) for span in found.away)
    work -= sum(max(site - days(span), 0.0) for span in found.named)
    if work <= 0:
        return replace(stint, crew=None, person_days=None)
    return replace(stint, crew=work / site, person_days=work)


def _checked(stint: Stint, raw: Raw, notes: list[str]) -> Reading[Stint]:
    """A stint that can be worked, with what is worth telling."""
    most = max(v or 0.0 for v in (stint.site_days, stint.person_days, stint.high))
    least = min(v or 0.0 for v in (stint.site_days, stint.person_days))
    if least < 0:
        return refused(raw, "is negative; days of work cannot be", "negative")
    if most > MOST_DAYS:
        return refused(raw, "is too large to be the days of a job", "too large")
    if stint.crew is not None and not 0 < stint.crew <= 100:
        return refused(raw, f"speaks of {stint.crew:g} people")
    note = f"{shown(raw)}: {'; '.join(dict.fromkeys(notes))}" if notes else ""
    return Reading(stint, note=note)
