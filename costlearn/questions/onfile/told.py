"""What a firm's answers tell of how sure things are, and of what to write down next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from costlearn.assembly import finish_unknown, waiting_costs
from costlearn.assembly.jobs import GIVE_A_JOB
from costlearn.features.measures import crew_of
from costlearn.questions.answer import Answer
from costlearn.questions.crewing.crew import Crew
from costlearn.questions.earning.earnings import Earnings
from costlearn.questions.earning.takings import FEW, PLAIN, kind_name
from costlearn.questions.earning.words import SURE, chances
from costlearn.questions.learning import MIN_JOBS, MOSTLY_ASSUMED
from costlearn.questions.onfile.job import price_of
from costlearn.questions.overrun.overruns import Overruns
from costlearn.questions.trust import Trust
from costlearn.questions.wording import PLAIN_TARGET, count_of, is_are, say_list
from costlearn.records import History, Job
from costlearn.units import say_percent

FACTS: tuple[tuple[str, str, Callable[[Job], bool]], ...] = (
    ("direct cost", "what it cost in all", lambda j: j.actual.total is not None),
    ("price", "what the client paid", lambda j: price_of(j) is not None),
    ("start and finish", "its first and last day", lambda j: bool(j.started and j.finished)),
    ("floor area", "its floor area", lambda j: bool(j.area_sqft)),
    ("scope", "what was done: its scope items", lambda j: bool(j.scope)),
    ("days on site", "how many days were worked on site", lambda j: bool(j.actual.site_days)),
    ("crew size", "how many worked on it", lambda j: crew_of(j) is not None),
    ("phases", "planned and actual by phase", lambda j: bool(j.phases)),
    ("books closed", "whether its books are closed", lambda j: j.books_closed is not None),
)
"""What a job may say, the most useful first: its name in a table, what to write down, whether a
job says it."""
MOST_GAPS = 4
ENOUGH = 0.9
"""A thing that fewer than this part of the finished jobs say is worth writing down."""
SETTINGS = (
    ("day_rate", "what a day of work costs you: logged hours cannot be priced without it"),
    ("overhead_per_year", "your overhead a year: no price can be held against it"),
    ("working_days_per_year", "how many days a year you work"),
    ("wanted_margin", "the margin you want: no quote can be held against it"),
)
"""Settings whose absence leaves an answer out, with what to state."""


def firm_facts(jobs: Sequence[Job]) -> tuple[tuple[str, int], ...]:
    """How many of some jobs say each thing."""
    return tuple((name, sum(said(j) for j in jobs)) for name, _, said in FACTS)


def surely(told: Sequence[Answer]) -> tuple[str, ...]:
    """What the answers tell for sure, a sentence each."""
    found: list[str] = []
    for answer in sorted(told, key=lambda a: not isinstance(a, Trust)):
        if isinstance(answer, Trust) and answer.known:
            found += _held(answer, fair=True)
        elif isinstance(answer, Overruns) and answer.known:
            over = [p.name.lower() for p in answer.of(answer.lead) if p.verdict == "runs over"]
            if over:
                verb = "runs" if len(over) == 1 else "run"
                said = say_list(over)
                found.append(
                    f"{said[:1].upper()}{said[1:]} {verb} over plan, more than luck explains."
                )
        elif isinstance(answer, Crew) and answer.interval and not answer.believed:
            if answer.interval.high < 1 and _shown(answer):
                low, high = (round(100 * v) for v in (answer.interval.low, answer.interval.high))
                found.append(
                    f"With two people the days on site fall to {low} to {high} % of what one needs."
                )
        elif isinstance(answer, Earnings) and answer.known:
            found += [
                f"A {PLAIN[p.measure]} on {p.one} leaves more than one on {p.other}: odds "
                f"{chances(p.chance)}."
                for p in answer.mixes[0].pairs
                if p.chance >= SURE
            ][:2]
    return tuple(found)


def not_sure(history: History, told: Sequence[Answer]) -> tuple[str, ...]:
    """What the records do not tell yet, a sentence each."""
    found: list[str] = []
    have = len(history.usable)
    if have < MIN_JOBS:
        found.append(f"No job can be priced from {count_of(have, 'finished job')}: 3 are needed.")
    elif have < MOSTLY_ASSUMED:
        found.append(f"With {count_of(have, 'finished job')} every range is mostly assumptions.")
    for answer in told:
        if isinstance(answer, Trust) and answer.known:
            found += _held(answer, fair=False)
        elif isinstance(answer, Overruns) and answer.known:
            found += _luck(answer)
        elif isinstance(answer, Earnings) and answer.known:
            pairs = answer.mixes[0].pairs
            if pairs and max(p.chance for p in pairs) < SURE:
                day = PLAIN[answer.mixes[0].measure]
                found.append(f"Which kind of job earns most a {day} is not settled.")
        elif isinstance(answer, Crew) and answer.known and not _shown(answer):
            found.append("What a second person does to the days rests mostly on a first guess.")
        elif not answer.known:
            found.append(answer.sentence.split(". ")[0].rstrip(".") + ".")
    few = [
        f"{kind_name(kind)} ({count_of(n, 'job')})"
        for kind, n in sorted(Counter(j.kind for j in history.usable if j.kind).items())
        if n < FEW
    ]
    if few and have >= MIN_JOBS:
        found.append(f"Too few to know by themselves: {say_list(few)}.")
    return tuple(dict.fromkeys(found))


def lacking(
    history: History,
    told: Sequence[Answer],
    says: Sequence[tuple[str, int]],
    *,
    look: int = 0,
    waiting: int = 0,
) -> tuple[str, ...]:
    """What to write down or settle next, what helps most first, a sentence each."""
    found: list[str] = []
    have = len(history.usable)
    for answer in told:
        if isinstance(answer, Crew) and not (answer.known and answer.by_phase):
            found.append("Who worked on which phase each day: it tells what a second person does.")
        elif isinstance(answer, Trust):
            best = next((f for t in answer.targets[:1] for f in t.fields if f.advice), None)
            if best is not None and best.missing > 0:
                found.append(
                    f"The {best.name} of each job: {round(best.missing * best.jobs)} of "
                    f"{best.jobs} do not say it, and it is what would help estimates most."
                )
    counts = dict(says)
    gaps = [(counts[name], what) for name, what, _ in FACTS if counts[name] < ENOUGH * have]
    for count, what in gaps[:MOST_GAPS]:
        said = f"{count} of {count_of(have, 'finished job')} {'says' if count == 1 else 'say'} it"
        found.append(f"Of each job {what}: {said}.")
    unsaid = sum(map(finish_unknown, history.jobs))
    if unsaid:
        found.append(
            f"Whether {count_of(unsaid, 'begun job')} {is_are(unsaid)} finished: a finish date or "
            "a state in your list of jobs says it."
        )
    loose = len(waiting_costs(history))
    if loose:
        said = f"{count_of(loose, 'cost line')} {is_are(loose)} waiting for a job"
        found.append(f"{said}: {GIVE_A_JOB}.")
    if waiting:
        found.append(
            f"{count_of(waiting, 'question')} about your records {is_are(waiting)} waiting: see "
            "'costlearn questions'."
        )
    if look:
        found.append(
            f"{count_of(look, 'thing')} on file {is_are(look)} worth a look: see 'costlearn jobs "
            "--look'."
        )
    unset = [f"{what} ({name})" for name, what in SETTINGS if getattr(history.firm, name) is None]
    found += [f"In your settings, {what}." for what in unset]
    return tuple(found)


def _held(answer: Trust, *, fair: bool) -> list[str]:
    """Whether the ranges held on past jobs, of the first figure; only what is or is not so."""
    lead = answer.targets[0]
    held = next(c for c in lead.coverage if c.level == 0.8)
    enough = held.held >= held.least
    # Too few tries could not tell a fair range from one that holds every second job.
    telling = held.least > held.of / 2
    if (enough and telling) != fair:
        return []
    text = (
        f"The 8-in-10 range of {PLAIN_TARGET[lead.target]} held {held.held} of "
        f"{count_of(held.of, 'past job')}"
    )
    if not enough:
        return [f"{text}, fewer than fair luck would give: trust it less than it says."]
    if not telling:
        return [f"{text}: too few to tell whether it can be trusted."]
    return [f"{text}; it is now {say_percent(lead.tried[-1].half_width)} either way."]


def _shown(answer: Crew) -> bool:
    """True if the records alone show that a second person shortens a job."""
    return answer.grounds.jobs >= MOSTLY_ASSUMED and (answer.shown or 0.0) >= SURE


def _luck(answer: Overruns) -> list[str]:
    mine = answer.of(answer.lead)
    maybe = [p.name.lower() for p in mine if p.verdict == "probably runs over"]
    open_ = sum(p.verdict == "could be luck" for p in mine)
    found = []
    if maybe:
        verb = "runs" if len(maybe) == 1 else "run"
        said = say_list(maybe)
        found.append(f"{said[:1].upper()}{said[1:]} probably {verb} over plan.")
    if open_:
        phases = "phase that looks" if open_ == 1 else "phases that look"
        found.append(f"{open_} {phases} over or under plan may be luck.")
    return found
