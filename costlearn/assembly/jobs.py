"""Entries to a History: each job settled figure by figure from all that was written about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from costlearn.assembly.callbacks import settle_callbacks
from costlearn.assembly.logs import Logs, read_logs, say_doubled_hours
from costlearn.assembly.names import Pile, pile_up
from costlearn.assembly.phases import PhaseFigures, add_cost, settle_phases
from costlearn.assembly.totals import settle_actual, settle_plan, whole_log
from costlearn.assembly.trail import (
    AS_STATED,
    Figure,
    Figures,
    Trail,
    settle,
    settle_amounts,
    to_amounts,
)
from costlearn.assembly.twins import counted_once, find_twins, say_twins, second_places
from costlearn.errors import Place
from costlearn.fields import columns
from costlearn.firm import Firm
from costlearn.records import (
    COST_KINDS,
    ChangeEntry,
    CostEntry,
    Entry,
    History,
    Job,
    JobEntry,
    Span,
    Twin,
)
from costlearn.vocabulary import NEVER_DIRECT, fold, standard

BEGUN = "it has begun and nothing says it is finished"
"""Why a job nobody speaks of further counts as running."""
GIVE_A_JOB = (
    "write it beside each line, in a column 'Job' of their own file, and import that file again"
)
"""How cost lines that name no job get one."""
_PLAIN = tuple(
    c.field
    for c in columns(JobEntry)
    if not c.amount and c.style not in ("scope", "spans") and c.field not in ("job", "notes")
)
"""The figures that only job lists state."""


def assemble(
    entries: Iterable[Entry], firm: Firm, told: Mapping[str, str] | None = None
) -> History:
    """What the entries of all files say together: the firm's jobs, oldest first.

    Entries belong to one job if their names share a key (:func:`costlearn.records.job_key`), or if
    one name is the leading code of exactly one other. Of several records of one figure the most
    trusted counts, the first in import order among equals; each job's ``origins`` say where every
    figure came from, its ``conflicts`` where records disagree or a sum had to be left open.
    Cost lines that name no job are kept as ``loose_costs``; a purchase that stands in two tables is
    listed among ``twins`` and counts once. Call-back work is kept apart as ``callbacks``.

    Args:
        entries: in the order they were imported.
        firm: gives the hours of a day, the day rate, the currency, its dated rates, and what
            becomes of tax.
        told: what a person said to the questions whether two purchases are one, by their keys.

    >>> from costlearn.errors import Place
    >>> row = JobEntry("J-07 Hall bath", Place("jobs.csv", "", 2), price=1_840_000)
    >>> assemble([row], Firm()).jobs[0].price
    1840000
    """
    listed = list(entries)
    twins = find_twins((e for e in listed if isinstance(e, CostEntry)), firm, told)
    piles, loose = pile_up(counted_once(listed, twins))
    order = standard().with_phases(firm.phase_words).phase_order
    also = second_places(twins)
    jobs = [_settle_job(pile, firm, order, twins, also) for pile in piles]
    jobs.sort(key=lambda job: (job.day or date.max, job.key))
    return History(firm, tuple(jobs), loose, twins)


def _settle_job(
    pile: Pile,
    firm: Firm,
    order: Mapping[str, int],
    twins: Sequence[Twin],
    also: Mapping[Place, Sequence[Place]],
) -> Job:
    """One job out of all entries about it."""
    trail = Trail(firm.currency)
    name = pile.name
    for code in pile.joined:
        how = f"'{code.text}' taken for '{name.text}', the only job it can be"
        trail.keep("", {"name": Figure(name.text, how, (code.place, name.place))})
    for doubt in pile.doubts:
        trail.disagree(doubt)
    plain = _plain(pile.jobs, trail)
    room = standard().room_in(name.text) if "kind" not in plain else None
    if room:
        plain["kind"] = Figure(room, "by the words of its name", (name.place,))
    scope = _scope(pile.jobs, trail)
    read = read_logs(pile.hours, pile.costs, firm, trail, also)
    say_doubled_hours(pile.hours, trail)
    say_twins(twins, (*pile.costs, *pile.callback_costs), trail)
    callbacks = settle_callbacks(pile.callback_hours, pile.callback_costs, firm, trail, order)
    listed = settle_amounts([(e.actual, e.place) for e in pile.jobs], trail, "actual ")
    logs = whole_log(read, listed, firm, trail)
    phases = settle_phases(pile.phases, logs, firm, trail, order)
    planned = [(e.plan, e.place) for e in pile.jobs]
    plan = settle_plan(settle_amounts(planned, trail, "planned "), phases, firm, trail)
    _close_books(plain, pile, phases, trail)
    plain.setdefault("state", _state(plain, listed, phases, pile, firm))
    _fill_dates(plain, pile, logs)
    ends = [(f.value, f.places[0]) for k in ("started", "finished") if (f := plain.get(k))]
    actual = settle_actual(listed, phases, logs, ends, firm, trail)
    # Part of a log tells when a job was, though not how long it took.
    _fill_dates(plain, pile, read)
    changes = _changes(pile.changes, trail)
    rough = _rough(pile.jobs, {"": plain, "plan.": plan, "actual.": actual})
    trail.keep("", plain)
    trail.keep("scope ", {k: f for k, f in scope.items() if f.value is not None})
    trail.keep("plan.", plan)
    trail.keep("actual.", actual)
    for back in callbacks:
        trail.keep("call-back of ", {back.phase: Figure(None, back.how, back.places)})
    values: dict[str, Any] = {key: figure.value for key, figure in plain.items()}
    return Job(
        key=pile.key,
        name=name.text,
        plan=to_amounts(plan),
        actual=to_amounts(actual),
        scope={item: figure.value for item, figure in scope.items()},
        rough=rough,
        phases=tuple(phase.record(trail) for phase in phases),
        changes=changes,
        callbacks=callbacks,
        notes=_notes(pile),
        origins=tuple(trail.origins),
        conflicts=tuple(trail.conflicts),
        **values,
    )


def _plain(rows: Sequence[JobEntry], trail: Trail) -> Figures:
    """The figures only job lists state, by field."""
    found: Figures = {}
    for name in _PLAIN if rows else ():
        figure = settle(name, [(getattr(row, name), row.place) for row in rows], trail)
        if figure is not None:
            found[name] = figure
    return found


def _scope(rows: Sequence[JobEntry], trail: Trail) -> Figures:
    """Scope items with their sizes; an item nobody says anything about keeps the value None."""
    offers: dict[str, list[tuple[float | None, Place]]] = {}
    for row in rows:
        for item, size in row.scope.items():
            offers.setdefault(item, []).append((size, row.place))
    return {
        item: settle(item, sizes, trail, "scope ") or Figure(None, "not said")
        for item, sizes in offers.items()
    }


def _rough(rows: Sequence[JobEntry], settled: Mapping[str, Figures]) -> dict[str, Span]:
    """Which settled figures their writer knew only roughly; their origins say so."""
    found: dict[str, Span] = {}
    for row in rows:
        for name, span in row.rough.items():
            side, dot, measure = name.rpartition(".")
            figures = settled.get(side + dot, {})
            figure = figures.get(measure)
            if figure is not None and figure.how == AS_STATED and figure.places == (row.place,):
                found[name] = span
                how = "the middle of a range" if span.low < span.high else "a rough figure"
                figures[measure] = replace(figure, how=f"{AS_STATED}: {how}")
    return found


def _close_books(plain: Figures, pile: Pile, phases: Sequence[PhaseFigures], trail: Trail) -> None:
    """Fill whether the books are closed from the phases: one open phase keeps them open."""
    said = [p.books_closed for p in phases if p.books_closed is not None]
    if not said:
        return
    closed = all(said)
    places = [e.place for e in pile.phases if e.books_closed is closed]
    stated = plain.get("books_closed")
    if stated is None:
        how = "every phase that says so" if closed else "a phase is open"
        plain["books_closed"] = Figure(closed, how, tuple(places))
    elif stated.value != closed:
        settle("books_closed", [(stated.value, stated.places[0]), (closed, places[0])], trail)


def waiting_costs(history: History) -> tuple[CostEntry, ...]:
    """The cost lines that still need a job; overhead and tax are no job's cost and need none."""
    return tuple(one for one in history.loose_costs if one.kind not in NEVER_DIRECT)


def finish_unknown(job: Job) -> bool:
    """Whether a job counts as running only because nobody said that it is finished, or running."""
    return job.state == "running" and any(
        one.figure == "state" and one.how == BEGUN for one in job.origins
    )


def _state(
    plain: Figures, listed: Figures, phases: Sequence[PhaseFigures], pile: Pile, firm: Firm
) -> Figure:
    """Whether a job whose state nobody states is finished, running or only quoted."""
    if "finished" in plain:
        return Figure("finished", "it has a finish date", plain["finished"].places)
    books = plain.get("books_closed")
    if books is not None and books.value:
        return Figure("finished", "its books are closed", books.places)
    whole = dict(listed)
    add_cost(whole, [kind for kind in COST_KINDS if kind in listed], firm)
    if "cost" in whole:
        return Figure("finished", "its actual cost is stated", whole["cost"].places)
    if _all_phases_done(phases):
        places = tuple(e.place for e in pile.phases)
        return Figure("finished", "each of its phases has an actual cost", places)
    begun = [e.place for e in pile.hours] + [e.place for e in pile.costs]
    begun += [e.place for e in pile.phases if e.started or e.percent_complete or not e.actual.empty]
    if "started" in plain:
        begun = [*plain["started"].places, *begun]
    if begun:
        return Figure("running", BEGUN, tuple(begun))
    rows = [e.place for e in pile.jobs] + [e.place for e in pile.phases]
    return Figure("quoted", "nothing says it has begun", tuple(rows))


def _all_phases_done(phases: Sequence[PhaseFigures]) -> bool:
    """True if every phase with own rows has an actual cost and none is said to be under way."""
    own = [p for p in phases if p.plan or p.own]
    return bool(own) and all(
        "cost" in p.own and (p.percent_complete is None or p.percent_complete.value >= 1)
        for p in own
    )


def _fill_dates(plain: Figures, pile: Pile, logs: Logs) -> None:
    """Fill start, and finish of a finished job, from its phases, else from its hours log."""
    starts = [(e.started, e.place) for e in pile.phases if e.started is not None]
    ends = [(e.finished, e.place) for e in pile.phases if e.finished is not None]
    days = set() if logs.hours.undated else logs.hours.days_logged
    logged = tuple(logs.hours.places)
    if "started" not in plain and starts:
        day, place = min(starts)
        plain["started"] = Figure(day, "earliest start of a phase", (place,))
    elif "started" not in plain and days:
        plain["started"] = Figure(min(days), "first day of the hours log", logged)
    if "finished" in plain or plain["state"].value != "finished":
        return
    if ends and len(ends) == len(pile.phases):
        day, place = max(ends)
        plain["finished"] = Figure(day, "latest finish of a phase", (place,))
    elif days:
        plain["finished"] = Figure(max(days), "last day of the hours log", logged)


def _changes(entries: Sequence[ChangeEntry], trail: Trail) -> tuple[ChangeEntry, ...]:
    """Change orders, one that stands in two files under one label counted once."""
    kept: list[ChangeEntry] = []
    seen: dict[str, ChangeEntry] = {}
    for entry in entries:
        label = fold(entry.label)
        first = seen.setdefault(label, entry) if label else entry
        if first.place.file == entry.place.file:
            kept.append(entry)
            continue
        trail.disagree(
            f"change '{entry.label}' stands in two files ({first.place} and {entry.place}); "
            "the first is used."
        )
    return tuple(kept)


def _notes(pile: Pile) -> str:
    """All different notes of job lists and phases."""
    notes = [e.notes.strip() for e in pile.jobs] + [e.notes.strip() for e in pile.phases]
    return "; ".join(note for note in dict.fromkeys(notes) if note)
