"""How a calendar is put into words: the sentence, its tables, and what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from costlearn.models.distribution import Interval
from costlearn.questions.answer import Table
from costlearn.questions.calendar import Between, Waits
from costlearn.questions.crewing.speedup import Speedup
from costlearn.questions.learning import MIN_JOBS, MOSTLY_ASSUMED, UNLIKE, UNLIKE_EACH_OTHER
from costlearn.questions.planning.drawn import SiteDays
from costlearn.questions.planning.spans import SHOWN_WAIT, Span
from costlearn.questions.wording import count_of, say_list
from costlearn.units import say_days, say_odds
from costlearn.vocabulary import Vocabulary
from costlearn.workdays import Workdays

if TYPE_CHECKING:
    from costlearn.questions.planning.calendar import SiteCalendar

PRICES = ""
"""Days stand at no prices."""
EVERY = "all"
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
UNHEARD = (
    " The helper you name cannot be reckoned with: none of those phases is told apart in such a "
    "job, so these are days alone."
)
NO_PHASES = (
    "There are no dates by phase: fewer than 5 finished jobs have days on site by phase, so the "
    "job is one stretch."
)
NO_SITE_DAYS = (
    "Only first and last days of your jobs are on file, no days on site: work and waits cannot be "
    "told apart, and there are no dates by phase."
)


def day(when: date) -> str:
    """A day as it is spoken of: "Mon 11 Jan 2027"."""
    return f"{when:%a} {when.day} {when:%b %Y}"


def short(when: date) -> str:
    """A day without its year: "Mon 11 Jan"."""
    return f"{when:%a} {when.day} {when:%b}"


def done_between(early: date, late: date) -> str:
    """Two days in a row, the year said once: "between 3 Feb and 19 Feb 2027"."""
    if early == late:
        return f"on {day(early)}"
    year = f" {early:%Y}" if early.year != late.year else ""
    return f"between {early.day} {early:%b}{year} and {late.day} {late:%b %Y}"


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
    text += f" That is {_days(elapsed)} working days {'more' if running else 'from first to last'}"
    if answer.site is not None:
        text += f", {_days(answer.site)} of them on site"
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


def _days(interval: Interval) -> str:
    """A range of days without its unit; one figure where both ends print alike."""
    low, high = (say_days(v).split(" ", 1)[0] for v in (interval.low, interval.high))
    return low if low == high else f"{low} to {high}"


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


def spans_table(spans: Sequence[Span], waits: Waits | None, week: str) -> Table | None:
    """The likely plan, a row a phase; None where phases are not told apart."""
    if not spans or waits is None:
        return None
    helped = any(s.helper for s in spans)
    rows = tuple(
        (
            s.name,
            *(("helper" if s.helper else "",) if helped else ()),
            short(s.first),
            short(s.last),
            _days(s.site),
            say_days(s.wait) if s.wait >= SHOWN_WAIT else "",
            _between(s.begins),
            _between(s.ends),
        )
        for s in spans
    )
    return Table(
        f"The likely plan, {week}",
        (
            "phase",
            *(("with",) if helped else ()),
            "first day",
            "last day",
            "on site",
            "then wait",
            "begins",
            "ends",
        ),
        rows,
        f"First and last day: middle of such jobs; days on site, begins and ends: 8 jobs in 10. "
        f"Waits: {waits.source}; on average, the same with any crew.",
    )


def _between(days: tuple[date, date]) -> str:
    early, late = days
    if early == late:
        return f"{early.day} {early:%b}"
    if (early.year, early.month) == (late.year, late.month):
        return f"{early.day}-{late.day} {late:%b}"
    return f"{early.day} {early:%b} - {late.day} {late:%b}"


def finish_table(answer: SiteCalendar) -> Table | None:
    """Earliest, likely and late finish; None where there is none."""
    finish, elapsed, middle = answer.finish, answer.elapsed, answer.elapsed_middle
    if finish is None or elapsed is None:
        return None
    rows = [
        ("early", day(finish.early), "1 in 10", say_days(elapsed.low)),
        ("likely", day(finish.likely), "5 in 10", say_days(middle)),
        ("late", day(finish.late), "9 in 10", say_days(elapsed.high)),
    ]
    note = ""
    if answer.maybe:
        said = [f"{name.lower()} ({say_odds(chance)})" for name, chance in answer.maybe]
        note = f"Counted, but not on the plan, since fewer than half have it: {say_list(said)}."
    return Table(
        "Finish", ("", "last day on site", "done by then", "working days"), tuple(rows), note
    )


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


def helper_said(found: Speedup, before: float) -> str:
    """Where what a helper does is taken from, and from how many people it is reckoned."""
    rests = "your belief" if found.believed else "your records"
    text = f"What a helper does is taken from {rests}; waits stay as they are"
    if before == 1:
        return text
    return (
        f"{text}. {before:.2g} people worked on the job so far; from here on two do where a helper "
        "is named, and one elsewhere"
    )


def notes_without_site(workdays: Workdays) -> tuple[str, ...]:
    """The same where only first and last days are known."""
    return (_counted(workdays), "First to last day as such jobs took it, whatever filled it")


def _counted(workdays: Workdays) -> str:
    return f"Working days are {workdays.said}; the dates hold if work starts on the day named"
