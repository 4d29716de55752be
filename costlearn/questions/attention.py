"""What on file is worth a look before it is learned from? Listed, never enforced."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from costlearn.features import measures as ms
from costlearn.features.attention import KINDS, Attention, of_records, places_of
from costlearn.features.doubles import twice
from costlearn.features.openbooks import likely_open
from costlearn.features.slips import FAR, FEWEST, LEAST_SPREAD, robust_z, slips
from costlearn.models.regression import PriorRegression
from costlearn.questions.answer import Answer, Table
from costlearn.questions.learning import (
    grounds_of,
    index_of,
    known_totals,
    latest,
    terms_of,
)
from costlearn.questions.wording import count_of, is_are, say
from costlearn.records import Entry, History

_TARGETS = {"cost": "cost far off", "person_days": "time far off"}
_FIGURES = {"cost": "actual.cost", "person_days": "actual.person_days"}
_WORDS = {"cost": "direct cost", "person_days": "work in person-days"}
PLACES = 2


@dataclass(frozen=True)
class Look(Answer):
    """The things worth a look, by kind and job."""

    found: tuple[Attention, ...] = ()

    def tables(self) -> tuple[Table, ...]:
        """One table: job, what, where."""
        if not self.found:
            return ()
        rows = tuple(
            (a.job or "several", a.kind, a.sentence, "; ".join(map(str, a.places[:PLACES])))
            for a in self.found
        )
        note = "Nothing here is changed or left out by itself: you know the job."
        return (Table("Worth a look", ("job", "what", "said", "where"), rows, note),)


def attention(history: History, entries: Iterable[Entry] = ()) -> Look:
    """Which records look like slips, copies, doubles or unfinished books.

    Args:
        history: the firm's jobs.
        entries: the rows behind them, for what only single days and bills show.
    """
    rows = list(entries)
    slipped = slips(history)
    explained = {a.job for a in slipped}
    found = [*slipped, *(a for a in far_off(history) if a.job not in explained)]
    found += [*twice(history), *of_records(history, rows), *likely_open(history, rows)]
    order = {kind: i for i, kind in enumerate(KINDS)}
    found.sort(key=lambda a: order[a.kind])
    return Look(_sentence(len(found)), grounds_of(history, history.usable), found=tuple(found))


def far_off(history: History) -> tuple[Attention, ...]:
    """Jobs whose cost or work lies far off what area, scope and date of the others explain.

    Each job is judged by the others alone (leave-one-out); the spread of these errors is a robust
    one, so that one bad record neither hides itself nor accuses its neighbours.
    """
    found = []
    for target, kind in _TARGETS.items():
        jobs, totals = known_totals(history, target, latest(history.usable))
        if len(jobs) < FEWEST:
            continue
        drift = 0.0 if target == "cost" and index_of(history) else None
        measured = ms.measure(jobs, None, target=target, drift=drift)
        model = PriorRegression(terms_of(measured.columns)).fit(measured.frame, totals)
        loo = model.loo_
        least = LEAST_SPREAD / float(np.median(loo.scale))
        scores = robust_z(loo.errors, least)
        worst_first = np.argsort(-np.abs(scores), kind="stable")
        for i in worst_first[: int(np.sum(np.abs(scores) > FAR))]:
            expected = float(totals[i] * np.exp(-loo.residuals[i]))
            money = history.firm.currency
            area = jobs[i].area_sqft
            each = (
                f" ({say(totals[i] / area, target, money)} a sq ft)"
                if target == "cost" and area
                else ""
            )
            text = (
                f"Its {_WORDS[target]}, {say(float(totals[i]), target, money)}{each}, is "
                f"{totals[i] / expected:.2g} times what the other jobs lead to expect of its area "
                f"and scope ({say(expected, target, money)}): is it right, and is its scope whole?"
            )
            places = places_of(jobs[i], _FIGURES[target])[:PLACES]
            found.append(Attention(jobs[i].name, kind, text, places))
    return tuple(found)


def _sentence(count: int) -> str:
    if not count:
        return "Nothing on file looks like a slip."
    return f"{count_of(count, 'thing')} on file {is_are(count)} worth a look."
