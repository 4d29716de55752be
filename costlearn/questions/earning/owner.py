"""How many days of each job were the owner's own, and how that is known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from costlearn.assembly.names import pile_up
from costlearn.features.measures import ONE_BELOW, steady_crew
from costlearn.questions.wording import count_of
from costlearn.records import Entry, History, HoursEntry, Job

MOST_JOBS = 0.8
"""A name that worked on this part of the logged jobs, and no other name did, is the owner's."""


@dataclass(frozen=True)
class OwnDays:
    """The owner's days by job key.

    ``told`` says how they are known, in sentences; ``missing`` counts the jobs of which nothing
    tells them.
    """

    by_job: dict[str, float]
    told: tuple[str, ...] = ()
    missing: int = 0


def own_days(history: History, jobs: Sequence[Job], entries: Iterable[Entry] = ()) -> OwnDays:
    """The owner's days on some jobs, in working days of the firm's hours.

    Where an hours log names people, the hours of the owner's name count, waiting ones not: the name
    in the firm's settings, else the one that worked on nearly all logged jobs. Where no log speaks
    and one person did the job, all its person-days were the owner's. Of all other jobs nothing
    tells.

    Args:
        history: the firm's jobs; its firm may name the owner.
        jobs: the jobs to tell it of.
        entries: the rows behind them, with the hours log.
    """
    logged = _logged(history, entries)
    name, how = _owner(history.firm.owner, logged)
    found: dict[str, float] = {}
    by_log = by_crew = 0
    for job in jobs:
        people = logged.get(job.key)
        if people is not None:
            if name and people.get(name, 0.0) > 0:
                found[job.key] = people[name] / history.firm.hours_per_day
                by_log += 1
        elif (days := job.actual.person_days) and (steady_crew(job) or 9.0) < ONE_BELOW:
            found[job.key] = days
            by_crew += 1
    told = [how] if how else []
    if by_crew:
        told.append(
            f"{count_of(by_crew, 'job')} without an hours log done by one person: all days the "
            "owner's"
        )
    missing = len(jobs) - len(found)
    if missing:
        verb = "does" if missing == 1 else "do"
        told.append(
            f"{count_of(missing, 'job')} {verb} not say which days were the owner's; left out of "
            "figures for each of your own days"
        )
    return OwnDays(found, tuple(told), missing)


def _logged(history: History, entries: Iterable[Entry]) -> dict[str, dict[str, float]]:
    """Hours worked by job key and name; a log that names nobody tells nothing."""
    rows = [e for e in entries if isinstance(e, HoursEntry)]
    if not rows:
        return {}
    found: dict[str, dict[str, float]] = {}
    for pile in pile_up(rows)[0]:
        # The log may name a job by its code alone.
        job = history.job(pile.name.text)
        people = found.setdefault(job.key if job else pile.key, {})
        for row in pile.hours:
            if row.person.strip() and not row.waiting:
                who = row.person.strip().casefold()
                people[who] = people.get(who, 0.0) + row.hours
    return {key: people for key, people in found.items() if people}


def _owner(stated: str, logged: dict[str, dict[str, float]]) -> tuple[str, str]:
    """The owner's name as the log has it, folded, and a sentence; empty where none can be told."""
    if not logged:
        return "", ""
    met: dict[str, int] = {}
    for people in logged.values():
        for who in people:
            met[who] = met.get(who, 0) + 1
    if stated:
        name = stated.strip().casefold()
        if name not in met:
            return "", f"The hours log has no '{stated}', the owner's name in your settings"
        return name, f"Your own days: hours of '{stated}' in the log ({count_of(met[name], 'job')})"
    often = [who for who, count in met.items() if count >= MOST_JOBS * len(logged)]
    if len(often) != 1:
        return "", (
            "The hours log does not tell which name is the owner's: set 'owner' in your settings"
        )
    return often[0], (
        f"Your own days: hours of '{often[0].title()}' in the log, the one name on nearly all "
        f"logged jobs ({met[often[0]]} of {len(logged)}); if that is not you, set 'owner' in your "
        "settings"
    )
