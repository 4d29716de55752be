"""Where will the running job end? Final cost, days and finish date, from what is done so far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from costlearn.features.copies import copied_by_phase
from costlearn.models.earned import Earned
from costlearn.questions import cautions
from costlearn.questions.answer import Answer, Table
from costlearn.questions.doubts import why_few
from costlearn.questions.learning import MOSTLY_ASSUMED, grounds_of
from costlearn.questions.running.ending import (
    Ends,
    Landing,
    Measured,
    index_of_job,
    measured,
    spoken,
)
from costlearn.questions.running.finish import Finish, finish_of, last_on_file
from costlearn.questions.running.in_hand import ChangeWorth, changes_in_hand, changes_table
from costlearn.questions.running.stage import Standing, standings
from costlearn.questions.running.tables import (
    PhaseAhead,
    figures_table,
    index_table,
    odds_table,
    phases_ahead,
    phases_table,
)
from costlearn.questions.wording import PLAIN_TARGET, count_of, say, say_list, say_range
from costlearn.records import History, Job
from costlearn.units import say_odds, say_percent
from costlearn.workdays import Workdays

WATCHED = 0.3
"""A phase with at least this part of the spread is worth a name in the first lines."""

VERBS = {
    "budget": ("like this stays within that plan", "like this stay within that plan"),
    "margin": ("leaves the wanted margin", "leave the wanted margin"),
}


@dataclass(frozen=True)
class Odds:
    """The chance that the job keeps one limit.

    ``what`` is "budget", "margin", "price" (direct cost in currency units) or "finish" (working
    days after the day that is counted from).
    """

    what: str
    limit: float
    chance: float


@dataclass(frozen=True)
class Forecast(Answer):
    """Where a running job ends."""

    job: Job
    standings: tuple[Standing, ...] = ()
    landings: tuple[Landing, ...] = ()
    finish: Finish | None = None
    odds: tuple[Odds, ...] = ()
    phases: tuple[PhaseAhead, ...] = ()
    watch: str | None = None
    index: Earned | None = None
    index_ends: tuple[tuple[str, float | None], ...] = ()
    changes: tuple[ChangeWorth, ...] = ()
    by_plan: bool = True
    margin: float | None = None

    def landing(self, target: str) -> Landing | None:
        """The end of one target, if it could be foretold."""
        return next((one for one in self.landings if one.target == target), None)

    def tables(self) -> tuple[Table, ...]:
        """Figures, odds, phases, the index arithmetic beside them, and changes in hand."""
        money = self.grounds.currency
        found = (
            figures_table(self.landings, money),
            odds_table(
                [(o.what, o.limit, o.chance) for o in self.odds], self.margin, self.finish, money
            ),
            phases_table(self.phases, money),
            index_table(self.index, self.index_ends, self.landing("cost"), money),
            changes_table(self.changes, money),
        )
        return tuple(t for t in found if t is not None)


def forecast(
    history: History,
    job: Job,
    *,
    on: date | None = None,
    promised: date | None = None,
    margin: float | None = None,
    left: Mapping[str, float] | None = None,
) -> Forecast:
    """Where a running job ends: cost, person-days, site days, working days, finish date.

    Args:
        history: the firm's jobs; its finished ones teach how the rest follows from what is done.
        job: the running job, with what its phases took so far.
        on: the day it is asked on; default the last day its records speak of.
        promised: the day it was promised for; default where its planned working days lead.
        margin: wanted share of the price; default the firm's own.
        left: person-days still to do, by phase key, where somebody knows better than the records.

    Source: ``costlearn.models.midjob``; without a plan by phase, phase models alone.
    """
    found = standings(job, left)
    if job.state != "running" or not found:
        return _nothing(history, job, found)
    parts = {t: m for t in ("cost", "person_days") if (m := measured(history, job, found, t))}
    workdays = history.firm.workdays
    since = on or last_on_file(job, workdays)
    said = spoken(job, found, parts, since, workdays)
    if not said.landings:
        return _too_few(history, job, found)
    finish = None
    if said.days and since:
        finish = finish_of(job, said.days, since, promised, workdays)
    lead = parts.get("cost") or next(iter(parts.values()))
    by_plan = all(m.rest is not None for m in parts.values())
    wanted = history.firm.wanted_margin if margin is None else margin
    odds = _odds(job, said.ends.get("cost"), parts.get("cost"), finish, wanted, workdays)
    phases = phases_ahead(found, parts)
    watch = _watch(phases, lead)
    cost = parts.get("cost")
    earned = index_of_job(job, found, since, workdays)
    notes = (*_notes(job, found, parts, since, workdays), *_copied(history))
    answer = Forecast(
        "",
        grounds_of(history, lead.jobs, notes, _PRICES),
        job,
        found,
        said.landings,
        finish,
        odds,
        phases,
        watch,
        earned,
        _ends(earned),
        changes_in_hand(job, found, cost.table if cost else None),
        by_plan,
        wanted,
        cautions=cautions.for_scope(job),
    )
    return replace(answer, sentence=_sentence(answer, lead))


_PRICES = "as planned: the rest is measured against this job's own plan"


def _ends(earned: Earned | None) -> tuple[tuple[str, float | None], ...]:
    """What the standard arithmetic makes of the job, by name."""
    if earned is None:
        return ()
    return (
        ("cost index CPI", earned.cost_index),
        ("schedule index SPI", earned.schedule_index),
        ("EAC = AC + (BAC - EV) / CPI", earned.at_index),
        ("EAC = AC + (BAC - EV)", earned.at_plan),
        ("EAC = AC + (BAC - EV) / (CPI x SPI)", earned.at_both),
        ("VAC = BAC - EAC", earned.variance_at_end),
        ("TCPI for the budget", earned.needed_for_budget),
        ("TCPI for the EAC", earned.needed_for_end),
    )


def _odds(
    job: Job,
    ends: Ends | None,
    cost: Measured | None,
    finish: Finish | None,
    margin: float | None,
    workdays: Workdays,
) -> tuple[Odds, ...]:
    odds = []
    if ends is not None and cost is not None and cost.now.budget > 0:
        odds.append(Odds("budget", cost.now.budget, ends.cdf(cost.now.budget)))
    price = job.agreed_price
    if ends is not None and price is not None:
        paid = price / 100
        if margin is not None:
            odds.append(Odds("margin", paid * (1 - margin), ends.cdf(paid * (1 - margin))))
        odds.append(Odds("price", paid, ends.cdf(paid)))
    if finish is not None and finish.promised is not None and finish.chance is not None:
        days = float(workdays.between(finish.since, finish.promised))
        odds.append(Odds("finish", days, finish.chance))
    return tuple(odds)


def _watch(phases: Sequence[PhaseAhead], lead: Measured) -> str | None:
    """The phase with the largest part in the spread of what is to come."""
    if lead.ahead is not None:
        return lead.ahead.most
    known = [p for p in phases if p.share > 0]
    return max(known, key=lambda p: p.share).phase if known else None


def _sentence(answer: Forecast, lead: Measured) -> str:
    money = answer.grounds.currency
    first = answer.landings[0]
    what = "in direct cost" if first.target == "cost" else "of work"
    text = f"This job ends at {say_range(first.main, first.target, money)} {what} "
    text += f"8 times in 10, middle {say(first.median, first.target, money)}"
    if first.plan:
        text += f", against {say(first.plan, first.target, money)} planned with approved changes"
    text += f"; {say(first.so_far, first.target, money)} so far."
    text += _say_finish(answer.finish)
    for one in answer.odds:
        if one.what in VERBS:
            odds = say_odds(one.chance, VERBS[one.what])
            text += f" {odds[:1].upper()}{odds[1:]}."
    named = next((p for p in answer.phases if p.phase == answer.watch), None)
    if named is not None and named.share >= WATCHED:
        text += f" Watch {named.name.lower()}: {say_percent(named.share)} of what is still open "
        text += "hangs on it."
    if len(lead.jobs) < MOSTLY_ASSUMED:
        text += f" With {count_of(len(lead.jobs), 'finished job')} to learn from this is mostly "
        text += "assumptions."
    if not answer.by_plan:
        text += " " + _say_unplanned(answer.job)
    return text


def _copied(history: History) -> tuple[str, ...]:
    """How many finished jobs tell nothing of plans, since they were copied from them."""
    copies = sum(copied_by_phase(j) for j in history.usable)
    if not copies:
        return ()
    return (
        f"{count_of(copies, 'finished job')} cost the plan to the cent in nearly every phase: "
        "copied, not counted? They are left out",
    )


def _say_unplanned(job: Job) -> str:
    """Why the plan by phase could not be used."""
    wider = "so the range is wider than it need be."
    if all(p.plan.empty for p in job.phases):
        return f"There is no plan by phase, {wider}"
    return f"Too few finished jobs show how plans by phase turn out, {wider}"


def _say_finish(finish: Finish | None) -> str:
    if finish is None:
        return ""
    early = _day(finish.early)
    if finish.early.year == finish.late.year:
        early = early.rsplit(" ", 1)[0]
    text = f" It finishes between {early} and {_day(finish.late)} 8 times in 10"
    if finish.promised is None or finish.chance is None:
        return text + "."
    how = "the promised" if finish.stated else "the planned"
    odds = say_odds(finish.chance, ("keeps", "keep"))
    return f"{text}; {odds} {how} {_day(finish.promised)}."


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def _notes(
    job: Job,
    found: Sequence[Standing],
    parts: Mapping[str, Measured],
    since: date | None,
    workdays: Workdays,
) -> tuple[str, ...]:
    done = [s for s in found if s.done >= 1]
    notes = [
        f"{len(done)} of {count_of(len(found), 'phase')} finished; finished jobs are cut at the "
        "same phases, whatever their order"
    ]
    inferred = [s.name.lower() for s in found if s.inferred]
    if inferred:
        notes.append(f"Taken as finished, since a later phase has begun: {say_list(inferred)}")
    under = [s.name.lower() for s in found if s.how == "under way"]
    if under:
        notes.append(
            f"Under way and nobody says how far, so what it took is only a lower bound: "
            f"{say_list(under)}"
        )
    for target, one in parts.items():
        if one.rest is not None and one.rest.carried is not None:
            notes.append(
                f"{PLAIN_TARGET[target].capitalize()}: of the miss so far, "
                f"{say_percent(one.rest.carry)} is carried on, as learned from "
                f"{count_of(one.rest.jobs, 'finished job')}"
            )
    if since is not None:
        notes.append(f"Days to come are counted from the evening of {_day(since)}; {workdays.said}")
    if "person_days" not in parts:
        notes.append("No days to come: person-days by phase are not on file")
    if job.verbal_price:
        notes.append("Verbal changes are in no figure but the table of changes")
    return tuple(notes)


def _nothing(history: History, job: Job, found: tuple[Standing, ...]) -> Forecast:
    if job.state != "running":
        text = f"{job.name} is {job.state}, not running: there is nothing left to foretell."
    else:
        text = (
            f"Where {job.name} ends cannot be told: nothing on file says which of its phases are "
            "done. Write down hours or costs by phase, or a percentage done."
        )
    return Forecast(text, grounds_of(history, history.usable), job, found, known=False)


def _too_few(history: History, job: Job, found: tuple[Standing, ...]) -> Forecast:
    over = all(s.done >= 1 for s in found)
    if over:
        text = f"All phases of {job.name} are finished: what is on file is what it came to, but "
        text += "for bills still to come. Give it a finish date when its books are closed."
    else:
        text = f"Where {job.name} ends cannot be told from your jobs yet: at least 3 finished jobs "
        text += "with plan and actual by phase, or 5 with actual by phase, are needed, and records "
        text += "of the phases still open here."
        text += "".join(f" {said}." for said in _copied(history)) + why_few(history)
    workdays = history.firm.workdays
    earned = index_of_job(job, found, last_on_file(job, workdays), workdays)
    return Forecast(
        text,
        grounds_of(history, history.usable),
        job,
        found,
        index=earned,
        index_ends=_ends(earned),
        changes=changes_in_hand(job, found, None),
        known=False,
    )
