"""Figures no job can have, or that so many jobs cannot share: areas, dates, one sum many times."""

from __future__ import annotations

from collections import Counter
from datetime import date
from math import exp, log

import numpy as np

from costlearn.features.attention import SHOWN, Attention, places_of
from costlearn.features.measures import TOKEN_CENTS
from costlearn.records import History
from costlearn.units import from_cents, say_area, say_money

FEWEST = 5
FACTOR = 20.0
"""A floor so many times larger or smaller than the middle one of its kind is hardly a floor area
(trade judgement, no source)."""
MANY = 3
PART = 1 / 3
"""One sum in at least three jobs and a third of all is no count of each (trade judgement)."""


def outlandish(history: History, today: date | None = None) -> tuple[Attention, ...]:
    """Jobs whose floor or dates cannot be, and a cost that too many jobs share.

    Args:
        history: the firm's jobs.
        today: the day it is asked on; without it no date is said to lie ahead.
    """
    return (*_areas(history), *_ahead(history, today), *_one_sum(history), *_tokens(history))


def _areas(history: History) -> list[Attention]:
    found = []
    unit = history.firm.area_unit
    for kind in dict.fromkeys(j.kind for j in history.jobs):
        known = [(j, j.area_sqft) for j in history.jobs if j.kind == kind and j.area_sqft]
        if len(known) < FEWEST:
            continue
        middle = float(np.median([log(a) for _, a in known]))
        for job, area in known:
            if abs(log(area) - middle) > log(FACTOR):
                text = (
                    f"Its floor of {say_area(area, unit)} lies far from the middle of your others, "
                    f"{say_area(exp(middle), unit)}: a slip, or the area of something else?"
                )
                found.append(
                    Attention(job.name, "area far off", text, places_of(job, "area_sqft")[:1])
                )
    return found


def _ahead(history: History, today: date | None) -> list[Attention]:
    found = []
    for job in history.jobs:
        last = max((d for d in (job.started, job.finished) if d), default=None)
        if today and last and last > today and job.state == "finished":
            text = f"It is finished, but its dates reach to {last}, which is still to come."
            where = places_of(job, "finished", "started")[:1]
            found.append(Attention(job.name, "date ahead", text, where))
    return found


def _tokens(history: History) -> list[Attention]:
    found = []
    for job in history.jobs:
        cents = job.actual.total or 0
        if job.usable and 0 < cents < TOKEN_CENTS:
            sum_ = say_money(from_cents(cents), history.firm.currency, exact=True)
            text = f"Its direct cost of {sum_} is too little for a job: taken as not written down."
            where = places_of(job, "actual.cost")[:1]
            found.append(Attention(job.name, "cost far off", text, where))
    return found


def _one_sum(history: History) -> list[Attention]:
    costs = {j.key: c for j in history.jobs if j.usable and (c := j.actual.total)}
    found = []
    for cents, count in Counter(costs.values()).most_common():
        if count < MANY or count < PART * len(costs):
            break
        text = (
            f"{count} of {len(costs)} jobs have the same direct cost to the cent, "
            f"{say_money(from_cents(cents), history.firm.currency, exact=True)}: counted for each, "
            "or put in for all?"
        )
        same = [j for j in history.jobs if costs.get(j.key) == cents]
        where = [p for j in same[:SHOWN] for p in places_of(j, "actual.cost")[:1]]
        found.append(Attention("", "one sum many times", text, tuple(where)))
    return found
