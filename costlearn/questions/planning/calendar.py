"""Tells on which days a job would run: phases on the firm's working days, and when it is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from costlearn.errors import InputProblem
from costlearn.models.distribution import Draws, Floats, LogSpread
from costlearn.questions import cautions
from costlearn.questions.answer import Grounds
from costlearn.questions.calendar import Between, between
from costlearn.questions.crewing.speedup import Silence, Speedup, listen
from costlearn.questions.learning import Prediction, grounds_of, predict
from costlearn.questions.planning import words as say
from costlearn.questions.planning.answer import SiteCalendar
from costlearn.questions.planning.drawn import (
    SiteDays,
    alone,
    fitted,
    helper_factors,
    lay,
    shuffled,
    site_days,
    wait_draws,
)
from costlearn.questions.planning.holds import holds_of
from costlearn.questions.planning.spans import Finish, Span, spans_of, waits_between
from costlearn.questions.planning.underway import underway
from costlearn.questions.running.finish import last_on_file, promised_by_plan
from costlearn.questions.withheld import say_withheld, withheld
from costlearn.questions.wording import count_of
from costlearn.records import History, Job
from costlearn.vocabulary import Vocabulary, standard
from costlearn.workdays import Workdays

ONE = timedelta(days=1)


def site_calendar(
    history: History,
    job: Job,
    start: date | None,
    *,
    helper: Sequence[str] | None = None,
    holidays: Sequence[date] = (),
    promised: date | None = None,
    belief: tuple[float, float] | None = None,
) -> SiteCalendar:
    """On which days a job would run, begun on a day.

    Args:
        history: the firm's jobs.
        job: the scope or quote; its crew size, if said, is reckoned with.
        start: the first day on site; on a day off the next working day. For a running job the day
            it goes on, None for the one after the last its records speak of.
        helper: phase keys in which a second person helps, ("all",) for every one; the rest is done
            alone. None leaves the crew as the job says or, if it is running, as it was so far, else
            as past jobs had it.
        holidays: days off besides the firm's own.
        promised: a day it is promised for.
        belief: as in ``costlearn.questions.crewing.crew.crew``, for the effect of a helper.

    Raises:
        InputProblem: the job is finished, or not begun and no start is said; or a helper is named
            for a running job and nobody says who worked on it so far.

    Source: ``costlearn.models.phases`` for site days, ``costlearn.models.few_counts`` for days
    without work; first to last day follows the firm's elapsed days where they are on file.
    """
    workdays = history.firm.workdays.without(holidays)
    words = standard().with_phases(history.firm.phase_words)
    if job.state == "running":
        asked = _Asked(history, job, start or date.min, workdays, promised, words)
        return _goes_on(asked, start, helper, belief)
    if start is None or job.state == "finished":
        raise _refused(job)
    base = job if helper is None else alone(job)
    asked = _Asked(history, base, workdays.on(start, 1.0), workdays, promised, words)
    quoted = helper is None
    days = site_days(history, base, quoted=quoted, words=words)
    whole = predict(history, base, "elapsed_days", quoted=quoted)
    if (days and withheld(Draws.of(days.draws.sum(axis=1)))) or (whole and withheld(whole.spread)):
        return replace(_nothing(asked), sentence=say_withheld("number of days"))
    if days is None:
        return _first_to_last(asked, whole) if whole and not helper else _nothing(asked)
    idle = between(history, job, days.keys, len(days.draws))
    follow = _Follow.jobs(whole)
    if not helper:
        return _answer(asked, days, idle, follow)
    found = listen(history, belief, base)
    if isinstance(found, Silence):
        return _no_helper(asked, found)
    return _answer(asked, days, idle, follow, _Help(found, _helped(days, helper), True))


def _refused(job: Job) -> InputProblem:
    if job.state == "finished":
        return InputProblem(f"job '{job.name}' is finished", expected="a job still to be done")
    return InputProblem("nothing says when the work starts", expected="a day such as 2027-01-11")


def _goes_on(
    asked: _Asked,
    start: date | None,
    helper: Sequence[str] | None,
    belief: tuple[float, float] | None,
) -> SiteCalendar:
    """The rest of a running job, whose finish is the one its forecast gives."""
    job, workdays = asked.job, asked.workdays
    firm = replace(asked.history.firm, holidays=tuple(d.isoformat() for d in workdays.off))
    history = replace(asked.history, firm=firm)
    found = underway(history, job, None if start is None else start - ONE, asked.words)
    if found is None:
        begins = workdays.on(start or job.started or job.quoted_on or date.min, 1.0)
        none = _nothing(replace(asked, history=history, start=begins))
        undated = start is None and last_on_file(job, workdays) is None
        text = say.NO_DAY if undated else say.NO_FORECAST
        return replace(none, sentence=text.format(job.name))
    goes_on, due = workdays.after(found.since, 1.0), promised_by_plan(job, workdays)
    asked = replace(asked, history=history, start=goes_on, planned=due)
    follow = _Follow(found.rest, "Working days to come are those of the job's forecast")
    if helper is None:
        return _answer(asked, found.days, found.idle, follow)
    heard = listen(history, belief, job)
    if isinstance(heard, Silence):
        return _no_helper(asked, heard)
    crew = _people_so_far(job)
    people = tuple(max(crew * times, 1.0) for times in found.onward)
    help_ = _Help(heard, _helped(found.days, helper), bool(helper), crew, people)
    return _answer(asked, found.days, found.idle, follow, help_)


def _people_so_far(job: Job) -> float:
    """How many people worked on a running job so far.

    Raises:
        InputProblem: nobody says.
    """
    if not job.actual.crew:
        raise InputProblem(
            f"a helper is named, but nothing says how many people worked on '{job.name}' so far",
            expected="an hours log or a crew size for it, since its days to come follow from those",
        )
    return job.actual.crew


@dataclass(frozen=True)
class _Asked:
    """What a calendar is made for."""

    history: History
    job: Job
    start: date
    workdays: Workdays
    promised: date | None
    words: Vocabulary
    planned: date | None = None


@dataclass(frozen=True)
class _Follow:
    """The distribution that days from first to last follow, None for the sum of their parts."""

    spread: LogSpread | None
    said: str
    verdict: str = ""

    @classmethod
    def jobs(cls, whole: Prediction | None) -> _Follow:
        """That of past jobs, where they say first and last day."""
        if whole is None:
            return cls(None, "")
        count = count_of(len(whole.jobs), "job")
        return cls(whole.spread, f"First to last day follows {count} on file", whole.verdict)


@dataclass(frozen=True)
class _Help:
    """A helper: what one does, and in which phases.

    ``named``: some phase was asked for. ``so_far`` are the people on a running job until now,
    ``before`` those whom the days reckoned with stand for, phase by phase; one if not said.
    """

    found: Speedup
    phases: tuple[str, ...]
    named: bool
    so_far: float = 1.0
    before: tuple[float, ...] = ()


def _helped(days: SiteDays, helper: Sequence[str]) -> tuple[str, ...]:
    """The phases of the job a helper works in; ("all",) where it is every one."""
    if say.EVERY in helper or (helper and not days.split):
        return (say.EVERY,) if say.EVERY in helper else ()
    return tuple(k for k in days.keys if k in helper)


def _answer(
    asked: _Asked,
    days: SiteDays,
    idle: Between,
    follow: _Follow,
    help_: _Help | None = None,
) -> SiteCalendar:
    waits = wait_draws(days.keys, idle)
    raw = lay(days.draws, waits, idle.gap_draws)
    scale = fitted(raw.totals, follow.spread)[:, None]
    site = days.draws * scale
    helped = help_.phases if help_ else ()
    unheard = help_ is not None and help_.named and not helped
    on = days.keys if say.EVERY in helped else helped
    if help_:
        site = site * helper_factors(days, help_.found, on, help_.before)
    laid = lay(site, waits * scale, idle.gap_draws * scale[:, 0])
    verdict = next((v for v in (days.verdict, follow.verdict) if v in say.WIDE), days.verdict)
    told = days.split and verdict not in say.WIDE
    spans: tuple[Span, ...] = ()
    if told:
        names = {k: asked.words.phase_name(k) for k in days.keys}
        spans = spans_of(days, laid, waits * scale, asked.start, asked.workdays, names, on)
    notes = say.notes(days, idle, follow.said, asked.workdays)
    if help_:
        notes += (say.helper_said(help_.found, help_.so_far, help_.before),)
    grounds = grounds_of(asked.history, days.jobs, notes, say.PRICES)
    answer = _with_finish(asked, laid.totals, grounds)
    worked = Draws.of(site.sum(axis=1))
    off = Draws.of(np.maximum(laid.totals - site.sum(axis=1), 0.0))
    begins = {s.phase: s.first for s in spans}
    likely = answer.finish.likely if answer.finish else None
    answer = replace(
        answer,
        site=worked.interval(0.8),
        site_middle=worked.median,
        off=off.interval(0.8),
        off_middle=off.median,
        waits=idle.waits,
        spans=spans,
        pauses=waits_between(spans, asked.workdays),
        maybe=_maybe(days, asked.words) if told else (),
        holds=holds_of(asked.job, [s.phase for s in spans], begins, likely),
        helper=helped,
    )
    text = say.sentence(answer, len(days.jobs), verdict, asked.words)
    return replace(answer, sentence=text + (say.UNHEARD if unheard else ""))


def _with_finish(asked: _Asked, totals: Floats, grounds: Grounds) -> SiteCalendar:
    """The finish and the days from first to last, from draws of working days."""
    spread = Draws.of(totals)
    start, workdays = asked.start, asked.workdays
    early, likely, late = (workdays.on(start, spread.quantile(p)) for p in (0.1, 0.5, 0.9))
    due = asked.promised or asked.planned
    if due is None and asked.job.plan.elapsed_days:
        due = workdays.on(start, asked.job.plan.elapsed_days)
    chance = None if due is None else spread.cdf(float(workdays.count(start, due)))
    return SiteCalendar(
        "",
        grounds,
        asked.job,
        start,
        workdays.said,
        Finish(early, likely, late, due, asked.promised is not None, chance),
        spread.interval(0.8),
        spread.median,
        asked_on=asked.job.quoted_on,
        cautions=cautions.together(
            cautions.for_scope(asked.job), (cautions.WET, cautions.LICENSED)
        ),
    )


def _maybe(days: SiteDays, words: Vocabulary) -> tuple[tuple[str, float], ...]:
    """Phases that fewer than half of such jobs have, with their chance."""
    return tuple(
        (words.phase_name(k), c)
        for k, c, there in zip(days.keys, days.chances, days.likely, strict=True)
        if not there
    )


def _first_to_last(asked: _Asked, whole: Prediction) -> SiteCalendar:
    """Only first and last day of past jobs are known: one stretch, no days of work."""
    notes = say.notes_without_site(asked.workdays)
    grounds = grounds_of(asked.history, whole.jobs, notes, say.PRICES)
    answer = replace(
        _with_finish(asked, shuffled(whole.spread), grounds),
        holds=holds_of(asked.job, (), {}, None),
    )
    return replace(
        answer, sentence=say.sentence(answer, len(whole.jobs), whole.verdict, asked.words)
    )


def _nothing(asked: _Asked) -> SiteCalendar:
    return SiteCalendar(
        say.NOTHING,
        grounds_of(asked.history, asked.history.usable),
        asked.job,
        asked.start,
        known=False,
        cautions=(cautions.WET, cautions.LICENSED),
    )


def _no_helper(asked: _Asked, why: Silence) -> SiteCalendar:
    return replace(
        _nothing(asked),
        sentence=f"Your records cannot tell what a second person does: {why.reason}. Without a "
        "helper asked for, the calendar takes the crew your jobs had; or state a belief, such as "
        "--belief 0.6-0.85.",
    )
