"""What will this scope cost and how long will it take? In total and by phase, with intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from costlearn.features import measures as ms
from costlearn.features.likeness import Alike, Reach, nearest
from costlearn.models.distribution import Interval
from costlearn.questions import cautions
from costlearn.questions.answer import Answer, Table
from costlearn.questions.byphase import PhaseShare, split
from costlearn.questions.doubts import why_few
from costlearn.questions.learning import (
    MIN_JOBS,
    MOSTLY_ASSUMED,
    UNLIKE,
    UNLIKE_EACH_OTHER,
    Prediction,
    chance_of_both,
    grounds_of,
    known_totals,
    latest,
    predict,
)
from costlearn.questions.withheld import say_withheld, unguessed, withheld
from costlearn.questions.wording import (
    PLAIN_TARGET,
    count_of,
    say,
    say_list,
    say_range,
)
from costlearn.questions.worth import ItemWorth, items_table, items_worth
from costlearn.records import History, Job
from costlearn.units import say_area, say_days, say_money, say_odds, say_percent
from costlearn.vocabulary import standard

CURVE = tuple(round(p / 100, 2) for p in range(1, 100))
NO_PRICE = 10.0
"""An 80 % range whose ends lie further apart than this is no answer, and says so first."""


@dataclass(frozen=True)
class Target:
    """One figure of the new job: its middle, intervals, and the quantiles 1 % to 99 %."""

    target: str
    median: float
    intervals: tuple[Interval, ...]
    curve: tuple[float, ...]
    jobs: int
    verdict: str
    belief: float = 0.0
    """Weight of what the firm stated, 0 to 1."""

    @property
    def main(self) -> Interval:
        """The 80 % interval."""
        return next(i for i in self.intervals if i.level == 0.8)


@dataclass(frozen=True)
class Limits:
    """A direct cost (in money) and some days, from first to last, that a job should stay within."""

    cost: float
    days: float


@dataclass(frozen=True)
class Similar:
    """A finished job like the new one, what it came to, and how it differs, in words."""

    job: str
    finished: date | None
    area_sqft: float | None
    cost: float | None
    site_days: float | None
    differs: str


@dataclass(frozen=True)
class Estimate(Answer):
    """Where a new job will land."""

    job: Job
    targets: tuple[Target, ...] = ()
    phases: tuple[PhaseShare, ...] = ()
    items: tuple[ItemWorth, ...] = ()
    similar: tuple[Similar, ...] = ()
    outside: tuple[str, ...] = ()
    asked_on: date | None = None
    limits: Limits | None = None
    within: float | None = None
    """The chance to stay within both limits at once."""

    def target(self, name: str) -> Target | None:
        """The figure of one target, if it could be estimated."""
        return next((t for t in self.targets if t.target == name), None)

    def tables(self) -> tuple[Table, ...]:
        """Figures, phases, items and similar jobs, as they are to be read."""
        items = items_table(self.items, self.grounds.currency)
        found = [self._figures(), self._phases(), items, self._similar()]
        return tuple(t for t in found if t is not None)

    def _figures(self) -> Table | None:
        if not self.targets:
            return None
        money = self.grounds.currency
        rows = []
        for t in self.targets:
            by_level = {i.level: say_range(i, t.target, money) for i in t.intervals}
            shown = [by_level.get(v, "too few jobs") for v in (0.5, 0.8, 0.9)]
            rows.append(
                (PLAIN_TARGET[t.target], *shown, say(t.median, t.target, money), str(t.jobs))
            )
        return Table(
            "Where this job will land",
            ("", "5 in 10", "8 in 10", "9 in 10", "middle", "jobs"),
            tuple(rows),
            "Of ten jobs like this, so many end inside each range.",
        )

    def _phases(self) -> Table | None:
        if not self.phases:
            return None
        money = self.grounds.currency
        names = dict.fromkeys(p.phase for p in self.phases)
        rows = []
        for key in names:
            cost, days = self._phase(key, "cost"), self._phase(key, "person_days")
            one = cost or days
            if one is None:
                continue
            rows.append(
                (
                    one.name,
                    say_range(cost.interval, "cost", money) if cost else "not known",
                    say_range(days.interval, "person_days", money) if days else "not known",
                    say_percent(one.chance),
                    str(one.jobs),
                )
            )
        return Table(
            "By phase",
            ("phase", "direct cost, 8 in 10", "person-days, 8 in 10", "chance it occurs", "jobs"),
            tuple(rows),
            "Each range is for the phase where it occurs. In every draw the phases sum to the "
            "total; their upper ends must not be added up.",
        )

    def _phase(self, key: str, target: str) -> PhaseShare | None:
        return next((p for p in self.phases if p.phase == key and p.target == target), None)

    def _similar(self) -> Table | None:
        if not self.similar:
            return None
        money, unit = self.grounds.currency, self.grounds.area_unit
        rows = tuple(
            (
                s.job,
                f"{s.finished:%b %Y}" if s.finished else "no date",
                say_area(s.area_sqft, unit),
                say_money(s.cost, money),
                say_days(s.site_days),
                s.differs,
            )
            for s in self.similar
        )
        return Table(
            "The finished jobs most like it",
            ("job", "finished", "floor", "direct cost", "site days", "differs in"),
            rows,
            "Costs as they were then, not brought to today's prices.",
        )


def estimate(
    history: History, new: Job, *, on: date | None = None, limits: Limits | None = None
) -> Estimate:
    """Where a new scope will land: cost, person-days, site days, elapsed days; total and by phase.

    Args:
        history: the firm's jobs.
        new: the scope, as a job in state "quoted"; plans it may hold are not used.
        on: the date at whose prices it is asked; default the job's own, else the newest on file.
        limits: a cost and days whose joint odds are wanted.

    Source: ``costlearn.models.regression`` for totals, ``costlearn.models.phases`` for the split.
    """
    asked = on or new.day or latest(history.usable)
    job = replace(new, quoted_on=asked, started=None, finished=None)
    found = {t: p for t in ms.TARGETS if (p := predict(history, job, t)) is not None}
    if not found:
        return _nothing(history, job, asked)
    lead = found.get("cost") or next(iter(found.values()))
    outside = say_reach(lead.reach, history.firm.area_unit) if len(lead.jobs) >= MIN_JOBS else ()
    outside += say_late(asked, lead.jobs)
    if withheld(lead.spread):
        return _withheld(history, job, asked, lead, outside)
    found = {t: p for t, p in found.items() if not withheld(p.spread)}
    targets = tuple(_target(p) for p in found.values())
    phases = tuple(
        share
        for t in ("cost", "person_days")
        if t in found
        for share in split(history, job, t, found[t].spread)
    )
    within = None
    if limits and {"cost", "elapsed_days"} <= found.keys():
        within = chance_of_both(found["cost"], found["elapsed_days"], limits.cost, limits.days)
    said = lead.doubts.first + _say_within(limits, within, history.firm.currency)
    return Estimate(
        _sentence(targets, outside, job, history.firm.currency) + said,
        grounds_of(history, lead.jobs, _notes(found, phases)),
        job,
        targets,
        phases,
        items_worth(found["cost"], job) if "cost" in found else (),
        tuple(_similar(a) for a in nearest(lead.measures, lead.jobs, job)),
        lead.doubts.said + outside,
        asked,
        limits,
        within,
        cautions=cautions.together(cautions.for_scope(job), (cautions.TAX,)),
    )


def say_reach(reach: Reach, unit: str) -> tuple[str, ...]:
    """What lies outside the history, each in a sentence."""
    words = standard()
    said = []
    if reach.area == "between" and reach.nearest_area:
        said.append(
            "No finished job has a floor near this size (the nearest is "
            f"{say_area(reach.nearest_area, unit)}): treat as a guess."
        )
    elif reach.area and reach.area_range:
        side = "larger" if reach.area == "above" else "smaller"
        low, high = (say_area(a, unit) for a in reach.area_range)
        said.append(
            f"The floor is {side} than any finished job on file ({low} to {high}): "
            "treat as a guess."
        )
    if reach.kind_unseen:
        said.append("No finished job of this kind is on file.")
    if not reach.scoped:
        said.append("No finished job says its scope, so items count for nothing here.")
    if reach.never:
        names = say_list([words.item(k).name for k in reach.never])
        said.append(f"Never done before: {names}. Nothing on file tells what that costs.")
    if reach.seldom:
        names = say_list([f"{words.item(k).name} ({count_of(n, 'job')})" for k, n in reach.seldom])
        said.append(f"Seldom done: {names}.")
    return tuple(said)


def say_late(asked: date | None, jobs: Sequence[Job]) -> tuple[str, ...]:
    """A sentence if the question's date lies over a year after the newest job."""
    newest = latest(jobs)
    if asked is None or newest is None or (asked - newest).days <= 366:
        return ()
    years = (asked - newest).days / 365.25
    return (
        f"The newest job is {years:.1f} years older than the date asked for ({asked}): the rise of "
        "prices is carried on that far.",
    )


def _nothing(history: History, job: Job, asked: date | None) -> Estimate:
    have = len(known_totals(history, "cost", asked)[0])
    return Estimate(
        f"Your records cannot price this yet: {count_of(have, 'finished job')} with a known direct "
        f"cost {'is' if have == 1 else 'are'} on file, and at least {MIN_JOBS} are needed. Add "
        "finished jobs with their cost, floor area and main scope items, even if only roughly, or "
        "state your own rates or usual cost per floor area in the settings." + why_few(history),
        grounds_of(history, history.usable),
        job,
        asked_on=asked,
        known=False,
        cautions=cautions.for_scope(job),
    )


def _withheld(
    history: History, job: Job, asked: date | None, lead: Prediction, outside: tuple[str, ...]
) -> Estimate:
    """Figures so far apart that none is given: why, and what lies outside the history."""
    what = "price" if lead.target == "cost" else "number of days"
    outside = unguessed(outside)
    return Estimate(
        say_withheld(what, outside) + lead.doubts.first,
        grounds_of(history, lead.jobs),
        job,
        outside=lead.doubts.said + outside,
        asked_on=asked,
        known=False,
        cautions=cautions.for_scope(job),
    )


def _target(prediction: Prediction) -> Target:
    return Target(
        prediction.target,
        prediction.spread.median,
        prediction.intervals(),
        tuple(prediction.spread.quantiles(CURVE).tolist()),
        len(prediction.jobs),
        prediction.verdict,
        prediction.weights.get("belief", 0.0),
    )


def _sentence(targets: Sequence[Target], outside: Sequence[str], job: Job, currency: str) -> str:
    by_name = {t.target: t for t in targets}
    lead = by_name.get("cost") or targets[0]
    text = "By what you stated, not yet by experience: " if lead.jobs < MIN_JOBS else ""
    if lead.main.ratio > NO_PRICE:
        text = "Your records hold no price for this. "
    text += (
        f"8 jobs in 10 like this land at {say_range(lead.main, lead.target, currency)} "
        f"{_short(lead.target)}; the middle is {say(lead.median, lead.target, currency)}."
    )
    days = [
        f"{say_range(by_name[name].main, name, currency)} {_short(name)}"
        for name in ("site_days", "elapsed_days")
        if name in by_name and name != lead.target and by_name[name].main.ratio <= NO_PRICE
    ]
    if days:
        text += f" Taken on their own, 8 in 10 take {say_list(days)}."
    if lead.verdict == UNLIKE:
        text += f" That is {UNLIKE}."
    elif lead.verdict == UNLIKE_EACH_OTHER:
        text += f" That is {UNLIKE_EACH_OTHER}."
    elif MIN_JOBS <= lead.jobs < MOSTLY_ASSUMED:
        text += f" With {count_of(lead.jobs, 'job')} on file this is mostly assumptions."
    if outside:
        text += " " + outside[0]
    if job.area_sqft is None:
        text += " No floor area was given, so the range is wider than it need be."
    return text


def _say_within(limits: Limits | None, within: float | None, currency: str) -> str:
    if limits is None:
        return ""
    asked = f"{say(limits.cost, 'cost', currency)} and {say(limits.days, 'elapsed_days', currency)}"
    if within is None:
        return f" Whether it stays within {asked} cannot be told: cost or days are not known."
    return f" {say_odds(within, ('stays', 'stay')).capitalize()} within both {asked}."


def _short(target: str) -> str:
    return {
        "cost": "in direct cost",
        "site_days": "on site",
        "elapsed_days": "from first to last",
        "person_days": "of work",
    }[target]


def _notes(found: dict[str, Prediction], phases: Sequence[PhaseShare]) -> tuple[str, ...]:
    notes = ["Each range is a prediction interval: where the next job lands, not the average one"]
    notes += [p.belief_note for p in found.values() if p.belief_note]
    for name, p in found.items():
        if MIN_JOBS <= len(p.jobs) < MOSTLY_ASSUMED:
            notes.append(
                f"{PLAIN_TARGET[name]}: mostly assumptions, {count_of(len(p.jobs), 'job')}"
            )
    if not phases:
        notes.append("No split by phase: fewer than 5 finished jobs have phase records")
    return tuple(notes)


def _similar(alike: Alike) -> Similar:
    words = standard()
    more = [words.item(k).name for k in alike.has_more]
    less = [words.item(k).name for k in alike.has_less]
    parts = []
    if more:
        parts.append("with " + say_list(more[:4]))
    if less:
        parts.append("without " + say_list(less[:4]))
    job = alike.job
    return Similar(
        job.name,
        job.finished,
        job.area_sqft,
        ms.observed(job, "cost"),
        ms.observed(job, "site_days"),
        "; ".join(parts) or ("nothing on record" if job.scope else "its scope is not written down"),
    )
