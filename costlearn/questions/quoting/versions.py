"""Two versions of a scope: what the second costs and takes more than the first, with what odds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from costlearn.features import measures as ms
from costlearn.features.likeness import items_of, reach
from costlearn.features.pairs import alike
from costlearn.models.distribution import Interval
from costlearn.models.ladder import markup_from_margin, price_for
from costlearn.questions import cautions
from costlearn.questions.answer import Answer, Table
from costlearn.questions.estimate import say_late, say_reach
from costlearn.questions.learning import (
    MIN_JOBS,
    MOSTLY_ASSUMED,
    grounds_of,
    known_totals,
    latest,
)
from costlearn.questions.quoting.change_words import (
    ChangeTold,
    PricePair,
    change_table,
    difference_table,
    figure_sentence,
    price_sentence,
    price_table,
    told_change,
    unknown_sentence,
    unweighed_sentence,
)
from costlearn.questions.quoting.differing import Compared, Difference, compared
from costlearn.questions.quoting.pricing import CONFIDENCES, margin_wanted
from costlearn.questions.withheld import say_withheld
from costlearn.questions.wording import count_of, is_are, say_list
from costlearn.records import History, Job

ASSUMED = (
    "Both versions are taken as one and the same job: its luck (what the walls hide, the client, "
    "how the crew gets on) is common to both, so it scales the difference and does not blur it",
    "A change is taken to add a share of the job, the same share whatever the job; the luck of the "
    "changed work itself comes on top of the range",
)

OWN_LUCK = "The luck of the changed work itself comes on top."


@dataclass(frozen=True)
class Versions(Answer):
    """What the second version comes to more than the first; less where a figure is below zero.

    ``price`` is the difference in price that leaves the wanted margin of the difference in cost:
    80 % interval and middle. ``planned_more`` is the difference of the two planned costs.
    """

    first: Job
    second: Job
    changes: tuple[ChangeTold, ...] = ()
    differences: tuple[Difference, ...] = ()
    wanted_margin: float | None = None
    price: Interval | None = None
    price_middle: float | None = None
    ladder: tuple[PricePair, ...] = ()
    planned_more: float | None = None
    outside: tuple[str, ...] = ()
    asked_on: date | None = None

    def difference(self, target: str) -> Difference | None:
        """The difference in one target, if it could be told."""
        return next((d for d in self.differences if d.target == target), None)

    def tables(self) -> tuple[Table, ...]:
        """Differences, prices, and what each change rests on, as they are to be read."""
        money = self.grounds.currency
        found = [
            difference_table(self.differences, money),
            price_table(self.ladder, self.wanted_margin, self.planned_more, money),
            change_table(self.changes),
        ]
        return tuple(t for t in found if t is not None)


def compare(
    history: History,
    first: Job,
    second: Job,
    *,
    margin: float | None = None,
    on: date | None = None,
) -> Versions:
    """What a second version of a job comes to more than the first: cost, work, days, price.

    Args:
        history: the firm's jobs.
        first: one scope, as a job in state "quoted"; its plans are not used for the ranges.
        second: the same job with another scope. What only one of them says of the house, the kind
            of job or the crew holds for both.
        margin: the wanted margin, a share of the price; default the firm's own.
        on: the date at whose prices it is asked; default the first version's own, else the newest
            on file. It holds for both.

    Source: ``costlearn.models.twoways``; the job's own error is common to both versions.

    Raises:
        InputProblem: the wanted margin is no share below 1.
    """
    wanted = margin_wanted(history.firm, margin)
    asked = on or first.day or second.day or latest(history.usable)
    one, other, shared = alike(_dated(first, asked), _dated(second, asked))
    found = {t: c for t in ms.TARGETS if (c := compared(history, one, other, t)) is not None}
    if not found:
        return _nothing(history, one, other, asked)
    lead = found.get("cost") or next(iter(found.values()))
    unit = history.firm.area_unit
    told = tuple(told_change(c, s, unit, rated=lead.rated) for c, s in lead.changes)
    weighed = not told or any(t.counted for t in told)
    figures = tuple(c.difference for c in found.values()) if weighed else ()
    answer = Versions(
        "",
        grounds_of(history, lead.first.jobs, _notes(lead, shared)),
        one,
        other,
        told,
        figures,
        wanted,
        planned_more=_planned_more(first, second),
        outside=_outside(lead, one, other, asked, unit),
        asked_on=asked,
        known=weighed,
        cautions=cautions.together(
            cautions.for_scope(one), cautions.for_scope(other), (cautions.UNKNOWN, cautions.TAX)
        ),
    )
    priced = _priced(answer, found["cost"]) if weighed and "cost" in found else answer
    return replace(priced, sentence=_sentence(priced))


def _dated(job: Job, day: date | None) -> Job:
    return replace(job, quoted_on=day, started=None, finished=None)


def _planned_more(first: Job, second: Job) -> float | None:
    one, other = ms.planned(first, "cost"), ms.planned(second, "cost")
    return None if one is None or other is None else other - one


def _priced(answer: Versions, cost: Compared) -> Versions:
    """The answer with what the difference means for the price."""
    wanted = answer.wanted_margin
    if wanted is None:
        return answer
    factor, gap = 1 + markup_from_margin(wanted), cost.difference
    spreads = (cost.first.spread, cost.second.spread)
    return replace(
        answer,
        price=Interval(0.8, gap.interval.low * factor, gap.interval.high * factor),
        price_middle=gap.middle * factor,
        ladder=tuple(
            PricePair(sure, *(price_for(s, wanted, sure) for s in spreads)) for sure in CONFIDENCES
        ),
    )


def _sentence(answer: Versions) -> str:
    money, told = answer.grounds.currency, answer.changes
    start = f"{answer.second.name} against {answer.first.name}: "
    if not told:
        return f"{start}both say the same, so there is no difference."
    parts = []
    unknown, left = unknown_sentence(told), unweighed_sentence(told)
    if not answer.differences:
        names = say_list([t.name for t in told])
        return f"Your records cannot tell what this changes: {names}. {left}"
    if any(t.told for t in told):
        parts.append(start + figure_sentence(answer.differences, money))
        parts.append(_said_price(answer))
        if unknown:
            parts.append(f"{unknown} For that part the range is a first guess.")
    else:
        parts.append(f"{unknown} {start}{_guess(told)}, ")
        parts[-1] += figure_sentence(answer.differences, money)
    parts.append(left)
    if answer.differences[0].interval.low != answer.differences[0].interval.high:
        parts.append(OWN_LUCK)
    jobs = answer.differences[0].jobs
    if jobs < MIN_JOBS:
        parts.append("This is what you stated, not yet experience.")
    elif jobs < MOSTLY_ASSUMED:
        parts.append(f"With {count_of(jobs, 'job')} on file this is mostly assumptions.")
    return " ".join(p for p in parts if p)


def _guess(told: Sequence[ChangeTold]) -> str:
    return (
        "by what you stated, not experience"
        if told[0].rated
        else "as a first guess, not experience"
    )


def _said_price(answer: Versions) -> str:
    if answer.price is None or answer.price_middle is None or answer.wanted_margin is None:
        return ""
    money = answer.grounds.currency
    return price_sentence(answer.price, answer.price_middle, answer.wanted_margin, money)


def _notes(lead: Compared, shared: Sequence[str]) -> tuple[str, ...]:
    notes = list(ASSUMED)
    if shared:
        notes.append(f"Said of one version only and taken for both: {say_list(shared)}")
    beliefs = dict.fromkeys(p.belief_note for p in (lead.first, lead.second) if p.belief_note)
    return (*notes, *beliefs)


def _outside(
    lead: Compared, first: Job, second: Job, asked: date | None, unit: str
) -> tuple[str, ...]:
    """What of either version lies outside the history, each in a sentence."""
    jobs = lead.first.jobs
    if len(jobs) < MIN_JOBS:
        return ()
    both = {k: v for j in (first, second) for k, v in j.scope.items() if k in items_of(j)}
    told = [*say_reach(reach(jobs, replace(second, scope=both)), unit)]
    told += [s for s in say_reach(reach(jobs, replace(first, scope=both)), unit) if s not in told]
    return (*told, *say_late(asked, jobs))


def _nothing(history: History, first: Job, second: Job, asked: date | None) -> Versions:
    have = len(known_totals(history, "cost", asked)[0])
    text = (
        f"Your records cannot tell two versions apart yet: {count_of(have, 'finished job')} with a "
        f"known direct cost {is_are(have)} on file, and at least {MIN_JOBS} are needed, with their "
        "scope."
    )
    return Versions(
        text if have < MIN_JOBS else say_withheld(),
        grounds_of(history, history.usable),
        first,
        second,
        asked_on=asked,
        known=False,
        cautions=cautions.for_scope(second),
    )
