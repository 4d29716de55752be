"""What on file is worth a second look: slips and gaps that a reader of numbers cannot decide.

Nothing here is enforced and nothing is changed: each finding is a sentence for the person who knows
the job. ``questions.attention`` adds the jobs whose cost no scope on file explains.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from costlearn.assembly.logs import say_rows
from costlearn.assembly.names import Pile, pile_up
from costlearn.assembly.twins import say_twin
from costlearn.errors import Place
from costlearn.features.copies import is_copied
from costlearn.records import (
    CostEntry,
    Entry,
    History,
    HoursEntry,
    Job,
)
from costlearn.units import from_cents, say_count, say_money

KINDS = (
    "unit slip",
    "cost far off",
    "time far off",
    "area far off",
    "one sum many times",
    "one job twice",
    "one purchase twice",
    "end before start",
    "date ahead",
    "hours after the end",
    "too long a day",
    "equals the plan",
    "bills to come",
)
"""The kinds of finding, in the order in which they are shown."""

LONGEST_DAY = 16.0
"""Hours from which somebody's day, or a crew size, is wrong (trade judgement, no source)."""
USUAL_CREW = 2
"""People in the firm this is made for, where no crew size on file says otherwise."""
SHOWN = 3


@dataclass(frozen=True, slots=True)
class Attention:
    """One thing worth a look: the job's name ("" for several), its kind, a sentence, and places."""

    job: str
    kind: str
    sentence: str
    places: tuple[Place, ...] = ()


def of_records(history: History, entries: Iterable[Entry] = ()) -> tuple[Attention, ...]:
    """What of the records by themselves is worth a look, job by job.

    Args:
        history: the firm's jobs.
        entries: the rows they were made of; without them nothing is said of single days.
    """
    found: list[Attention] = []
    for job in history.jobs:
        found += _equals_plan(job, history.firm.currency)
        found += _turned_round(job)
    found += _long_days(history)
    found += _doubled(history)
    rows = [e for e in entries if isinstance(e, HoursEntry | CostEntry)]
    if rows:
        piles, _ = pile_up(rows)
        found += _after_the_end(history, piles)
        found += _long_shifts(e for e in rows if isinstance(e, HoursEntry))
    return tuple(found)


def _doubled(history: History) -> list[Attention]:
    """Purchases in two tables that may be two, or whose two records disagree."""
    found: list[Attention] = []
    for twin in history.twins:
        if twin.sure and not twin.differ:
            continue
        lines = (*twin.first, *twin.second)
        job = next((line.job for line in lines if line.job), "")
        places = (twin.first[0].place, twin.second[0].place)
        found.append(Attention(job, "one purchase twice", say_twin(twin), places))
    return found


def places_of(job: Job, *figures: str) -> tuple[Place, ...]:
    """Where some figures of a job came from, each place once."""
    found = [p for o in job.origins if o.figure in figures for p in o.places[:SHOWN]]
    return tuple(dict.fromkeys(found))


def _equals_plan(job: Job, currency: str) -> list[Attention]:
    """Actual equals plan to the cent: copied rather than counted, or a price somebody fixed."""
    plan, actual = job.plan.total, job.actual.total
    if plan and actual is not None and actual in (plan, plan + job.changed_cost):
        changed = " with its changes" if actual != plan else ""
        text = (
            f"The actual cost equals the plan{changed} to the cent "
            f"({say_money(from_cents(actual), currency, exact=True)}): was it counted, or copied?"
        )
        return [Attention(job.name, "equals the plan", text, places_of(job, "actual.cost"))]
    same = [p.phase for p in job.phases if is_copied(p.plan, p.actual)]
    both = [p for p in job.phases if p.plan.total and p.actual.total]
    if len(same) < 2 or 2 * len(same) < len(both):
        return []
    text = (
        f"{len(same)} of {len(both)} phases ({_some(same)}) cost exactly what was planned, to the "
        "cent: were they counted, or copied?"
    )
    places = places_of(job, *(f"phase {p}: actual.cost" for p in same))
    return [Attention(job.name, "equals the plan", text, places[:SHOWN])]


def _turned_round(job: Job) -> list[Attention]:
    """An end before the start: told in two places, for one row with both is set aside earlier."""
    if not (job.started and job.finished) or job.finished >= job.started:
        return []
    text = f"It ends on {job.finished}, before it starts on {job.started}."
    return [Attention(job.name, "end before start", text, places_of(job, "started", "finished"))]


def _long_days(history: History) -> list[Attention]:
    """Person-days that would need days nobody works, whole jobs and single phases."""
    hours = history.firm.hours_per_day
    stated = [j.actual.crew for j in history.jobs if j.actual.crew and _is_stated(j)]
    people = max([USUAL_CREW, *stated])
    found = []
    for job in history.jobs:
        sides = [("", "actual.", job.actual, _is_stated(job))]
        sides += [(f"Phase {p.phase}: ", "", p.actual, False) for p in job.phases]
        for about, prefix, amounts, sure in sides:
            crew = amounts.crew if sure and amounts.crew else people
            days = amounts.site_days or amounts.elapsed_days
            if not amounts.person_days or not days:
                continue
            each = amounts.person_days * hours / (days * max(crew, 1.0))
            if each >= LONGEST_DAY:
                on_site = "days on site" if amounts.site_days else "days from first to last"
                text = (
                    f"{about}{amounts.person_days:g} person-days in {days:g} {on_site} are "
                    f"{each:.0f}-hour days for a crew of {crew:.2g}: wrong crew, or hours for days?"
                )
                where = places_of(job, f"{prefix}person_days", f"{prefix}site_days")
                found.append(Attention(job.name, "too long a day", text, where[:SHOWN]))
    return found


def _is_stated(job: Job) -> bool:
    """Whether a job's crew was written down or logged, not worked out from its days."""
    how = next((o.how for o in job.origins if o.figure == "actual.crew"), "")
    return bool(job.actual.crew) and not how.startswith("person-days /")


def _after_the_end(history: History, piles: Sequence[Pile]) -> list[Attention]:
    """Hours logged after the finish a job list states; called-back work has a cause and is none."""
    jobs = {job.key: job for job in history.jobs}
    found = []
    for pile in piles:
        job = jobs.get(pile.key)
        end = job.finished if job else None
        stated = bool(job) and any(
            o.figure == "finished" and "hours log" not in o.how
            for o in (job.origins if job else ())
        )
        if job is None or end is None or not stated:
            continue
        late = [h for h in pile.hours if h.day and h.day > end and not h.callback_of]
        if late:
            last = max(h.day for h in late if h.day)
            text = (
                f"It ended on {end}, but hours are logged until {last} "
                f"({say_count(sum(h.hours for h in late), 'hour')} in {say_rows(len(late))} "
                "since): another job, a call-back, or not yet done?"
            )
            where = tuple(h.place for h in late[:SHOWN])
            found.append(Attention(job.name, "hours after the end", text, where))
    return found


def _long_shifts(hours: Iterable[HoursEntry]) -> list[Attention]:
    """Days on which one person logged more hours than anybody works, over all jobs.

    A sheet in which every fourth line is that long is a sheet of weeks and says nothing of days.
    """
    sheets: dict[tuple[str, str], list[HoursEntry]] = defaultdict(list)
    for entry in hours:
        if entry.day is not None and entry.person:
            sheets[entry.place.file, entry.place.sheet].append(entry)
    shifts: dict[tuple[str, date], list[HoursEntry]] = defaultdict(list)
    for rows in sheets.values():
        if 4 * sum(e.hours > LONGEST_DAY for e in rows) <= len(rows) or len(rows) == 1:
            for entry in rows:
                if entry.day is not None:
                    shifts[entry.person.casefold(), entry.day].append(entry)
    found = []
    for (_, day), rows in sorted(shifts.items()):
        total = sum(e.hours for e in rows)
        if total >= LONGEST_DAY:
            jobs = list(dict.fromkeys(e.job for e in rows))
            many = f"{say_count(total, 'hour')} on {day} in {say_rows(len(rows))}"
            text = f"{rows[0].person} has {many}."
            name = jobs[0] if len(jobs) == 1 else ""
            places = tuple(e.place for e in rows[:SHOWN])
            found.append(Attention(name, "too long a day", text, places))
    return found


def _some(words: Sequence[str]) -> str:
    """The first of some words, and how many more there are."""
    more = len(words) - SHOWN
    return ", ".join(words[:SHOWN]) + (f" and {more} more" if more > 0 else "")
