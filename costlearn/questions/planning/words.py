"""How a calendar is put into words: the sentence, and what it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.questions.calendar import Between, Waits
from costlearn.questions.crewing.speedup import Speedup
from costlearn.questions.learning import MIN_JOBS, MOSTLY_ASSUMED, UNLIKE, UNLIKE_EACH_OTHER
from costlearn.questions.planning.answer import SiteCalendar
from costlearn.questions.planning.dates import day, days_within, done_between
from costlearn.questions.planning.drawn import SiteDays
from costlearn.questions.wording import count_of
from costlearn.units import say_days, say_odds
from costlearn.vocabulary import Vocabulary
from costlearn.workdays import Workdays

PRICES = ""
"""Days stand at no prices."""
EVERY = "all"
"""A helper on every phase."""
WIDE = (UNLIKE, UNLIKE_EACH_OTHER)
"""Verdicts with which the whole is too wide to be told by phase."""
NOTHING = (
    "Your records cannot lay this job on a calendar: at least 3 finished jobs with their days on "
    "site, or with first and last day, are needed. Write down who was on site on which day."
)
NO_FORECAST = (
    "Where {} ends cannot be told from your jobs yet, so its rest cannot be laid on a calendar: at "
    "least 3 finished jobs with plan and actual person-days by phase are needed."
)
NO_DAY = (
    "Nothing on file says on which day {} stands, so its rest cannot be laid on a calendar: say "
    "from which day it goes on with --start, or write down when it began."
)
UNHEARD = (
    " The helper you name cannot be reckoned with: none of those phases is told apart in such a "
    "job, so these are days alone."
)
CHANGED = 1.1
"""A crew that changes by this factor after the stage is worth a word."""
NO_PHASES = (
    "There are no dates by phase: fewer than 5 finished jobs have days on site by phase, so the "
    "job is one stretch."
)
NO_SITE_DAYS = (
    "Only first and last days of your jobs are on file, no days on site: work and waits cannot be "
    "told apart, and there are no dates by phase."
)


def sentence(answer: SiteCalendar, jobs: int, verdict: str, words: Vocabulary) -> str:
    """The answer in a few sentences: finish, days, waits, odds of the promise, how far to trust."""
    finish, elapsed = answer.finish, answer.elapsed
    if finish is None or elapsed is None:
        return NOTHING
    running = answer.job.state == "running"
    begun = "Going on from" if running else "Begun on"
    text = (
        f"{begun} {day(answer.start)}{crew_said(answer, words)}, 8 jobs in 10 like this are "
        f"done {done_between(finish.early, finish.late)}; half are done by "
        f"{day(finish.likely)}."
    )
    counted = "more" if running else "from first to last"
    text += f" That is {days_within(elapsed)} working days {counted}"
    if answer.site is not None:
        text += f", {days_within(answer.site)} of them on site"
    text += "."
    if answer.waits is not None:
        text += " " + _waits_said(answer.waits)
    if finish.promised is not None and finish.chance is not None:
        odds = say_odds(finish.chance, ("is", "are"))
        whose = "the promised" if finish.stated else "the day your plan leads to,"
        text += f" {odds[:1].upper()}{odds[1:]} done by {whose} {day(finish.promised)}."
    if answer.site is None:
        text += f" {NO_SITE_DAYS}"
    elif not answer.spans and verdict not in WIDE:
        text += f" {NO_PHASES}"
    return text + _trust(jobs, verdict)


def crew_said(answer: SiteCalendar, words: Vocabulary) -> str:
    """Who works, as a clause."""
    crew = answer.job.plan.crew
    if EVERY in answer.helper:
        return " with a helper throughout"
    if answer.helper:
        return f" with a helper ({'; '.join(words.phase_name(k).lower() for k in answer.helper)})"
    if crew:
        return " alone" if crew == 1 else f" with a crew of {crew:g}"
    return ""


def _waits_said(waits: Waits) -> str:
    if waits.source == "recorded":
        return f"Waits count {say_days(waits.total)} on average, as your jobs recorded them."
    if waits.total:
        return (
            f"No wait is on file: {say_days(waits.total)} stand in, as usual in the trade. Write "
            "down the days lost to drying, inspections and deliveries."
        )
    return "No wait is on file, and none is usual for this scope."


def _trust(jobs: int, verdict: str) -> str:
    if verdict in WIDE:
        why = {
            UNLIKE: "this job is too little like your past jobs",
            UNLIKE_EACH_OTHER: "like jobs of yours came out far apart",
        }[verdict]
        return f" The range is too wide to lean on: {why}; so there are no dates by phase."
    if jobs < MIN_JOBS:
        return " This is what you stated, not yet experience."
    if jobs < MOSTLY_ASSUMED:
        return f" With {count_of(jobs, 'job')} on file this is mostly assumptions."
    return ""


def notes(
    days: SiteDays,
    idle: Between,
    followed: str,
    workdays: Workdays,
) -> tuple[str, ...]:
    """What the days rest on, in clauses."""
    said = [_counted(workdays)]
    if followed:
        said.append(f"{followed}; days on site, waits and other gaps are scaled to it")
    elif idle.gap_jobs:
        said.append(
            f"Days on site, waits and other gaps ({count_of(idle.gap_jobs, 'job')}) are added"
        )
    else:
        said.append("Days nobody was there for other reasons are not known, and not counted")
    if idle.wait_jobs:
        said.append(f"Waits are drawn from {count_of(idle.wait_jobs, 'job')} that recorded them")
    if days.split:
        said.append(
            "Phases follow one another in the order of the trade; they are drawn together, so "
            "that a job that runs long runs long throughout"
        )
    return tuple(said)


def helper_said(found: Speedup, so_far: float, before: Sequence[float]) -> str:
    """Where what a helper does is taken from, and from how many people it is reckoned."""
    rests = "your belief" if found.believed else "your records"
    text = f"What a helper does is taken from {rests}; waits stay as they are"
    if all(people == 1 for people in (so_far, *before)):
        return text
    text += f". {count_of_people(so_far)} worked on the job so far"
    low, high = min(before), max(before)
    if max(high / so_far, so_far / low) > CHANGED:
        text += (
            "; as your finished jobs went on from there, its days to come are those of "
            f"{count_of_people(low, high)}"
        )
    return f"{text}; from here on two work where a helper is named, and one elsewhere"


def count_of_people(low: float, high: float | None = None) -> str:
    """Crew sizes, which may be in between.

    >>> count_of_people(1.0), count_of_people(1.04, 1.96)
    ('1 person', '1 to 2 people')
    """
    first, last = f"{low:.2g}", f"{low if high is None else high:.2g}"
    if first != last:
        return f"{first} to {last} people"
    return f"{first} {'person' if first == '1' else 'people'}"


def notes_without_site(workdays: Workdays) -> tuple[str, ...]:
    """The same where only first and last days are known."""
    return (_counted(workdays), "First to last day as such jobs took it, whatever filled it")


def _counted(workdays: Workdays) -> str:
    return f"Working days are {workdays.said}; the dates hold if work starts on the day named"
