"""Planned and actual cost and time of a whole job, from the best record there is of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from costlearn.assembly.logs import HoursSum, Logs, working_days
from costlearn.assembly.phases import (
    TIME_SHARE,
    PhaseFigures,
    add_cost,
    add_crew,
    phase_sum,
    price_days,
)
from costlearn.assembly.trail import WORDS, Figure, Figures, Trail, apart, gather, prefer
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import COST_KINDS

COST_SHARE = 0.05
"""How far two records of a cost may lie apart before they disagree; common practice, no source."""

PART = 0.5
"""A log with less than this share of the stated days is a part of one (judgement, no source)."""

_LIST, _PHASES, _HOURS, _LINES = (
    "the job list",
    "the phases",
    "the hours log",
    "the cost lines and labour",
)
_BOUGHT = tuple(kind for kind in COST_KINDS if kind != "labour")


def settle_plan(
    listed: Figures, phases: Sequence[PhaseFigures], firm: Firm, trail: Trail
) -> Figures:
    """The job's plan: the job list's word, else the sum of its phases."""
    found = dict(listed)
    add_cost(found, [k for k in COST_KINDS if k in listed], firm)
    sides = [(p.phase, p.plan) for p in phases]
    for name in ("cost", *COST_KINDS, "person_days", "site_days", "wait_days"):
        summed, missing = phase_sum(sides, name)
        if missing:
            summed = None
        share = TIME_SHARE if name.endswith("days") else COST_SHARE
        offers = [(_LIST, found.get(name)), (_PHASES, summed)]
        figure = prefer(name, offers, trail, share, "planned ")
        if figure is not None:
            found[name] = figure
    add_crew(found)
    return found


def whole_log(logs: Logs, listed: Figures, firm: Firm, trail: Trail) -> Logs:
    """The logs, without the hours if they are but a part of the job's.

    Hours that come to less than half of the days the job list states were not all written down:
    taken for the whole they would make the job, its crew and each phase too small. Hours that come
    to those days taken as hours are all there: then the list's days are hours.

    Args:
        logs: hours and cost lines as they were read.
        listed: the figures stated in job lists.
        firm: gives the hours of a day.
        trail: where it is recorded that hours were left out.
    """
    logged = logs.hours.figures(firm)
    for name in ("person_days", "site_days"):
        stated, held = listed.get(name), logged.get(name)
        if stated is None or held is None or held.value >= PART * stated.value:
            continue
        if not apart(held.value * firm.hours_per_day, stated.value, TIME_SHARE):
            continue
        trail.disagree(
            f"{WORDS[name]}: the hours log holds {trail.say(name, held.value)} of the "
            f"{trail.say(name, stated.value)} the job list states, so it is taken as part of the "
            "job and left out."
        )
        return replace(logs, hours=HoursSum(), hours_by_phase={}, hours_untagged=0)
    return logs


def settle_actual(
    listed: Figures,
    phases: Sequence[PhaseFigures],
    logs: Logs,
    dates: Sequence[tuple[date, Place]],
    firm: Firm,
    trail: Trail,
) -> Figures:
    """The job's actual cost and time.

    Days: the hours log, else the phases, else the job list. Cost: the job list, else the phases if
    each has one, else the cost lines with priced labour. A cost that lacks a part stays open.

    Args:
        listed: the figures stated in job lists.
        phases: the job's phases, in the order of work.
        logs: its hours and cost lines, summed.
        dates: start and finish as stated with their places; empty unless both are known.
        firm: gives the day rate and the hours of a day.
        trail: where disagreements are recorded.
    """
    found = _time(listed, phases, logs, dates, firm, trail)
    found.update(_cost(listed, found, phases, logs, firm, trail))
    return found


def _time(
    listed: Figures,
    phases: Sequence[PhaseFigures],
    logs: Logs,
    dates: Sequence[tuple[date, Place]],
    firm: Firm,
    trail: Trail,
) -> Figures:
    """Person-days, site days, wait days, elapsed days and crew size."""
    logged = logs.hours.figures(firm)
    own = [(p.phase, p.own) for p in phases]
    found: Figures = {}
    for name in ("person_days", "site_days", "wait_days"):
        summed, missing = phase_sum(own, name)
        if missing and (name != "person_days" or name in listed):
            summed = None
        offers = [(_HOURS, logged.get(name)), (_PHASES, summed), (_LIST, listed.get(name))]
        figure = prefer(name, offers, trail, TIME_SHARE)
        if figure is None:
            continue
        found[name] = figure
        if figure is summed and missing:
            trail.disagree(
                f"person-days: {len(missing)} of the phases ({', '.join(missing)}) give none; "
                "the others are summed."
            )
    offers = [(_LIST, listed.get("elapsed_days")), (_HOURS, logged.get("elapsed_days"))]
    elapsed = prefer("elapsed_days", offers, trail, TIME_SHARE) or _between(dates, firm, trail)
    if elapsed is not None:
        found["elapsed_days"] = elapsed
    crew = logged.get("crew") or listed.get("crew")
    if crew is not None:
        found["crew"] = crew
    add_crew(found)
    return found


def _between(dates: Sequence[tuple[date, Place]], firm: Firm, trail: Trail) -> Figure | None:
    """Working days from a job's start to its finish."""
    if len(dates) != 2:
        return None
    (start, _), (end, _) = dates
    places = tuple(dict.fromkeys(place for _, place in dates))
    if start > end:
        trail.disagree(
            f"elapsed days: the finish {end} ({places[-1]}) lies before the start {start}; "
            "none are counted."
        )
        return None
    days = float(working_days((start, end), firm.workdays))
    return Figure(days, "working days from start to finish", places)


def _cost(
    listed: Figures,
    time: Figures,
    phases: Sequence[PhaseFigures],
    logs: Logs,
    firm: Firm,
    trail: Trail,
) -> Figures:
    """Direct cost and its kinds."""
    lines = logs.costs.figures(firm)
    own = [(p.phase, p.own) for p in phases]
    found: Figures = {}
    for kind in COST_KINDS:
        summed, missing = phase_sum(own, kind)
        offers = [(_LIST, listed.get(kind)), (_PHASES, None if missing else summed)]
        if kind == "labour":
            offers.insert(1, (f"{_HOURS} at the day rate", logs.hours.labour(firm)))
        offers.append(("the cost lines", lines.get(kind)))
        figure = prefer(kind, offers, trail, TIME_SHARE)
        if figure is not None:
            found[kind] = figure
    summed, missing = phase_sum(own, "cost")
    parts = {k: listed[k] for k in (*COST_KINDS, "person_days") if k in listed}
    add_cost(parts, [k for k in COST_KINDS if k in listed], firm)
    by_lines = _from_lines(lines, found, time, firm)
    offers = [
        (_LIST, listed.get("cost")),
        (_PHASES, None if missing else _note_undone(summed, phases)),
        (_LINES, by_lines.get("cost")),
        ("the kinds of cost in the job list", parts.get("cost")),
    ]
    cost = prefer("cost", offers, trail, COST_SHARE)
    if cost is not None:
        found["cost"] = cost
        if cost is by_lines.get("cost") and "labour" not in found:
            found["labour"] = by_lines["labour"]
    elif lines or summed is not None:
        trail.disagree(_why_open(lines, missing))
    return found


def _from_lines(lines: Figures, found: Figures, time: Figures, firm: Firm) -> Figures:
    """Labour and direct cost by the cost lines; empty if the labour has no price."""
    bought = [lines[k] for k in _BOUGHT if k in lines]
    labour = found.get("labour") or price_days(time.get("person_days"), firm)
    if not bought or labour is None:
        return {}
    total = labour.value + sum(f.value for f in bought)
    how = f"cost lines ({', '.join(k for k in _BOUGHT if k in lines)}) and labour: {labour.how}"
    return {"labour": labour, "cost": Figure(total, how, gather((*bought, labour)))}


def _note_undone(summed: Figure | None, phases: Sequence[PhaseFigures]) -> Figure | None:
    """A sum over phases, saying how many planned phases have no actual figures."""
    undone = sum(1 for p in phases if p.plan and not p.own)
    if summed is None or not undone:
        return summed
    return Figure(
        summed.value, f"{summed.how}; {undone} planned have no actual figures", summed.places
    )


def _why_open(lines: Figures, missing: Sequence[str]) -> str:
    """Why a job with some cost figures has no direct cost."""
    if missing:
        return f"direct cost is left open: {', '.join(missing)} of its phases give none."
    if not any(kind in lines for kind in _BOUGHT):
        return "direct cost is left open: its cost lines hold labour only."
    return (
        "direct cost is left open: there are cost lines, but no price for the labour "
        "(no labour cost, and no hours or person-days with a day rate)."
    )
