"""Which entries speak of the same job: by the same key, the job's leading code, or its words."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from costlearn.assembly.called import JobNames
from costlearn.errors import Place
from costlearn.records import (
    ChangeEntry,
    CostEntry,
    Entry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
    job_key,
)

_LONGEST_CODE = 4
_NEAR = 0.05
"""Two lists hold one job's figure within this share of each other (judgement, no source)."""
_NAMED_BY: Mapping[type[Entry], int] = {
    JobEntry: 0,
    PhaseEntry: 1,
    HoursEntry: 2,
    CostEntry: 3,
    ChangeEntry: 4,
}
"""Whose spelling of a job's name counts first, whatever was imported first."""
_RUN = re.compile(r"[^\W_]+")
_GOES_ON = re.compile(r"[-./#]\w*\d")


@dataclass(slots=True)
class Name:
    """A job's name as first written, and where."""

    text: str
    place: Place


@dataclass(slots=True)
class Pile:
    """All entries about one job, in the order they were imported."""

    key: str
    name: Name
    joined: list[Name] = field(default_factory=list)
    """Shorter names taken for this job."""
    doubts: list[str] = field(default_factory=list)
    jobs: list[JobEntry] = field(default_factory=list)
    phases: list[PhaseEntry] = field(default_factory=list)
    hours: list[HoursEntry] = field(default_factory=list)
    costs: list[CostEntry] = field(default_factory=list)
    changes: list[ChangeEntry] = field(default_factory=list)
    callback_hours: list[HoursEntry] = field(default_factory=list)
    callback_costs: list[CostEntry] = field(default_factory=list)

    @property
    def lines(self) -> tuple[Entry, ...]:
        """All entries that are no row of a list of jobs."""
        hours, costs = self.hours + self.callback_hours, self.costs + self.callback_costs
        return (*self.phases, *hours, *costs, *self.changes)

    def add(self, entry: Entry) -> None:
        """Put an entry on the pile."""
        if isinstance(entry, HoursEntry):
            back = entry.callback_of is not None
            (self.callback_hours if back else self.hours).append(entry)
        elif isinstance(entry, CostEntry):
            back = entry.callback_of is not None
            (self.callback_costs if back else self.costs).append(entry)
        elif isinstance(entry, PhaseEntry):
            self.phases.append(entry)
        elif isinstance(entry, JobEntry):
            self.jobs.append(entry)
        else:
            self.changes.append(entry)


def pile_up(entries: Iterable[Entry]) -> tuple[list[Pile], tuple[CostEntry, ...]]:
    """Sort entries into one pile a job, and the cost lines that name no job.

    A job is called as the job lists call it, else as the phases do, the hours, the cost lines or
    the change orders.
    """
    named: list[tuple[str, Entry]] = []
    loose: list[CostEntry] = []
    names_by_kind: list[dict[str, Name]] = [{} for _ in _NAMED_BY]
    keys: dict[tuple[int, str], str] = {}
    for entry in entries:
        written = (entry.job or "").strip()
        if not written and isinstance(entry, CostEntry):
            loose.append(entry)
            continue
        kind = _NAMED_BY[type(entry)]
        key = keys.get((kind, written))
        if key is None:
            # A name of signs alone ("???") has no key; it still must not meet another such name.
            key = keys[kind, written] = job_key(written) or written.casefold()
            names_by_kind[kind].setdefault(key, Name(" ".join(written.split()), entry.place))
        named.append((key, entry))
    names: dict[str, Name] = {}
    for spelled in names_by_kind:
        names.update((key, name) for key, name in spelled.items() if key not in names)
    owner, doubts = _owners(names)
    listed = names_by_kind[_NAMED_BY[JobEntry]]
    owner |= _on_two_lists([entry for _, entry in named if isinstance(entry, JobEntry)], owner)
    first = {key: name.text for key, name in listed.items() if key not in owner}
    known = JobNames(first)
    for key, name in names.items():
        if key not in listed and key not in owner and (found := known.find(name.text).key):
            owner[key] = owner.get(found, found)
    piles: dict[str, Pile] = {}
    for key, name in names.items():
        main = owner.get(key, key)
        if main not in piles:
            piles[main] = Pile(main, names[main], doubts=doubts.get(main, []))
        if main != key:
            piles[main].joined.append(name)
    for key, entry in named:
        piles[owner.get(key, key)].add(entry)
    return list(piles.values()), tuple(loose)


def _on_two_lists(entries: Iterable[JobEntry], owner: Mapping[str, str]) -> dict[str, str]:
    """Names of a later list of jobs that mean a job of an earlier one, where figures agree too.

    Two rows of one list are two jobs, however alike their names.
    """
    tables: dict[tuple[str, str], dict[str, JobEntry]] = {}
    for entry in entries:
        key = job_key(entry.job)
        if key not in owner:
            where = (entry.place.file, entry.place.sheet)
            tables.setdefault(where, {}).setdefault(key, entry)
    found: dict[str, str] = {}
    before: dict[str, JobEntry] = {}
    begun = {
        key
        for rows in tables.values()
        for key, entry in rows.items()
        if entry.state == "running" or (entry.started and not entry.finished)
    }
    for rows in tables.values():
        known = JobNames({key: entry.job for key, entry in before.items() if key not in rows})
        for key, entry in rows.items():
            if key in before:
                continue
            called = known.find(entry.job)
            same = [one for one in (called.key, *called.may_be) if one]
            alike = [one for one in same if _figures_agree(before[one], entry)]
            if len(alike) == 1 and (called.key or _agrees_twice(before[alike[0]], entry)):
                found[key] = alike[0]
            elif called.key and _is_its_quote(entry, before[called.key], begun):
                found[key] = called.key
        before |= {key: entry for key, entry in rows.items() if key not in found}
    return found


def _is_its_quote(entry: JobEntry, job: JobEntry, begun: Collection[str]) -> bool:
    """Whether a row is a quote, and may be that of a job under way: nothing speaks against it.

    Of a job that has begun it may be an earlier quote, with another price.
    """
    quote = entry.state == "quoted" or (entry.quoted_on and not entry.started)
    if not quote or job.state == "finished" or not entry.actual.empty:
        return False
    if job_key(job.job) in begun:
        entry, job = (replace(one, price=None, paid=None) for one in (entry, job))
    return not _compared(job, entry)


def _figures_agree(one: JobEntry, other: JobEntry) -> bool:
    """Whether two rows agree in some figure and contradict each other in none."""
    told = _compared(one, other)
    return bool(told) and all(told)


def _agrees_twice(one: JobEntry, other: JobEntry) -> bool:
    return sum(_compared(one, other)) > 1


def _compared(one: JobEntry, other: JobEntry) -> list[bool]:
    """For each figure both rows state, whether they agree on it."""
    pairs: list[tuple[float | None, float | None]] = [
        (one.actual.cost, other.actual.cost),
        (one.area_sqft, other.area_sqft),
        (one.actual.site_days, other.actual.site_days),
        (one.price or one.paid, other.price or other.paid),
    ]
    numbers = [abs(a - b) <= _NEAR * max(a, b) for a, b in pairs if a is not None and b is not None]
    days = [(one.started, other.started), (one.finished, other.finished)]
    return numbers + [a == b for a, b in days if a is not None and b is not None]


def leading_codes(name: str) -> Iterator[str]:
    """The keys a name's first words make where they may be the job's code, shortest first.

    A code ends in a part with a digit. It does not end inside a longer code: "J-07" leads
    "J-07 hall bath", but not "J-07.2 vanity" nor "J-070".

    >>> list(leading_codes("J-07 hall bath"))
    ['j07']
    >>> list(leading_codes("2024-03 main bath"))
    ['202403']
    """
    key = ""
    for count, run in enumerate(_RUN.finditer(name)):
        if count == _LONGEST_CODE:
            return
        key += job_key(run.group())
        rest = name[run.end() :]
        if any(c.isdigit() for c in run.group()) and rest.strip() and not _GOES_ON.match(rest):
            yield key


def _owners(names: Mapping[str, Name]) -> tuple[dict[str, str], dict[str, list[str]]]:
    """Codes that lead exactly one other job's name, with that job's key; and the doubtful ones."""
    longer: dict[str, list[str]] = {}
    for key, name in names.items():
        for code in leading_codes(name.text):
            if code in names and code != key:
                longer.setdefault(code, []).append(key)
    owner: dict[str, str] = {}
    doubts: dict[str, list[str]] = {}
    # Longest code first, so that a chain of ever longer names ends in the longest one.
    for code in sorted(longer, key=len, reverse=True):
        owners = list(dict.fromkeys(owner.get(key, key) for key in longer[code]))
        if len(owners) == 1:
            owner[code] = owners[0]
            continue
        listed = " or ".join(f"'{names[key].text}'" for key in owners[:3])
        doubts[code] = [
            f"'{names[code].text}' ({names[code].place}) may mean {listed}; it is kept apart."
        ]
    return owner, doubts
